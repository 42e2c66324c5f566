"""Small drawn rounds, tight enough that many places are refused."""

from dataclasses import replace
from random import Random

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

MIN = 60


def make_shift(**changed):
    """Eight to five, home at place 0, no break."""
    facts = {
        "technician": 1,
        "day": 0,
        "starts_s": 480 * MIN,
        "ends_s": 1020 * MIN,
        "leaves_from": 0,
        "returns_to": 0,
    }
    return Shift(**{**facts, **changed})


def make_stop(place=1, from_min=480, to_min=1020, work_min=30, **changed):
    """A promised visit of half an hour, any time of the day."""
    facts = {
        "key": place,
        "place": place,
        "work_s": work_min * MIN,
        "windows": (Window(from_min * MIN, to_min * MIN),),
        "must": True,
    }
    return Stop(**{**facts, **changed})


def draw_window(random, shift):
    """Any window that touches the shift; one in ten is a second long, one in ten the whole day."""
    kind = random.random()
    if kind < 0.1:
        return Window(shift.starts_s, shift.closes_s)
    from_s = random.randint(shift.starts_s - 30 * MIN, shift.closes_s - 30 * MIN)
    return Window(from_s, from_s + (1 if kind < 0.2 else random.randint(10 * MIN, 240 * MIN)))


def draw_break(random, shift):
    """None in a quarter, of no length in one in eight; else up to an hour, in up to three hours."""
    if random.random() < 0.25:
        return None
    from_s = random.randint(shift.starts_s - 30 * MIN, shift.ends_s - 30 * MIN)
    length_s = 0 if random.random() < 0.125 else random.randint(10 * MIN, 60 * MIN)
    return Break(from_s, from_s + random.randint(0, 180 * MIN), length_s)


def draw_drives(random, places):
    """Any drives, not even one way like the other, some nought; without a law of triangles."""
    return tuple(
        tuple(0 if a == b or random.random() < 0.1 else random.randint(0, 45 * MIN) for b in places)
        for a in places
    )


def shortest_ways(drives):
    """The same with the law of triangles: each drive by whichever places are quickest (Floyd's
    algorithm)."""
    ways = [list(row) for row in drives]
    for by in range(len(ways)):
        for a in range(len(ways)):
            for b in range(len(ways)):
                ways[a][b] = min(ways[a][b], ways[a][by] + ways[by][b])
    return tuple(tuple(row) for row in ways)


def draw_inputs(seed, most=6):
    """One shift and one stop more than `most`; whether they fit together is left to chance."""
    random = Random(seed)
    starts_s = random.randint(420, 540) * MIN
    plain = make_shift(
        starts_s=starts_s,
        ends_s=starts_s + random.randint(240, 600) * MIN,
        overtime_s=random.choice([0, 0, 60 * MIN]),
        returns_to=random.randint(0, 1),
    )
    shift = replace(plain, pause=draw_break(random, plain))
    stops = tuple(
        Stop(
            key=100 + number,
            place=2 + number,
            work_s=random.randint(0, 60) * MIN,
            windows=(draw_window(random, shift),),
            must=random.random() < 0.7,
            usual=random.choice([None, 1, 2]),
            apart=random.choice([(), ((1, -20),), ((2, 30),)]),
            load=random.randint(0, 3),
        )
        for number in range(most + 1)
    )
    return PlanInputs(draw_drives(random, range(most + 3)), (shift,), stops), random


def draw_round(seed, most=6):
    """Inputs with a round of up to `most` gates that can be driven, and the last stop outside it.

    Each stop is put where it first fits, in drawn order of places; one that fits nowhere stays out.
    """
    inputs, random = draw_inputs(seed, most)
    round_ = Round(0)
    for number in range(random.randint(0, most)):
        places = list(range(len(round_.gates) + 1))
        random.shuffle(places)
        tries = (with_gate(round_, before, number) for before in places)
        round_ = next((one for one in tries if drive_round(inputs, one)), round_)
    return inputs, round_


def with_gate(round_, before, number):
    """The round with this stop after `before` gates."""
    gates = round_.gates
    return replace(round_, gates=(*gates[:before], Gate(number), *gates[before:]))


def draw_days(seed, technicians=2, days=3, most=3):
    """A few rounds that can be driven, and one more stop that may come on any of the days."""
    random = Random(seed)
    shifts = []
    for day in range(days):
        for technician in range(technicians):
            (shift,) = draw_inputs(random.random(), 1)[0].shifts
            shifts.append(on_day(replace(shift, technician=technician), day))
    places = 2 + len(shifts) * most + 2
    stops, rounds = [], []
    drives = draw_drives(random, range(places))
    for number, shift in enumerate(shifts):
        round_ = Round(number)
        for _ in range(random.randint(0, most)):
            stop = Stop(
                key=100 + len(stops),
                place=2 + len(stops),
                work_s=random.randint(0, 60) * MIN,
                windows=(draw_window(random, shift),),
                must=random.random() < 0.7,
            )
            longer = with_gate(round_, random.randint(0, len(round_.gates)), len(stops))
            tried = PlanInputs(drives, tuple(shifts), (*stops, stop))
            if drive_round(tried, longer) is not None:
                stops.append(stop)
                round_ = longer
        rounds.append(round_)
    windows = tuple(
        Window(day * DAY_S + 7 * 60 * MIN, day * DAY_S + 18 * 60 * MIN)
        for day in range(days)
        if random.random() < 0.8
    )
    stops.append(
        Stop(
            key=999,
            place=places - 1,
            work_s=random.randint(5, 200) * MIN,
            windows=windows or (Window(0, DAY_S),),
            only=random.choice([None, None, frozenset({0})]),
            usual=random.choice([None, 0, 1]),
            apart=random.choice([(), ((1, -20),), ((0, 30),)]),
        )
    )
    present = tuple(round_ for round_ in rounds if round_.gates)
    return PlanInputs(drives, tuple(shifts), tuple(stops), present)


def on_day(shift, day):
    """The shift on another day."""
    later_s = day * DAY_S
    pause = shift.pause
    if pause is not None:
        pause = replace(
            pause, earliest_s=pause.earliest_s + later_s, latest_s=pause.latest_s + later_s
        )
    return replace(
        shift,
        day=day,
        starts_s=shift.starts_s + later_s,
        ends_s=shift.ends_s + later_s,
        pause=pause,
    )
