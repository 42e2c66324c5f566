"""Invented days that break: a crew of twenty with ten visits each, and one of them ill."""

from math import hypot
from random import Random

from drainservice.engine.rounds.check import drive_round
from drainservice.engine.rounds.facts import (
    Break,
    Gate,
    PlanInputs,
    Round,
    Shift,
    Stop,
    Window,
)
from drainservice.engine.rounds.repair.broken import Away, Broken, StopFacts, Told

MIN, HOUR = 60, 3600
NOON = Break(690 * MIN, 810 * MIN, 30 * MIN)


def draw_day(seed, technicians=20, visits=10, planned_share=0.25, side_km=28):
    """Inputs, what is known of the stops, and the day broken by technician 0, ill from the start.

    Homes and visits lie in a square; each visit goes to the technician whose home is nearest and
    who still has room, each round by nearest neighbour, each promise a window of two hours on the
    whole hour about the planned start. Technician 0 has promises alone.
    """
    random = Random(seed)
    points = [(random.uniform(0, side_km), random.uniform(0, side_km)) for _ in range(technicians)]
    homes = list(range(technicians))
    points += [
        (random.uniform(0, side_km), random.uniform(0, side_km))
        for _ in range(technicians * visits)
    ]
    # 1.3 times as far by road, at 40 km/h, and two minutes to park: judgement.
    drives = tuple(
        tuple(
            0 if a == b else round(1.3 * hypot(p[0] - q[0], p[1] - q[1]) / 40 * HOUR) + 120
            for b, q in enumerate(points)
        )
        for a, p in enumerate(points)
    )
    shifts = tuple(
        Shift(who, 0, 8 * HOUR, 17 * HOUR, home, home, HOUR, NOON) for who, home in enumerate(homes)
    )
    rounds, stops, facts = [], [], {}
    for who, places in enumerate(_shared_out(drives, technicians, visits)):
        first = len(stops)
        order = _nearest_first(drives, homes[who], places)
        works = [random.choice((15, 20, 25, 30)) * MIN for _ in order]
        whole = (Window(8 * HOUR, 17 * HOUR),)
        stops += [
            Stop(1000 + place, place, work_s, whole, must=True)
            for place, work_s in zip(order, works, strict=True)
        ]
        gates = tuple(Gate(number) for number in range(first, len(stops)))
        rounds.append(Round(who, gates))
        driven = drive_round(PlanInputs(drives, shifts, tuple(stops)), rounds[-1])
        assert driven is not None, "a drawn round is too long; draw a smaller square"
        for gate, starts_s in zip(gates, driven.starts_s, strict=True):
            stop, is_planned = stops[gate.stop], who and random.random() < planned_share
            stops[gate.stop] = (
                _planned(stop, random) if is_planned else _promised(stop, starts_s, random)
            )
            facts[stop.key] = StopFacts(
                f"{stop.key} Mill Lane",
                Told.NOBODY if is_planned else Told.AGREED,
                can_wait_days=random.randint(3, 40),
            )
    inputs = PlanInputs(drives, shifts, tuple(stops), tuple(rounds))
    return inputs, Broken(6 * HOUR, away=(Away(0, 0, 24 * HOUR),)), facts


def _shared_out(drives, technicians, visits):
    """For each technician the places of their visits, round about their home."""
    free = set(range(technicians, technicians * (visits + 1)))
    shares = [[] for _ in range(technicians)]
    for _ in range(visits):
        for who, share in enumerate(shares):
            here = share[-1] if share else who
            place = min(free, key=lambda place: (drives[here][place] + drives[who][place], place))
            free.remove(place)
            share.append(place)
    return shares


def _nearest_first(drives, home, places):
    order, left, here = [], set(places), home
    while left:
        here = min(left, key=lambda place: (drives[here][place], place))
        left.remove(here)
        order.append(here)
    return order


def _promised(stop, starts_s, random):
    from_s = (starts_s // HOUR - random.randint(0, 1)) * HOUR
    window = Window(max(8 * HOUR, from_s), max(8 * HOUR, from_s) + 2 * HOUR)
    return Stop(stop.key, stop.place, stop.work_s, (window,), must=True)


def _planned(stop, random):
    worth = random.randint(20, 120)
    return Stop(stop.key, stop.place, stop.work_s, stop.windows, worth=worth)
