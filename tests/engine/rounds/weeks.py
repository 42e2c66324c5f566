"""Invented weeks of a firm: technicians with breaks and overtime, households some of whom have a
promised window, the rest free to go in on any day at the price of the risk of waiting."""

from dataclasses import replace
from math import ceil, hypot
from random import Random

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
from drainservice.engine.rounds.search.draft import empty_draft
from drainservice.engine.rounds.search.figures import make_figures

MIN = 60
STARTS_MIN, ENDS_MIN = 480, 1020
SPREAD_KM = 28


def drive_s(a, b):
    """3 km at 30 km/h, 12 at 40, the rest at 60, detour 1.3, two minutes to park: judgement."""
    if a == b:
        return 0
    km = 1.3 * hypot(a[0] - b[0], a[1] - b[1])
    hours = min(km, 3) / 30 + max(0, min(km, 15) - 3) / 40 + max(0, km - 15) / 60
    return ceil(3600 * hours) + 120


def draw_points(random, count):
    """Half of them about five villages, half anywhere."""
    villages = [(random.uniform(0, SPREAD_KM), random.uniform(0, SPREAD_KM)) for _ in range(5)]
    points = []
    for _ in range(count):
        if random.random() < 0.5:
            x, y = random.choice(villages)
            points.append((random.gauss(x, 1.5), random.gauss(y, 1.5)))
        else:
            points.append((random.uniform(0, SPREAD_KM), random.uniform(0, SPREAD_KM)))
    return points


def make_shifts(technicians, days):
    """Eight to five with an hour of overtime and half an hour's break about noon; two in three are
    electricians."""
    return tuple(
        Shift(
            technician=who,
            day=day,
            starts_s=day * DAY_S + STARTS_MIN * MIN,
            ends_s=day * DAY_S + ENDS_MIN * MIN,
            leaves_from=who,
            returns_to=who,
            overtime_s=60 * MIN,
            pause=Break(day * DAY_S + 690 * MIN, day * DAY_S + 810 * MIN, 30 * MIN),
            skills=frozenset({"electric"}) if who % 3 else frozenset(),
        )
        for day in range(days)
        for who in range(technicians)
    )


def free_stop(random, key, place, technicians, days):
    """Half an hour to an hour and a quarter on any of the days, at some risk if left out."""
    windows = tuple(
        Window(day * DAY_S + STARTS_MIN * MIN, day * DAY_S + ENDS_MIN * MIN) for day in range(days)
    )
    return Stop(
        key=key,
        place=place,
        work_s=60 * random.choice([30, 35, 40, 45, 60, 75, 90]),
        windows=windows,
        worth=random.choice([40, 60, 60, 90, 120, 200, 400]),
        skills=frozenset({"electric"}) if random.random() < 0.2 else frozenset(),
        usual=random.randrange(technicians) if random.random() < 0.4 else None,
        apart=((random.randrange(technicians), 30),) if random.random() < 0.2 else (),
    )


def make_week(technicians, days, visits, promised, seed=1):
    """Plan inputs whose present rounds hold the promised visits, each in a window of two hours."""
    random = Random(seed)
    points = draw_points(random, technicians + visits)
    drives = tuple(tuple(drive_s(a, b) for b in points) for a in points)
    shifts = make_shifts(technicians, days)
    stops = [free_stop(random, 1000 + n, technicians + n, technicians, days) for n in range(visits)]
    rounds = Promises(PlanInputs(drives, shifts, tuple(stops)), random)
    for number in range(promised):
        stops[number] = rounds.promise(number)
    inputs = PlanInputs(drives, shifts, tuple(stops))
    return PlanInputs(drives, shifts, tuple(stops), present_of(inputs, rounds.order))


class Promises:
    """Promises made one after another at places that still hold them, as on the telephone."""

    def __init__(self, inputs, random):
        self.stops = list(inputs.stops)
        self.inputs, self.random = inputs, random
        self.order = {}

    def promise(self, number):
        """The stop with a window on a random day in which a random shift can still come."""
        while True:
            hour = self.random.randrange(STARTS_MIN // 60, ENDS_MIN // 60 - 1)
            shift = self.random.choice(
                [
                    s
                    for s, x in enumerate(self.inputs.shifts)
                    if self.stops[number].skills <= x.skills
                ]
            )
            day_s = self.inputs.shifts[shift].day * DAY_S
            window = Window(day_s + hour * 3600, day_s + (hour + 2) * 3600)
            old = self.stops[number]
            new = Stop(
                old.key,
                old.place,
                old.work_s,
                (window,),
                must=True,
                skills=old.skills,
                usual=old.usual,
                apart=old.apart,
            )
            held = self._with(shift, number, new)
            if held is not None:
                self.stops[number], self.order[shift] = new, held
                return new

    def _with(self, shift, number, stop):
        """The shift's stops in order with one more; None where it does not fit."""
        members = [*self.order.get(shift, ()), number]
        # Home and the members' places alone, so that a large week is made as fast as a small one.
        whole, home = self.inputs.drives, self.inputs.shifts[shift].leaves_from
        places = [home, *(self.stops[m].place for m in members)]
        drives = tuple(tuple(whole[a][b] for b in places) for a in places)
        stops = tuple(
            replace(stop if m == number else self.stops[m], place=n)
            for n, m in enumerate(members, start=1)
        )
        only = replace(self.inputs.shifts[shift], leaves_from=0, returns_to=0)
        one = PlanInputs(drives, (only,), stops)
        draft = _all_in(one, len(members))
        if draft is None:
            return None
        return [members[option] for option in draft.ways[0].options]


def _all_in(inputs, count):
    """The stops put in one after another, in the order given; None where one does not fit."""
    draft = empty_draft(make_figures(inputs))
    for stop in range(count):
        found = draft.best_place(stop)
        if found is None:
            return None
        draft.put(*found)
    return draft


def present_of(inputs, order):
    """Rounds of the stops in order, each in its only window."""
    return tuple(
        Round(shift, tuple(Gate(stop) for stop in members))
        for shift, members in sorted(order.items())
    )
