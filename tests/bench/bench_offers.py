"""How long it takes to find free times: 20 technicians, 20 days, 10 visits a round.

Run by hand: python -m tests.bench.bench_offers
"""

from dataclasses import replace
from math import hypot
from random import Random
from statistics import quantiles
from time import perf_counter, process_time

from drainservice.engine.rounds.check import drive_round
from drainservice.engine.rounds.facts import (
    DAY_S,
    Break,
    Gate,
    PlanInputs,
    Round,
    Shift,
    Stop,
    Window,
)
from drainservice.engine.rounds.insert import (
    Candidate,
    added_drive_s,
    candidate_of,
    fits_in,
    places_for,
    room_at,
)
from drainservice.engine.rounds.offers.arrays import make_arrays, try_all, where_fits
from drainservice.engine.rounds.offers.facts import Half, OfferQuestion, Wish
from drainservice.engine.rounds.offers.find import find_offers, tables_of_present
from drainservice.engine.rounds.tables import make_tables

HOUR_S = 3600
TECHNICIANS, DAYS, VISITS, PLACES = 20, 20, 10, 480
ARRAYS_OVER_LOOP = 8
LOOP_OVER_RECHECK = 15
ANSWER_P95_S = 0.050


def draw_drives(random, side_km=40):
    """Places in a square, 1.3 times the straight way at 40 km/h, and 2 min to park."""
    points = [(random.uniform(0, side_km), random.uniform(0, side_km)) for _ in range(PLACES)]
    return tuple(
        tuple(
            0 if a == b else 120 + int(1.3 * hypot(a[0] - b[0], a[1] - b[1]) / 40 * HOUR_S)
            for b in points
        )
        for a in points
    )


def draw_stop(random, number, day):
    """Half an hour near enough; three of five with a window of two hours."""
    opens_s = day * DAY_S + random.randint(8, 15) * HOUR_S
    window = Window(opens_s, opens_s + 2 * HOUR_S)
    if random.random() < 0.4:
        window = Window(day * DAY_S + 8 * HOUR_S, day * DAY_S + 17 * HOUR_S)
    return Stop(
        number, random.randrange(TECHNICIANS, PLACES), 60 * random.randint(15, 30), (window,)
    )


def draw_rounds(visits=VISITS, seed=7):
    """Shifts from eight to five with half an hour's break, each filled with visits until sixty
    drawn ones did not fit."""
    random = Random(seed)
    drives = draw_drives(random)
    shifts, stops, rounds = [], [], []
    for day in range(DAYS):
        for technician in range(TECHNICIANS):
            at_s = day * DAY_S
            pause = Break(at_s + 11 * HOUR_S, at_s + 14 * HOUR_S, 1800)
            shift = Shift(
                technician,
                day,
                at_s + 8 * HOUR_S,
                at_s + 17 * HOUR_S,
                technician,
                technician,
                HOUR_S,
                pause,
            )
            shifts.append(shift)
            rounds.append(_fill(random, drives, shift, stops, visits))
    return PlanInputs(drives, tuple(shifts), tuple(stops), tuple(rounds)), random


def _fill(random, drives, shift, stops, visits):
    gates, number = (), shift.day * TECHNICIANS + shift.technician
    inputs = PlanInputs(drives, (shift,), ())
    missed = 0
    while len(gates) < visits and missed < 60:
        stop = draw_stop(random, len(stops), shift.day)
        inputs = replace(inputs, stops=(*inputs.stops, stop))
        tables = make_tables(inputs, Round(0, gates))
        places = places_for(tables, candidate_of(inputs, len(inputs.stops) - 1))
        if not places:
            inputs, missed = replace(inputs, stops=inputs.stops[:-1]), missed + 1
            continue
        at = min(places, key=lambda place: place.added_drive_s).before
        gates = (*gates[:at], Gate(len(inputs.stops) - 1), *gates[at:])
    first = len(stops)
    stops.extend(inputs.stops)
    return Round(number, tuple(Gate(first + gate.stop) for gate in gates))


def draw_candidate(random, inputs):
    """A visit that may come on any of the days."""
    place = random.randrange(TECHNICIANS, PLACES)
    days = range(DAYS)
    windows = tuple(Window(day * DAY_S + 8 * HOUR_S, day * DAY_S + 17 * HOUR_S) for day in days)
    stop = Stop(10**6, place, 45 * 60, windows)
    return Candidate(stop, tuple(row[place] for row in inputs.drives), inputs.drives[place])


def by_loop(tables, candidate):
    """At each place of every round: whether it fits in the round's day, and the driving added."""
    stop, found = candidate.stop, []
    for one in tables:
        window = stop.windows[one.shift.day]
        for before in range(len(one.gates) + 1):
            way_in_s = candidate.ways_in_s[one.places[before]]
            way_on_s = candidate.ways_on_s[one.places[before + 1]]
            room = room_at(one, before, way_in_s, way_on_s, stop.work_s)
            if fits_in(room, window.from_s, window.to_s):
                found.append((one.number, before, added_drive_s(one, before, candidate)))
    return found


