"""A town along one street, for days that are reckoned by hand: a minute from each house to the
next, everybody's home at number 0, and visits named by their house."""

from drainservice.engine.rounds.facts import Gate, PlanInputs, Round, Shift, Stop, Window
from drainservice.engine.rounds.repair.broken import StopFacts, Told
from drainservice.engine.rounds.speech import Speech

MIN = 60
HOUSES = 200
PEOPLE = {1: "Ana", 2: "Ben", 3: "Cy"}


def drives():
    """Seconds between any two houses."""
    return tuple(tuple(MIN * abs(a - b) for b in range(HOUSES)) for a in range(HOUSES))


def visit(house, from_min=480, to_min=1020, work_min=30, **changed):
    """A visit to a house, promised between two minutes of the day unless `must` says otherwise."""
    window = Window(from_min * MIN, to_min * MIN)
    facts = {"key": house, "place": house, "work_s": work_min * MIN, "windows": (window,)}
    return Stop(**{"must": True, **facts, **changed})


def shift(technician, from_min=480, to_min=1020, **changed):
    """Eight to five from number 0, without a break."""
    facts = {"technician": technician, "day": 0, "leaves_from": 0, "returns_to": 0}
    return Shift(**{**facts, "starts_s": from_min * MIN, "ends_s": to_min * MIN, **changed})


def day(*shifts, rounds, **changed):
    """Inputs from the visits of each shift, in order."""
    stops = [stop for visits in rounds for stop in visits]
    present, first = [], 0
    for number, visits in enumerate(rounds):
        gates = tuple(Gate(first + k) for k in range(len(visits)))
        first += len(visits)
        if gates:
            present.append(Round(number, gates))
    return PlanInputs(drives(), shifts, tuple(stops), tuple(present), **changed)


def known(**by_house):
    """What is known of the visits, `h20={...}` of number 20."""
    return {
        int(house[1:]): StopFacts(**{"name": f"{house[1:]} Mill Lane", "told": Told.AGREED, **more})
        for house, more in by_house.items()
    }


def speech():
    """Names for sentences; times as 9:30."""
    return Speech(
        {house: f"{house} Mill Lane" for house in range(HOUSES)},
        PEOPLE,
        ("Tuesday", "Wednesday", "Thursday").__getitem__,
        lambda at_s: f"{at_s // 3600}:{at_s // 60 % 60:02d}",
        {"electric": "electric licence"},
    )


def houses(proposal):
    """Each technician's houses in order."""
    inputs = proposal.inputs
    return {
        inputs.shifts[round_.shift].technician: [inputs.stops[g.stop].key for g in round_.gates]
        for round_ in proposal.plan.rounds
    }
