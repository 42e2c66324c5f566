"""Tables of rounds kept by this process, so that a call reads only what has changed.

A round is kept under its technician and day with the version it was read at; whoever writes into a
round raises that. What changes no version (roads, coordinates, the clock) makes an entry old after
a while. What is offered from here is tried exactly once more when it is booked.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from threading import Lock
from typing import Any

from drainservice.accounts import wall
from drainservice.engine.rounds.arrays import Arrays, make_arrays
from drainservice.engine.rounds.facts import Gate, Place, Shift, Stop
from drainservice.engine.rounds.tables import Tables, start_bounds, tables_of
from drainservice.engine.rounds.travel_terms import TravelTerms
from drainservice.visits.models import OPEN, HomeBase, PlanningTerms, Round, State, Visit
from drainservice.visits.queries.crew import CrewShift, shifts_on
from drainservice.visits.queries.gathered import Clock, is_over
from drainservice.visits.queries.gathered_places import Places
from drainservice.visits.queries.gathered_shifts import (
    is_settled,
    make_shift,
    settled_by_technician,
)
from drainservice.visits.queries.gathered_stops import StopFacts, is_placed, is_promised, make_stop
from drainservice.visits.queries.some_drives import drives_of_pairs

# A Monday long ago: the same seconds whichever days are asked about.
EPOCH = date(2001, 1, 1)
OLD = timedelta(minutes=10)
OLD_TODAY = timedelta(minutes=1)
MOST = 20_000
# The first numbers are lent: to the visit that is asked about, and to others near it.
OWN = 0
NEAR = range(1, 21)
Key = tuple[int, date]


class Numbers:
    """Points as numbers that stay the same while the process lives."""

    def __init__(self) -> None:
        self.points: list[Place | None] = [None] * NEAR.stop
        self._found: dict[object, int] = {}

    def of(self, point: Place | None, site_id: int = 0) -> int:
        """The number of a point, or of a site of which nobody knows where it lies. Sites at one
        point share a number, for nobody drives between them."""
        key = point or ("site", site_id)
        if key not in self._found:
            self._found[key] = len(self.points)
            self.points.append(point)
        return self._found[key]


@dataclass(frozen=True, slots=True)
class Kept:
    """One round as it was read; its stops are numbered from 0 in the order of its gates."""

    crew: CrewShift
    version: int
    read_at: datetime
    until_at: datetime
    stops: tuple[Stop, ...]
    names: Mapping[int, str]
    tables: Tables

    def holds(self, crew: CrewShift, version: int, at: datetime) -> bool:
        """Whether it still says what a new reading would."""
        is_fresh = self.read_at <= at < self.until_at
        return is_fresh and version == self.version and crew == self.crew


@dataclass(frozen=True, slots=True)
class Assembled:
    """Rounds side by side: shifts and stops numbered through, with tables and arrays."""

    crew: tuple[CrewShift, ...]
    shifts: tuple[Shift, ...]
    stops: tuple[Stop, ...]
    tables: tuple[Tables, ...]
    arrays: Arrays
    names: Mapping[int, str]
    # Every place of a round, once.
    places: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ShelfQuestion:
    """Which rounds are wanted, and by what they are read."""

    at: datetime
    zone: str
    days: Sequence[date]
    terms: PlanningTerms
    travel: TravelTerms
    without: Visit | None = None
    technicians: Iterable[int] | None = None


@dataclass(slots=True)
class Shelf:
    """What is kept. One at a time reads and writes it."""

    numbers: Numbers = field(default_factory=Numbers)
    rounds: dict[Key, Kept] = field(default_factory=dict)
    last: tuple[Sequence[Kept], Assembled] | None = None
    travel: tuple[datetime, TravelTerms] | None = None
    lock: Lock = field(default_factory=Lock)

    def clear(self) -> None:
        """Forget everything."""
        self.numbers, self.rounds, self.last, self.travel = Numbers(), {}, None, None


SHELF = Shelf()


def take_rounds(question: ShelfQuestion, shelf: Shelf = SHELF) -> Assembled:
    """Every round of the days, those without visits too; only what changed is read. The caller
    holds the shelf's lock."""
    crew = shifts_on(question.days)
    if question.technicians is not None:
        allowed = set(question.technicians)
        crew = [one for one in crew if one.technician.pk in allowed]
    if max(len(shelf.numbers.points), len(shelf.rounds)) > MOST:
        shelf.clear()
    versions = _versions(question.days)
    left = _left_round(question)
    found: dict[Key, Kept] = {}
    stale: list[CrewShift] = []
    unsure: dict[Key, Kept] = {}
    for one in crew:
        key = (one.technician.pk, one.day)
        kept = shelf.rounds.get(key)
        row = versions.get(key)
        is_kept = kept is not None and kept.holds(one, row.version if row else 0, question.at)
        if kept is None or not is_kept or key == left:
            stale.append(one)
        elif row is not None:
            found[key] = kept
        else:
            # Without a row nothing counts its changes; it stands if nothing stands in it yet.
            unsure[key] = kept
            stale.append(one)
    read = _read(question, stale, versions, unsure, shelf)
    shelf.rounds |= {key: kept for key, kept in read.items() if key != left}
    found |= read
    keys = [(one.technician.pk, one.day) for one in crew]
    return _assemble([found[key] for key in keys if key in found], shelf)


def _versions(days: Sequence[date]) -> dict[Key, Round]:
    rows = Round.objects.filter(day__in=days)
    return {(row.technician_id, row.day): row for row in rows}


def _left_round(question: ShelfQuestion) -> Key | None:
    """The round in which the visit that is asked about stands now: it is read without it."""
    visit = question.without
    if visit is None or visit.slot_starts_at is None or visit.technician_id is None:
        return None
    return visit.technician_id, wall.today_in(question.zone, visit.slot_starts_at)


def _read(
    question: ShelfQuestion,
    crew: Sequence[CrewShift],
    versions: Mapping[Key, Round],
    unsure: Mapping[Key, Kept],
    shelf: Shelf,
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
    number = _Numbering(places, shelf.numbers)
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
                (shelf.numbers.points[a], shelf.numbers.points[b])
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


def _assemble(kept: Sequence[Kept], shelf: Shelf) -> Assembled:
    """The rounds numbered through. The last answer stands while every round is the same."""
    if shelf.last is not None and _are_same(shelf.last[0], kept):
        return shelf.last[1]
    stops: list[Stop] = []
    names: dict[int, str] = {}
    tables = []
    for number, one in enumerate(kept):
        first = len(stops)
        gates = tuple(Gate(first + gate) for gate in range(len(one.stops)))
        tables.append(replace(one.tables, number=number, gates=gates))
        stops += one.stops
        names |= one.names
    shifts = tuple(one.tables.shift for one in kept)
    arrays = make_arrays(tables)
    crew = tuple(one.crew for one in kept)
    places = tuple(sorted({place for one in kept for place in one.tables.places}))
    made = Assembled(crew, shifts, tuple(stops), tuple(tables), arrays, names, places)
    shelf.last = (kept, made)
    return made


def _are_same(before: Sequence[Kept], now: Sequence[Kept]) -> bool:
    return len(before) == len(now) and all(a is b for a, b in zip(before, now, strict=True))
