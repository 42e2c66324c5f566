"""Every place and window that would do, with the least each may cost; by loop, or by arrays.

The loop is the reference; the arrays are tested equal to it.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from drainservice.engine.rounds.facts import UNIT
from drainservice.engine.rounds.insert import fits_in, room_at
from drainservice.engine.rounds.layers import NEVER_S
from drainservice.engine.rounds.offers.arrays import Arrays, nearer_s, try_all, where_fits
from drainservice.engine.rounds.offers.facts import Half, OfferQuestion
from drainservice.engine.rounds.offers.price import (
    ShiftPrice,
    least_price,
    nearest_of,
    price_shifts,
)
from drainservice.engine.rounds.offers.rules import Look

if TYPE_CHECKING:
    from drainservice.engine.rounds.offers.arrays import Whole


class Found(NamedTuple):
    """One place and window that would do: the least it costs, its day, technician, when the window
    opens, gates passed before, the look's index, the window's number there."""

    least: int
    day: int
    technician: int
    opens_s: int
    before: int
    look: int
    window: int


def half_days_of(looks: Sequence[Look]) -> dict[int, list[int]]:
    """For each open look and window the half-day: twice the day, and one more in the afternoon."""
    return {
        look.index: [2 * look.tables.shift.day + (half == Half.AFTERNOON) for half in look.halves]
        for look in looks
    }


def scan_by_loop(
    question: OfferQuestion, looks: Sequence[Look]
) -> tuple[list[Found], Mapping[int, ShiftPrice]]:
    """One place after the other, cheapest bound first; also the prices of the open shifts."""
    prices = price_shifts(question, looks)
    candidate, rows = question.candidate, []
    for look in looks:
        if look.rule is not None:
            continue
        tables, price = look.tables, prices[look.index]
        for before in range(len(tables.gates) + 1):
            way_in_s = candidate.ways_in_s[tables.places[before]]
            way_on_s = candidate.ways_on_s[tables.places[before + 1]]
            room = room_at(tables, before, way_in_s, way_on_s, candidate.stop.work_s)
            for window, bounds_s in enumerate(look.bounds_s):
                if fits_in(room, *bounds_s):
                    least = least_price(question, price, window, before, tables)
                    rows.append((look.index, window, before, least))
    return _sorted(looks, rows), prices


def scan_by_arrays(
    question: OfferQuestion, looks: Sequence[Look], arrays: Arrays
) -> tuple[list[Found], Mapping[int, ShiftPrice]]:
    """All places at once; `arrays` are those of the question's tables."""
    import numpy as np

    ways_s, nearest = question.candidate.ways_on_s, nearest_of(question)
    near = nearer_s(question.inputs, arrays, ways_s, nearest)
    prices = price_shifts(question, looks, near.tolist())
    shape = (len(looks), max((len(look.windows) for look in looks), default=0))
    from_s = np.full(shape, NEVER_S, dtype=np.int64)
    to_s = np.full(shape, -NEVER_S, dtype=np.int64)
    wishes = np.zeros(shape, dtype=np.int64)
    fixed = np.zeros((len(looks), 3), dtype=np.int64)
    for look in looks:
        if look.rule is None:
            price, count = prices[look.index], len(look.windows)
            from_s[look.index, :count] = [bounds[0] for bounds in look.bounds_s]
            to_s[look.index, :count] = [bounds[1] for bounds in look.bounds_s]
            wishes[look.index, :count] = price.wishes
            fixed[look.index] = (price.least, price.hours.booked_s, price.hours.paid_s)
    tried = try_all(arrays, question.candidate)
    fits = where_fits(tried, from_s[arrays.round_of], to_s[arrays.round_of])
    place, window = np.nonzero(fits)
    rounds, drive_s = arrays.round_of[place], tried.added_drive_s[place]
    least = fixed[rounds, 0] + wishes[rounds, window] + drive_s
    least += _reserve(question, fixed[rounds, 1], fixed[rounds, 2], drive_s)
    return _sorted_by_arrays(looks, rounds, window, arrays.before[place], least), prices


def _reserve(
    question: OfferQuestion, booked_s: "Whole", paid_s: "Whole", drive_s: "Whole"
) -> "Whole":
    """`offer_price.reserve_price` for many places."""
    import numpy as np

    terms = question.terms
    more_s = question.candidate.stop.work_s + drive_s
    over = 100 * (booked_s + more_s) - (100 - terms.reserve_percent) * paid_s
    price: Whole = UNIT * terms.per_five_percent * over // (5 * np.maximum(1, paid_s))
    return np.where(over > 0, price, 0)


def _sorted_by_arrays(
    looks: Sequence[Look], rounds: "Whole", window: "Whole", before: "Whole", least: "Whole"
) -> list[Found]:
    """`_sorted` of many."""
    import numpy as np

    day = np.array([look.tables.shift.day for look in looks], dtype=np.int64)
    technician = np.array([look.tables.shift.technician for look in looks], dtype=np.int64)
    opens_s = np.zeros((len(looks), max((len(one.windows) for one in looks), default=0)), np.int64)
    for number, look in enumerate(looks):
        opens_s[number, : len(look.windows)] = [one.from_s for one in look.windows]
    columns = (
        least,
        day[rounds],
        technician[rounds],
        opens_s[rounds, window],
        before,
        rounds,
        window,
    )
    order = np.lexsort(columns[::-1])
    rows = zip(*(column[order].tolist() for column in columns), strict=True)
    return list(map(Found._make, rows))


def _sorted(looks: Sequence[Look], rows: Iterable[tuple[int, int, int, int]]) -> list[Found]:
    """By least price, day, technician, window and place."""
    named = [
        (look.tables.shift.day, look.tables.shift.technician, [w.from_s for w in look.windows])
        for look in looks
    ]
    return sorted(
        Found(least, named[look][0], named[look][1], named[look][2][window], before, look, window)
        for look, window, before, least in rows
    )