def by_recheck(inputs, tables, candidate):
    """The same by putting the visit in and driving the whole round again."""
    stop, found = candidate.stop, []
    with_it = replace(inputs, stops=(*inputs.stops, stop))
    number = len(inputs.stops)
    for one in tables:
        gate = Gate(number, one.shift.day)
        for before in range(len(one.gates) + 1):
            gates = (*one.gates[:before], gate, *one.gates[before:])
            if drive_round(with_it, Round(one.number, gates)) is not None:
                found.append((one.number, before, added_drive_s(one, before, candidate)))
    return found


def by_arrays(arrays, windows, candidate):
    """The same at all places at once; `windows` are the bounds at each place."""
    tried = try_all(arrays, candidate)
    return where_fits(tried, *windows), tried.added_drive_s


def times_s(work, cases, clock=process_time):
    """Median and 95 % point of the seconds each case takes."""
    taken = []
    for case in cases:
        begun = clock()
        work(case)
        taken.append(clock() - begun)
    points = quantiles(taken, n=20)
    return points[9], points[18]


def main():
    """Print what was measured."""
    import numpy as np

    inputs, random = draw_rounds()
    begun = process_time()
    tables = tables_of_present(inputs)
    tables_s = process_time() - begun
    begun = process_time()
    arrays = make_arrays(tables)
    arrays_s = process_time() - begun
    places = len(arrays.before)
    visits = sum(len(one.gates) for one in tables) / len(tables)
    print(f"{len(tables)} rounds of {visits:.1f} visits, {places} places")
    print(f"all tables afresh: {tables_s * 1e3:.1f} ms; arrays of them: {arrays_s * 1e3:.1f} ms")

    candidates = [draw_candidate(random, inputs) for _ in range(60)]
    day = np.array([one.shift.day for one in tables])[arrays.round_of]
    windows = (day * DAY_S + 8 * HOUR_S, day * DAY_S + 17 * HOUR_S)
    for candidate in candidates[:3]:
        loop = by_loop(tables, candidate)
        fits, drive_s = by_arrays(arrays, windows, candidate)
        rows = zip(
            arrays.round_of[fits].tolist(),
            arrays.before[fits].tolist(),
            drive_s[fits].tolist(),
            strict=True,
        )
        assert loop == list(rows) == by_recheck(inputs, tables, candidate)
    print(f"three ways agree; the last visit fits at {len(loop)} places")

    loop_p50, loop_p95 = times_s(lambda one: by_loop(tables, one), candidates)
    recheck_p50, _ = times_s(lambda one: by_recheck(inputs, tables, one), candidates[:8])
    many = [one for one in candidates for _ in range(10)]
    arrays_p50, arrays_p95 = times_s(
        lambda one: by_arrays(arrays, windows, one), many, perf_counter
    )
    print(f"loop p50/p95: {loop_p50 * 1e3:.2f}/{loop_p95 * 1e3:.2f} ms")
    print(f"arrays p50/p95: {arrays_p50 * 1e3:.3f}/{arrays_p95 * 1e3:.3f} ms")
    print(f"insertion and full re-check p50: {recheck_p50 * 1e3:.1f} ms")
    print(f"a1 arrays against loop: {loop_p50 / arrays_p50:.1f} x (goal {ARRAYS_OVER_LOOP})")
    print(f"a2 loop against re-check: {recheck_p50 / loop_p50:.1f} x (goal {LOOP_OVER_RECHECK})")

    time_answers(inputs, tables, arrays, random, "full rounds")
    inputs, random = draw_rounds(VISITS // 2)
    tables = tables_of_present(inputs)
    time_answers(inputs, tables, make_arrays(tables), random, "half-full rounds")


def draw_question(random, inputs, tables):
    """Everything that may be asked: risks, prices, wishes, others nearby."""
    return OfferQuestion(
        inputs,
        draw_candidate(random, inputs),
        tables,
        waiting={day: random.randint(0, 40) for day in range(DAYS)},
        minute_price={0: 0.2, 1: 0.1},
        wishes=(Wish(True, frozenset({1, 3})), Wish(False, None, Half.AFTERNOON)),
        nearby=tuple(random.sample(range(TECHNICIANS, PLACES), 40)),
        due_day=15,
    )


def time_answers(inputs, tables, arrays, random, name):
    """Print how long the whole answer takes, from the question to three times and more."""
    questions = [draw_question(random, inputs, tables) for _ in range(60)]
    for question in questions[:3]:
        assert find_offers(question, arrays) == find_offers(question)
    p50, p95 = times_s(lambda one: find_offers(one, arrays), questions)
    print(f"a3 whole answer, {name}, by arrays p50/p95: {p50 * 1e3:.1f}/{p95 * 1e3:.1f} ms")
    print(f"   goal p95 {ANSWER_P95_S * 1e3:.0f} ms: {ANSWER_P95_S / p95:.1f} times within")
    p50, p95 = times_s(find_offers, questions[:20])
    print(f"   by loop p50/p95: {p50 * 1e3:.1f}/{p95 * 1e3:.1f} ms")


if __name__ == "__main__":
    main()
