"""Published routing instances as plan inputs: plain text after Solomon and Gehring-Homberger, and
VRPLIB. One-decimal truncation: distances int(10 x euclid), times x 10, so that a cost in
sixtieths is ten times the published one.

As JSON on standard output: python -m tests.engine.rounds.published FILE
"""

import sys
from collections.abc import Iterable
from math import hypot
from pathlib import Path

from drainservice.engine.rounds.facts import (
    Gate,
    Plan,
    PlanInputs,
    Round,
    Shift,
    Stop,
    Tariff,
    Window,
)
from drainservice.engine.rounds.stored import write_inputs

HERE = Path(__file__).parents[2] / "data" / "routing"

# number, x, y, demand, ready, due, service; the depot first.
Row = tuple[int, int, int, int, int, int, int]

# Best known by one-decimal truncation, with the sources in tests/data/routing/README.md.
BEST_KNOWN = {
    "C104": 8229,
    "R101": 16377,
    "R112": 9486,
    "R208": 7010,
    "RC208": 7761,
    "R1_2_6": 35591,
}


def read_instance(path: Path) -> PlanInputs:
    """Any of the two forms, told by the ending."""
    text = path.read_text()
    return read_vrplib(text) if path.suffix == ".vrp" else read_plain(text)


def read_plain(text: str) -> PlanInputs:
    """The layout of Solomon, and of Gehring and Homberger."""
    lines = [line.split() for line in text.splitlines() if line.strip()]
    vehicles = next(i for i, line in enumerate(lines) if line[0] == "NUMBER") + 1
    count, room = (int(word) for word in lines[vehicles])
    rows: list[Row] = []
    for line in lines[vehicles + 1 :]:
        if len(line) == 7 and line[0].isdigit():
            rows.append(tuple(int(float(word)) for word in line))  # type: ignore[arg-type]
    return as_inputs(rows, count, room)


def read_vrplib(text: str) -> PlanInputs:
    """The sections that a problem with time windows and one service time has."""
    facts: dict[str, str] = {}
    parts: dict[str, list[list[int]]] = {}
    part: list[list[int]] = []
    for line in text.splitlines():
        words = line.split()
        if not words or words == ["EOF"]:
            continue
        if ":" in line:
            name, value = line.split(":", 1)
            facts[name.strip()] = value.strip()
        elif words[0].endswith("_SECTION"):
            part = parts.setdefault(words[0], [])
        else:
            part.append([int(float(word)) for word in words])
    where = {row[0]: row[1:] for row in parts["NODE_COORD_SECTION"]}
    takes = {row[0]: row[1] for row in parts["DEMAND_SECTION"]}
    when = {row[0]: row[1:] for row in parts["TIME_WINDOW_SECTION"]}
    depot = parts["DEPOT_SECTION"][0][0]
    work = int(facts["SERVICE_TIME"])
    rows: list[Row] = []
    for node in [depot, *(node for node in sorted(where) if node != depot)]:
        x, y = where[node]
        ready, due = when[node]
        rows.append((node - 1, x, y, takes[node], ready, due, 0 if node == depot else work))
    return as_inputs(rows, int(facts["VEHICLES"]), int(facts["CAPACITY"]))


def as_inputs(rows: list[Row], vehicles: int, room: int) -> PlanInputs:
    """One shift for each vehicle, one promised stop for each client; place 0 is the depot."""
    drives = tuple(tuple(int(10 * hypot(a[1] - b[1], a[2] - b[2])) for b in rows) for a in rows)
    day = rows[0]
    shifts = tuple(
        Shift(number, 0, 10 * day[4], 10 * day[5], 0, 0, room=room) for number in range(vehicles)
    )
    stops = tuple(
        Stop(
            key=row[0],
            place=number + 1,
            work_s=10 * row[6],
            windows=(Window(10 * row[4], 10 * row[5]),),
            must=True,
            load=row[3],
        )
        for number, row in enumerate(rows[1:])
    )
    # Nothing but distance counts there.
    return PlanInputs(drives, shifts, stops, tariff=Tariff(even_units=0))


def read_solution(text: str) -> Plan:
    """Published routes as a plan: client n is stop n - 1, one shift after another."""
    routes = [line.split(":")[1].split() for line in text.splitlines() if line.startswith("Route")]
    return as_plan([int(word) for word in route] for route in routes)


def as_plan(routes: Iterable[Iterable[int]]) -> Plan:
    """Routes of client numbers as rounds."""
    return Plan(
        tuple(
            Round(shift, tuple(Gate(client - 1) for client in route))
            for shift, route in enumerate(routes)
        )
    )


if __name__ == "__main__":
    print(write_inputs(read_instance(Path(sys.argv[1]))))
