"""Tables of rounds kept by this process, so that a call reads only what has changed.

A round is kept under its technician and day with the version it was read at; whoever writes into a
round raises that. What changes no version (roads, coordinates, the clock) makes an entry old after
a while. What is offered from here is tried exactly once more when it is booked.
"""

import gc
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from threading import Lock

from drainservice.accounts import wall
from drainservice.engine.rounds.facts import Gate, Shift, Stop
from drainservice.engine.rounds.offers.arrays import Arrays, make_arrays
from drainservice.engine.rounds.roads.terms import TravelTerms
from drainservice.engine.rounds.tables import Tables
from drainservice.visits.models import Round
from drainservice.visits.queries.crew import CrewShift, shifts_on
from drainservice.visits.queries.shelf_kept import (
    EPOCH,
    NEAR,
    OLD,
    OWN,
    Kept,
    Key,
    Numbers,
    ShelfQuestion,
)
from drainservice.visits.queries.shelf_reading import read_rounds

__all__ = [
    "EPOCH",
    "NEAR",
    "OLD",
    "OWN",
    "SHELF",
    "Assembled",
    "Shelf",
    "ShelfQuestion",
    "take_rounds",
]
MOST = 20_000
MANY = 100


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


@dataclass(slots=True)
class Shelf:
    """What is kept. One at a time reads and writes it."""

    numbers: Numbers = field(default_factory=Numbers)
    rounds: dict[Key, Kept] = field(default_factory=dict)
    last: tuple[Sequence[Kept], Assembled] | None = None
    travel: tuple[datetime, TravelTerms] | None = None
    is_settled: bool = False
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
    read = read_rounds(question, stale, versions, unsure, shelf.numbers)
    shelf.rounds |= {key: kept for key, kept in read.items() if key != left}
    found |= read
    if len(read) > MANY and not shelf.is_settled:
        # What stands by now will stand for long. Looking it through for garbage again and again
        # took a tenth of a second of every tenth answer.
        gc.collect()
        gc.freeze()
        shelf.is_settled = True
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


def _assemble(kept: Sequence[Kept], shelf: Shelf) -> Assembled:
    """The rounds numbered through. The last answer stands while every round is the same."""
    if shelf.last is not None and _are_same(shelf.last[0], kept):
        return shelf.last[1]
    stops: list[Stop] = []
    names: dict[int, str] = {}
    tables = []
    before = {} if shelf.last is None else _numbered(*shelf.last)
    for number, one in enumerate(kept):
        first = len(stops)
        same = before.get((id(one), number, first))
        if same is None:
            gates = tuple(Gate(first + gate) for gate in range(len(one.stops)))
            same = replace(one.tables, number=number, gates=gates)
        tables.append(same)
        stops += one.stops
        names |= one.names
    shifts = tuple(one.tables.shift for one in kept)
    arrays = make_arrays(tables)
    crew = tuple(one.crew for one in kept)
    places = tuple(sorted({place for one in kept for place in one.tables.places}))
    made = Assembled(crew, shifts, tuple(stops), tuple(tables), arrays, names, places)
    shelf.last = (kept, made)
    return made


def _numbered(kept: Sequence[Kept], made: Assembled) -> dict[tuple[int, int, int], Tables]:
    """The tables of the last answer by round, its number, and that of its first stop."""
    found, first = {}, 0
    for number, (one, tables) in enumerate(zip(kept, made.tables, strict=True)):
        found[id(one), number, first] = tables
        first += len(one.stops)
    return found


def _are_same(before: Sequence[Kept], now: Sequence[Kept]) -> bool:
    return len(before) == len(now) and all(a is b for a, b in zip(before, now, strict=True))
