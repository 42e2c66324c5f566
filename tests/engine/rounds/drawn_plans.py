"""Drawn plan inputs with every rule in them, small enough to be tried in every order."""

from dataclasses import replace
from itertools import permutations, product
from random import Random

from drainservice.engine.rounds.check import count_cost, drive_round, find_faults
from drainservice.engine.rounds.facts import (
    DAY_S,
    Break,
    Gate,
    Plan,
    PlanInputs,
    Round,
    Shift,
    Stop,
    Tariff,
    Window,
    may_go,
)

MIN = 60


def draw_shift(random, technician, day, home):
    """Six to nine hours from about eight, often with a break, overtime or a bounded van."""
    starts_s = day * DAY_S + random.randint(420, 540) * MIN
    ends_s = starts_s + random.randint(360, 540) * MIN
    from_s = starts_s + random.randint(120, 240) * MIN
    pause = Break(from_s, from_s + random.randint(0, 120) * MIN, random.choice([0, 30, 45]) * MIN)
    return Shift(
        technician=technician,
        day=day,
        starts_s=starts_s,
        ends_s=ends_s,
        leaves_from=home,
        returns_to=home,
        overtime_s=random.choice([0, 60 * MIN]),
        pause=random.choice([None, pause, pause]),
        skills=random.choice([frozenset(), frozenset({"electric"})]),
        room=random.choice([None, None, 6]),
    )


def draw_stop(random, number, place, technicians, days):
    """An optional stop in one to three windows, on any of the days."""
    windows = []
    for _ in range(random.choice([1, 1, 2, 3])):
        from_s = random.randrange(days) * DAY_S + random.randint(420, 900) * MIN
        windows.append(Window(from_s, from_s + random.choice([60, 120, 240, 480]) * MIN))
    return Stop(
        key=100 + number,
        place=place,
        work_s=random.randint(10, 120) * MIN,
        windows=tuple(windows),
        worth=random.choice([5, 40, 100, 400]),
        skills=frozenset({"electric"}) if random.random() < 0.2 else frozenset(),
        only=frozenset({random.randrange(technicians)}) if random.random() < 0.15 else None,
        usual=random.choice([None, *range(technicians)]),
        apart=random.choice([(), (), ((0, -20),), ((technicians - 1, 40),)]),
        move_units=random.choice([None, None, 30]),
        load=random.randint(0, 3),
    )


def draw_drives(random, places, scale=1.0):
    """Minutes between points on a plain, two more to park, as by a good road table: going by a
    third place is never quicker."""
    points = [(random.uniform(0, 40), random.uniform(0, 40)) for _ in range(places)]
    return tuple(
        tuple(
            0 if a == b else 120 + int(scale * MIN * (abs(a[0] - b[0]) + abs(a[1] - b[1])))
            for b in points
        )
        for a in points
    )


def draw_plan(seed, technicians=2, days=1, stops=5, scale=1.0, even_units=0):
    """Inputs whose present rounds hold; about half of what is in them is promised in its one
    window, and a few are promised to one technician, or locked in their start."""
    random = Random(seed)
    places = technicians + stops
    drives = draw_drives(random, places, scale)
    shifts = tuple(
        draw_shift(random, who, day, who) for day in range(days) for who in range(technicians)
    )
    drawn = [draw_stop(random, n, technicians + n, technicians, days) for n in range(stops)]
    inputs = PlanInputs(drives, shifts, tuple(drawn), tariff=Tariff(even_units=even_units))
    present: dict[int, tuple[Gate, ...]] = {}
    for number in range(stops):
        put = put_anywhere(inputs, present, number, random)
        if put is not None and random.random() < 0.7:
            present = put
    return promise(replace(inputs, present=as_rounds(present)), random)


