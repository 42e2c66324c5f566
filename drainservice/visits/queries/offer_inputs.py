"""What a question for a time is made of: the visit, its ways, who waits nearby, full weeks."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, cast

from drainservice.accounts import wall
from drainservice.engine.rounds.facts import Place, PlanInputs, Stop
from drainservice.engine.rounds.facts import Window as EngineWindow
from drainservice.engine.rounds.insert import Candidate
from drainservice.engine.rounds.offers.facts import (
    Half,
    OfferQuestion,
    OfferTerms,
    Wish,
)
from drainservice.engine.rounds.roads.terms import TravelTerms
from drainservice.engine.rounds.roads.travel import drives_between
from drainservice.register.models import Site, System
from drainservice.visits.models import (
    Plan,
    PlanKind,
    PlanState,
    State,
    Visit,
)
from drainservice.visits.queries.gathered import Clock, tariff_of
from drainservice.visits.queries.gathered_places import UNKNOWN_S
from drainservice.visits.queries.gathered_stops import apart_of, areas_of, usual_technicians
from drainservice.visits.queries.shelf import (
    EPOCH,
    NEAR,
    OWN,
    Assembled,
    ShelfQuestion,
)
from drainservice.visits.queries.some_drives import drives_of_pairs, ways_of
from drainservice.visits.queries.worth import waiting_of

# Nobody is offered a time that begins in less than this; judgement, no source.
SOONEST = timedelta(hours=1)
# Visits that wait within so many degrees and weeks draw an offer near; judgement.
NEAR_LAT, NEAR_LON, NEAR_WEEKS, NEAR_MOST = 0.15, 0.2, 6, 200


@dataclass(frozen=True, slots=True)
class Wanted:
    """A visit that looks for a time. `without` is the visit itself where it has one already."""

    site: Site
    minutes: int
    skills: frozenset[str] = frozenset()
    likes: tuple[str, ...] = ()
    wanted_by: date | None = None
    systems: tuple[System, ...] = ()
    without: Visit | None = None


def make_question(
    wanted: Wanted,
    rounds: Assembled,
    points: list[Place | None],
    point: Place | None,
    asking: ShelfQuestion,
) -> OfferQuestion:
    clock, terms = Clock(EPOCH, asking.zone), asking.terms
    nearby = _lend_near(wanted, points, point, clock.day0, asking)
    ways_in_s, ways_on_s = ways_of(point, points, asking.travel)
    ways_in_s[OWN] = ways_on_s[OWN] = 0
    areas = areas_of(rounds.crew)
    apart = apart_of(point, areas, terms.outside_area_units)
    last_s = ((asking.days[-1] - EPOCH).days + 1) * 86_400
    stop = Stop(
        key=wanted.without.pk if wanted.without is not None else 0,
        place=OWN,
        work_s=wanted.minutes * 60,
        windows=(EngineWindow(clock.seconds_of(asking.at + SOONEST), last_s),),
        must=True,
        skills=wanted.skills,
        only=None if asking.technicians is None else frozenset(asking.technicians),
        usual=usual_technicians([wanted.site.pk]).get(wanted.site.pk),
        apart=apart,
    )
    drives = cast(Any, _Drives(rounds, points, nearby, asking.travel))
    today = wall.today_in(asking.zone, asking.at)
    waiting = waiting_of(wanted.systems, today, asking.days)
    return OfferQuestion(
        inputs=PlanInputs(drives, rounds.shifts, rounds.stops, tariff=tariff_of(terms)),
        candidate=Candidate(stop, tuple(ways_in_s), tuple(ways_on_s)),
        tables=rounds.tables,
        terms=OfferTerms(
            window_s=terms.window_minutes * 60,
            step_s=terms.grid_minutes * 60,
            reserve_percent=terms.reserve_percent,
        ),
        first_weekday=EPOCH.weekday(),
        waiting={(day - EPOCH).days: units for day, units in waiting.items()},
        minute_price=_minute_prices(asking.days),
        wishes=wishes_of(wanted.likes),
        outside_area_of=frozenset(technician for technician, _ in apart),
        nearby=tuple(nearby),
        due_day=None if wanted.wanted_by is None else (wanted.wanted_by - EPOCH).days,
    )


def wishes_of(likes: Iterable[str]) -> tuple[Wish, ...]:
    """Weekdays and a half of the day, both together where both are liked; both halves are none."""
    told = {str(like) for like in likes}
    weekdays = frozenset(int(like) for like in told if like.isdigit() and int(like) < 7)
    halves = [half for half in Half if half.value in told]
    half = halves[0] if len(halves) == 1 else None
    if not weekdays and half is None:
        return ()
    return (Wish(True, weekdays or None, half),)


def _lend_near(
    wanted: Wanted,
    points: list[Place | None],
    point: Place | None,
    day0: date,
    asking: ShelfQuestion,
) -> list[int]:
    """Lend the first numbers to the visits nearest by that wait for a time."""
    if point is None:
        return []
    until = wall.today_in(asking.zone, asking.at) + timedelta(weeks=NEAR_WEEKS)
    rows = Visit.objects.standing().filter(
        state=State.PLANNED,
        slot_starts_at__isnull=True,
        meant_for__lte=until,
        site__latitude__range=(point.lat - NEAR_LAT, point.lat + NEAR_LAT),
        site__longitude__range=(point.lon - NEAR_LON, point.lon + NEAR_LON),
    )
    if wanted.without is not None:
        rows = rows.exclude(pk=wanted.without.pk)
    found = {
        Place(lat, lon)
        for lat, lon in rows.order_by("pk").values_list("site__latitude", "site__longitude")[
            :NEAR_MOST
        ]
    } - {point}
    nearest = sorted(
        found, key=lambda p: ((p.lat - point.lat) ** 2 + (p.lon - point.lon) ** 2, p.lat, p.lon)
    )[: len(NEAR)]
    lent = list(NEAR)[: len(nearest)]
    for number, place in zip(lent, nearest, strict=True):
        points[number] = place
    return lent


class _Drives(dict[int, "_Row"]):
    """Drives between numbered points: those to the visits nearby are reckoned at once, the few
    others when they are asked for."""

    def __init__(
        self, rounds: Assembled, points: Sequence[Place | None], lent: list[int], terms: TravelTerms
    ) -> None:
        super().__init__()
        self.points, self.terms = points, terms
        nodes = rounds.places if lent else []
        ends = [cast(Place, points[number]) for number in lent]
        known = [number for number in nodes if points[number] is not None]
        table = drives_between([cast(Place, points[n]) for n in known], ends, terms).tolist()
        for number in nodes:
            self[number] = _Row(self, number, dict.fromkeys(lent, UNKNOWN_S))
        for number, row in zip(known, table, strict=True):
            self[number] = _Row(self, number, zip(lent, row, strict=True))

    def __len__(self) -> int:
        return len(self.points)

    def __missing__(self, start: int) -> "_Row":
        row = self[start] = _Row(self, start, {})
        return row


class _Row(dict[int, int]):
    def __init__(self, of: _Drives, start: int, known: Any) -> None:
        super().__init__(known)
        self._of, self._start = of, start

    def __missing__(self, end: int) -> int:
        points = self._of.points
        s = self[end] = drives_of_pairs([(points[self._start], points[end])], self._of.terms)[0]
        return s


def _minute_prices(days: Sequence[date]) -> dict[int, float]:
    """What a minute costs in each full week, by the newest season plan that was adopted."""
    adopted = Plan.objects.standing().filter(
        kind=PlanKind.SEASON,
        state=PlanState.ADOPTED,
        first_on__lte=days[-1],
        last_on__gte=days[0],
    )
    levels = adopted.order_by("-pk").values_list("proposal__levels", flat=True).first()
    prices = {}
    for level in levels or []:
        monday = date.fromisoformat(level["starts_on"])
        prices[(monday - EPOCH).days // 7] = float(level["price"])
    return prices
