"""Learning how long each kind of look takes from the firm's own arrivals and departures."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import timedelta
from math import ceil
from statistics import median

from django.db import transaction
from django.db.models import Prefetch

from drainservice.accounts.asker import Asker
from drainservice.engine.rounds.minutes import LOOK_TIMES, OTHERWISE, time_of_visit
from drainservice.inspections.models import Look, Outcome
from drainservice.visits.models import LookMinutes, State, Visit, VisitSystem
from drainservice.visits.queries.minutes import ENOUGH_RECORDS

SHORTEST, LONGEST = timedelta(minutes=3), timedelta(minutes=600)
# The newest visits that are counted: older ways of working teach less. Judgement.
MOST_VISITS = 5000


@transaction.atomic
def count_look_minutes(*, asker: Asker) -> int:
    """Count anew how long each kind of look took; one of fewer than 20 records is left as judged.

    A look's share is its planned minutes times actual over planned minutes of the visit, coming
    and closing within both. Answers how many kinds changed; counting twice writes once.
    """
    shares_s: dict[str, list[float]] = defaultdict(list)
    for visit in _made():
        _share(visit, shares_s)
    known = {row.kind: row for row in LookMinutes.objects.all()}
    changed = 0
    for kind, found_s in shares_s.items():
        if len(found_s) < ENOUGH_RECORDS:
            continue
        new = (ceil(median(found_s)), _four_of_five(found_s), len(found_s))
        row = known.get(kind)
        if row is not None and (row.middle_s, row.high_s, row.records) == new:
            continue
        values = dict(zip(("middle_s", "high_s", "records"), new, strict=True))
        LookMinutes.objects.update_or_create(kind=kind, defaults=values | {"counted_at": asker.at})
        changed += 1
    return changed


def _made() -> Iterable[Visit]:
    looks = Look.objects.standing().exclude(outcome=Outcome.NOT_DONE)
    systems = VisitSystem.objects.standing().prefetch_related(
        Prefetch("inspection__looks", queryset=looks, to_attr="looks_done")
    )
    made = Visit.objects.standing().filter(
        state=State.MADE, arrived_at__isnull=False, left_at__isnull=False
    )
    newest = made.order_by("-left_at", "-pk")[:MOST_VISITS]
    return newest.prefetch_related(Prefetch("visit_systems", queryset=systems, to_attr="wanted"))


def _share(visit: Visit, shares_s: dict[str, list[float]]) -> None:
    """Add what each look of a visit took."""
    if visit.arrived_at is None or visit.left_at is None:
        return
    took = visit.left_at - visit.arrived_at
    kinds = [kind for row in visit.wanted for kind in _kinds(row)]  # type: ignore[attr-defined]
    if not SHORTEST <= took <= LONGEST or not kinds:
        return
    # One row a look: two pumps of one pit are two tests.
    ratio = took.total_seconds() / (60 * time_of_visit([kind] for kind in kinds).exact_min)
    for kind in kinds:
        shares_s[kind].append(60 * LOOK_TIMES.get(kind, OTHERWISE).minutes * ratio)


def _kinds(row: VisitSystem) -> list[str]:
    """What was done at a system; where nobody recorded it, what was wanted."""
    if row.inspection is None:
        return list(dict.fromkeys(row.looks_wanted))
    return [look.kind for look in row.inspection.looks_done]  # type: ignore[attr-defined]


def _four_of_five(values_s: Sequence[float]) -> int:
    """The smallest value that at least four of five do not exceed (nearest rank)."""
    return ceil(sorted(values_s)[ceil(len(values_s) * 4 / 5) - 1])