def put_anywhere(inputs, present, number, random):
    """The rounds with a stop at some place that holds; None where there is none."""
    places = [
        (shift, window, before)
        for shift in range(len(inputs.shifts))
        if may_go(inputs.stops[number], inputs.shifts[shift])
        for window in range(len(inputs.stops[number].windows))
        for before in range(len(present.get(shift, ())) + 1)
    ]
    random.shuffle(places)
    for shift, window, before in places:
        gates = present.get(shift, ())
        new = {**present, shift: (*gates[:before], Gate(number, window), *gates[before:])}
        if not faults_of_rounds(inputs, as_rounds(new)):
            return new
    return None


def faults_of_rounds(inputs, rounds):
    """What the judge says of these rounds, whatever is in none."""
    placed = {gate.stop for round_ in rounds for gate in round_.gates}
    rest = tuple(s for s in range(len(inputs.stops)) if s not in placed)
    return find_faults(inputs, Plan(rounds, rest))


def promise(inputs, random):
    """Half of the present stops become promises: one window, left out never."""
    stops = list(inputs.stops)
    rounds = []
    for round_ in inputs.present:
        driven = drive_round(inputs, round_)
        gates = []
        for gate, start_s in zip(round_.gates, driven.starts_s, strict=True):
            old = stops[gate.stop]
            draw = random.random()
            if draw < 0.5:
                who = frozenset({inputs.shifts[round_.shift].technician})
                stops[gate.stop] = replace(
                    old,
                    windows=(old.windows[gate.window],),
                    must=True,
                    only=who if draw < 0.1 else old.only,
                    fixed_s=start_s if 0.1 <= draw < 0.2 else None,
                )
                gate = Gate(gate.stop)
            gates.append(gate)
        rounds.append(Round(round_.shift, tuple(gates)))
    return replace(inputs, stops=tuple(stops), present=tuple(rounds))


def as_rounds(present):
    """Rounds of gates by shift."""
    return tuple(Round(shift, gates) for shift, gates in sorted(present.items()) if gates)


def cheapest_by_brute_force(inputs):
    """The least cost of all plans that the judge lets pass; None where none does.

    Each shift's cheapest order of each set of stops, by every order and every window; then every
    way to share the stops out.
    """
    count, best = len(inputs.stops), {}
    for shift in range(len(inputs.shifts)):
        for chosen in product((False, True), repeat=count):
            members = [s for s in range(count) if chosen[s]]
            best[shift, tuple(members)] = _cheapest_round(inputs, shift, members)
    costs = []
    for where in product(range(-1, len(inputs.shifts)), repeat=count):
        if any(shift < 0 and inputs.stops[s].must for s, shift in enumerate(where)):
            continue
        parts = [
            best[shift, tuple(s for s in range(count) if where[s] == shift)]
            for shift in range(len(inputs.shifts))
        ]
        if None not in parts:
            left = tuple(s for s in range(count) if where[s] < 0)
            costs.append(sum(parts) + _cost_of(inputs, (), left))
    return min(costs, default=None)


def _cheapest_round(inputs, shift, members):
    # A part of a plan is judged alone, without the promises that stand in other rounds.
    free = replace(inputs, stops=tuple(replace(stop, must=False) for stop in inputs.stops))
    costs = []
    for order in permutations(members):
        windows = [range(len(inputs.stops[s].windows)) for s in order]
        for choice in product(*windows):
            gates = tuple(Gate(s, w) for s, w in zip(order, choice, strict=True))
            round_ = Round(shift, gates)
            if gates and faults_of_rounds(free, (round_,)):
                continue
            costs.append(_cost_of(inputs, (round_,) if gates else (), ()))
    return min(costs, default=None)


def _cost_of(inputs, rounds, left_out):
    """The judge's cost of a part of a plan: moves are counted for its own stops alone."""
    of_part = {gate.stop for round_ in rounds for gate in round_.gates} | set(left_out)
    present = tuple(
        replace(round_, gates=tuple(g for g in round_.gates if g.stop in of_part))
        for round_ in inputs.present
    )
    return count_cost(replace(inputs, present=present), Plan(rounds, left_out)).total
