"""What is due, worst first, as an asker may see it."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.core.exceptions import ObjectDoesNotExist
from django.db.models import Count, Q, QuerySet

from drainservice.accounts.asker import Asker, NotFound
from drainservice.engine.rounds.minutes import LOOK_TIMES, OTHERWISE, StopTime
from drainservice.inspections.models import Due
from drainservice.register.models import Status, System
from drainservice.register.queries import systems_for

WANTED_AHEAD = timedelta(days=60)
STOP = StopTime()


@dataclass(frozen=True, slots=True)
class After:
    """Where the page before ended."""

    rank_on: date
    pk: int


def dues_for(asker: Asker) -> QuerySet[Due]:
    """Current due dates of the systems in use that the asker may see."""
    dues = (
        Due.objects.current()
        .filter(system__status=Status.IN_USE, system__removed_at__isnull=True)
        .select_related("system__site")
    )
    return dues if asker.is_office else dues.filter(system__in=systems_for(asker))


def due_list(
    asker: Asker,
    *,
    before: date | None = None,
    after: After | None = None,
    kind: str = "",
    flag: str = "",
    consequence: str = "",
    most: int = 50,
) -> list[Due]:
    """Due dates, worst first: by day, drawn forward by what a dead pump would do there.

    `before` leaves out what is due later; `after` turns the page.
    """
    dues = dues_for(asker)
    if before is not None:
        dues = dues.filter(due_on__lte=before)
    if kind:
        dues = dues.filter(kind=kind)
    if flag:
        dues = dues.filter(flag=flag)
    if consequence:
        dues = dues.filter(system__consequence=consequence)
    if after is not None:
        dues = dues.filter(rank_on__gte=after.rank_on).filter(
            Q(rank_on__gt=after.rank_on) | Q(pk__gt=after.pk)
        )
    return list(dues.order_by("rank_on", "pk")[:most])


def due_for(asker: Asker, due_id: int) -> Due:
    """One due date, retired ones too, for its sum. Errors: NotFound."""
    dues = Due.objects.select_related("system__site", "reckoning")
    if not asker.is_office:
        dues = dues.filter(system__in=systems_for(asker))
    try:
        return dues.get(pk=due_id)
    except (ObjectDoesNotExist, ValueError, OverflowError):
        raise NotFound from None


def dues_of(system: System) -> list[Due]:
    """All current due dates of a system, earliest first."""
    return list(Due.objects.current().filter(system=system).order_by("due_on", "pk"))


def looks_wanted(system: System, *, today: date) -> list[str]:
    """The looks a visit should bring with it: a first look, and what is due within two months,
    worst first; where nothing is, the next."""
    dues = dues_of(system)
    soon = [d for d in dues if d.due_on <= today + WANTED_AHEAD or d.kind == "first_look"]
    return list(dict.fromkeys(due.kind for due in soon or dues[:1]))


def hours_due_by_week(asker: Asker, *, today: date, weeks: int) -> list[tuple[date, float]]:
    """Hours of looks that fall due in each week, the past in the first; by our judgement of each
    look, and as if nothing overlapped."""
    monday = today - timedelta(days=today.weekday())
    hours = [0.0] * weeks
    seen: set[tuple[int, int]] = set()
    last = monday + timedelta(weeks=weeks)
    rows = dues_for(asker).filter(due_on__lt=last)
    for system_id, kind, due_on in rows.values_list("system_id", "kind", "due_on"):
        week = max((due_on - monday).days // 7, 0)
        if (system_id, week) not in seen:
            seen.add((system_id, week))
            hours[week] += (STOP.arriving_min + STOP.closing_min) / 60
        hours[week] += LOOK_TIMES.get(kind, OTHERWISE).minutes / 60
    return [(monday + timedelta(weeks=i), hours[i]) for i in range(weeks)]


def flag_counts(asker: Asker) -> dict[str, int]:
    """How many current dates stand flagged, by flag."""
    flagged = dues_for(asker).exclude(flag="").order_by()
    return dict(flagged.values_list("flag").annotate(number=Count("pk")))
