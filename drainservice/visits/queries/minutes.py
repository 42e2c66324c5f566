"""Minutes of a visit, from the looks that are due and from how long the firm's own looks took."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from math import ceil
from typing import Any

from django.db.models import Count, QuerySet

from drainservice.engine.rounds.minutes import (
    LOOK_TIMES,
    LookTime,
    StopTime,
    VisitTime,
    minutes_in_words,
    time_of_visit,
)
from drainservice.inspections.models import Defect
from drainservice.register.models import Pump, System
from drainservice.visits.models import LookMinutes
from drainservice.visits.queries.closed import the_terms

__all__ = [
    "ENOUGH_RECORDS",
    "Times",
    "VisitTime",
    "learned_minutes",
    "minutes_in_words",
    "minutes_of_visit",
    "read_times",
]
# So many records of a kind of look outweigh our judgement; judgement itself.
ENOUGH_RECORDS = 20
CAMERA = "camera"
PUMP = "pump"


@dataclass(frozen=True, slots=True)
class Times:
    """How long things take, read once for many visits."""

    stop: StopTime
    looks: Mapping[str, LookTime]

    def of(
        self,
        looks_of_systems: Iterable[Iterable[str]],
        *,
        defects: int = 0,
        skills: Collection[str] = (),
    ) -> VisitTime:
        """Minutes of one visit. Who wants the skill "camera" looks into the line by camera."""
        rows = [[_by_camera(kind, skills) for kind in looks] for looks in looks_of_systems]
        return time_of_visit(rows, stop=self.stop, times=self.looks, defects=defects)


def read_times(*, promising: bool = False) -> Times:
    """Two statements. What was learned from enough records stands above our judgement: its middle
    when planning, the figure that four of five visits stayed under when `promising`."""
    terms = the_terms()
    stop = StopTime(terms.arriving_minutes, terms.closing_minutes, terms.defect_minutes)
    looks = dict(LOOK_TIMES)
    for kind, row in learned_minutes().items():
        took_s = row.high_s if promising else row.middle_s
        looks[kind] = LOOK_TIMES[kind].taking(ceil(took_s / 60))
    return Times(stop, looks)


def minutes_of_visit(
    wanted: Mapping[System, Collection[str]],
    *,
    promising: bool = False,
    skills: Collection[str] = (),
) -> VisitTime:
    """Minutes of one visit to a site's systems, each with the looks wanted there; four statements.

    Each pump of a system has its own test. Where mending is wanted its minutes hold the first open
    defect of that system, and each further one adds the firm's minutes of a defect.
    """
    mending = [system.pk for system, looks in wanted.items() if "mend" in looks]
    testing = [system.pk for system, looks in wanted.items() if PUMP in looks]
    rows = [*wanted.values(), *([PUMP] for _ in range(_further_pumps(testing)))]
    return read_times(promising=promising).of(
        rows, defects=_further_defects(mending), skills=skills
    )


def learned_minutes() -> dict[str, LookMinutes]:
    """What the firm's own visits taught, by kind of look, where they are enough."""
    rows = LookMinutes.objects.filter(records__gte=ENOUGH_RECORDS, kind__in=LOOK_TIMES)
    return {row.kind: row for row in rows}


def _further_pumps(system_ids: list[int]) -> int:
    if not system_ids:
        return 0
    standing = Pump.objects.standing().filter(system__in=system_ids, until_on__isnull=True)
    return sum(number - 1 for number in _numbers(standing))


def _further_defects(system_ids: list[int]) -> int:
    if not system_ids:
        return 0
    open_ones = Defect.objects.standing().filter(system__in=system_ids, mended_on__isnull=True)
    return sum(number - 1 for number in _numbers(open_ones))


def _numbers(rows: "QuerySet[Any]") -> list[int]:
    """How many of the rows each system has, where it has any."""
    each = rows.order_by().values("system").annotate(number=Count("pk"))
    return list(each.values_list("number", flat=True))


def _by_camera(kind: str, skills: Collection[str]) -> str:
    return CAMERA if kind == "line" and CAMERA in skills else kind
