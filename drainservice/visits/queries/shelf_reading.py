"""Rounds read from their rows: shifts, stops, drives and tables."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, time, timedelta
from itertools import pairwise
from typing import Any

from drainservice.accounts import wall
from drainservice.engine.rounds.facts import Gate, Shift, Stop
from drainservice.engine.rounds.tables import start_bounds, tables_of
from drainservice.visits.models import OPEN, HomeBase, Round, State, Visit
from drainservice.visits.queries.crew import CrewShift
from drainservice.visits.queries.gathered import Clock, is_over
from drainservice.visits.queries.gathered_places import Places
from drainservice.visits.queries.gathered_shifts import (
    is_settled,
    make_shift,
    settled_by_technician,
)
from drainservice.visits.queries.gathered_stops import StopFacts, is_placed, is_promised, make_stop
from drainservice.visits.queries.shelf_kept import (
    EPOCH,
    OLD,
    OLD_TODAY,
    Kept,
    Key,
    Numbers,
    ShelfQuestion,
)
from drainservice.visits.queries.some_drives import drives_of_pairs


def read_rounds(
    question: ShelfQuestion,
    crew: Sequence[CrewShift],
    versions: Mapping[Key, Round],
    unsure: Mapping[Key, Kept],
    numbers: Numbers,
) -> dict[Key, Kept]:
    if not crew:
        return {}
    at, clock = question.at, Clock(EPOCH, question.zone)
    today = wall.today_in(question.zone, at)
    visits = _visits(question, crew, clock)
    empty = {key: kept for key, kept in unsure.items() if key not in visits and not kept.stops}
    crew = [one for one in crew if (one.technician.pk, one.day) not in empty]
    places = Places(
        (one.base for one in crew if one.base is not None),
        [visit.site for each in visits.values() for visit in each],
    )
    number = _Numbering(places, numbers)
    drafts = []
    for one in crew:
        key = (one.technician.pk, one.day)
        here = visits.get(key, [])
        settled = settled_by_technician(here, today, number.of_site)
        shift = make_shift(
            one,
            day0=EPOCH,
            base=number.of_base(one.base),
            seconds_of=clock.seconds_of,
            at=at,
            settled=settled.get(one.technician.pk, ()),
            round_=versions.get(key),
        )
        if shift is not None:
            drafts.append(_draft(question, one, shift, here, number, clock, today))
    legs = iter(
        drives_of_pairs(
            [
                (numbers.points[a], numbers.points[b])
                for draft in drafts
                for a, b in pairwise(draft.nodes)
            ],
            question.travel,
        )
    )
    read = {draft.key: draft.kept(legs, question, versions, today) for draft in drafts}
    return {**empty, **read}


def _visits(
    question: ShelfQuestion, crew: Sequence[CrewShift], clock: Clock
) -> dict[Key, list[Visit]]:
    """What stands, or was done, in these rounds, in order of time."""
    wanted = {(one.technician.pk, one.day) for one in crew}
    days = [one.day for one in crew]
    first = wall.instant(min(days), time(0), clock.zone)
    end = wall.instant(max(days) + timedelta(days=1), time(0), clock.zone)
    rows = Visit.objects.standing().filter(
        slot_starts_at__gte=first,
        slot_starts_at__lt=end,
        technician__in={who for who, _ in wanted},
        state__in=[*OPEN, State.MADE, State.NOT_REACHED],
    )
    if question.without is not None:
        rows = rows.exclude(pk=question.without.pk)
    found: dict[Key, list[Visit]] = {}
    for visit in rows.select_related("site").order_by("slot_starts_at", "pk"):
        assert visit.slot_starts_at is not None
        key = (visit.technician_id or 0, clock.day_of(clock.seconds_of(visit.slot_starts_at)))
        if key in wanted:
            found.setdefault(key, []).append(visit)
    return found


class _Numbering:
    """Sites and bases of one reading by the shelf's numbers."""

    def __init__(self, places: Places, numbers: Numbers) -> None:
        self._places, self._numbers = places, numbers

    def of_site(self, site_id: int) -> int:
        return self._numbers.of(self._places.points[self._places.of_site(site_id)], site_id)

    def of_base(self, base: HomeBase | None) -> int:
        return self._numbers.of(self._places.points[self._places.of_base(base)])


@dataclass(frozen=True, slots=True)
class _Draft:
    """A round whose drives are still to be reckoned."""

    crew: CrewShift
    shift: Shift
    visits: Sequence[Visit]
    stops: tuple[Stop, ...]

    @property
    def key(self) -> Key:
        return self.crew.technician.pk, self.crew.day

    @property
    def nodes(self) -> list[int]:
        stops = [stop.place for stop in self.stops]
        return [self.shift.leaves_from, *stops, self.shift.returns_to]

    def kept(
        self, legs: Any, question: ShelfQuestion, versions: Mapping[Key, Round], today: date
    ) -> Kept:
        gates = tuple(Gate(number) for number in range(len(self.stops)))
        nodes = self.nodes
        tables = tables_of(
            0,
            self.shift,
            gates,
            nodes,
            [start_bounds(stop, gate) for stop, gate in zip(self.stops, gates, strict=True)],
            [stop.work_s for stop in self.stops],
            [next(legs) for _ in pairwise(nodes)],
        )
        until_at = question.at + (OLD_TODAY if self.crew.day == today else OLD)
        held = [visit.held_until for visit in self.visits if visit.held_until is not None]
        row = versions.get(self.key)
        return Kept(
            crew=self.crew,
            version=row.version if row else 0,
            read_at=question.at,
            until_at=min([until_at, *held]),
            stops=self.stops,
            names={visit.pk: visit.site.address for visit in self.visits},
            tables=tables,
        )


def _draft(
    question: ShelfQuestion,
    crew: CrewShift,
    shift: Shift,
    visits: Sequence[Visit],
    number: _Numbering,
    clock: Clock,
    today: date,
) -> _Draft:
    """The stops of a round: promises in their windows, the firm's own plans on that whole day."""
    at = question.at
    day = (crew.day - EPOCH).days
    facts = StopFacts(
        day0=EPOCH,
        at=at,
        seconds_of=clock.seconds_of,
        spans={day: (shift.starts_s, shift.closes_s)},
        terms=question.terms,
        usual={},
        areas={},
    )
    rows, stops = [], []
    for visit in visits:
        is_out = visit.state not in OPEN or is_settled(visit, today) or not is_placed(visit, at)
        if is_out or (is_promised(visit, at) and is_over(visit, at)):
            continue
        stop = make_stop(visit, number.of_site(visit.site_id), None, facts)
        if stop is not None:
            rows.append(visit)
            # Where a half of the day is liked, the start that stands may lie in the other.
            stops.append(stop if stop.must else replace(stop, windows=stop.windows[-1:]))
    return _Draft(crew, shift, rows, tuple(stops))
