"""Plan inputs out of parsed JSON; the form is told in `stored`."""

from collections import Counter
from dataclasses import fields

from drainservice.engine.rounds.facts import (
    Break,
    Gate,
    PlanInputs,
    Round,
    Shift,
    Stop,
    Tariff,
    Window,
)
from drainservice.engine.rounds.stored_fields import (
    InputsCannotBeRead,
    Thing,
    as_list,
    as_number,
    as_thing,
)

FORM = 1


def read_facts(thing: Thing) -> PlanInputs:
    """Inputs whose parts agree with one another. Raises InputsCannotBeRead."""
    thing.only(("form", "drives", "shifts", "stops", "present", "tariff"))
    if thing.number("form") != FORM:
        raise InputsCannotBeRead(f"The file is of form {thing.facts['form']}; form {FORM} is read.")
    inputs = PlanInputs(
        drives=_read_drives(thing.facts.get("drives")),
        shifts=thing.things("shifts", _read_shift, needed=True),
        stops=thing.things("stops", _read_stop, needed=True),
        present=thing.things("present", read_round, needed=False),
        tariff=_read_tariff(as_thing("tariff", thing.facts.get("tariff", {}))),
    )
    _check_places(inputs)
    _check_stops(inputs)
    _check_present(inputs)
    return inputs


def _read_drives(value: object) -> tuple[tuple[int, ...], ...]:
    rows = as_list("drives", value)
    out = []
    for a, row in enumerate(rows):
        cells = as_list(f"drives[{a}]", row)
        if len(cells) != len(rows):
            raise InputsCannotBeRead(
                f"drives[{a}] has {len(cells)} numbers; there are {len(rows)} places, so it needs "
                f"{len(rows)}."
            )
        out.append(tuple(as_number(f"drives[{a}][{b}]", cell, 0) for b, cell in enumerate(cells)))
        if out[a][a]:
            raise InputsCannotBeRead(f"drives[{a}][{a}] is the way from a place to itself: give 0.")
    return tuple(out)


def _read_shift(thing: Thing) -> Shift:
    thing.only(field.name for field in fields(Shift))
    pause = thing.facts.get("pause")
    shift = Shift(
        technician=thing.number("technician"),
        day=thing.number("day"),
        starts_s=thing.number("starts_s", least=0),
        ends_s=thing.number("ends_s", least=0),
        leaves_from=thing.number("leaves_from", least=0),
        returns_to=thing.number("returns_to", least=0),
        overtime_s=thing.number("overtime_s", 0, least=0),
        pause=None if pause is None else _read_break(as_thing(f"{thing.where}.pause", pause)),
        skills=thing.words("skills"),
        room=thing.number_or_none("room", least=0),
    )
    if shift.ends_s < shift.starts_s:
        raise InputsCannotBeRead(f"{thing.where} ends before it starts: give a later ends_s.")
    return shift


def _read_break(thing: Thing) -> Break:
    thing.only(field.name for field in fields(Break))
    pause = Break(
        thing.number("earliest_s", least=0),
        thing.number("latest_s", least=0),
        thing.number("length_s", least=0),
    )
    if pause.latest_s < pause.earliest_s:
        raise InputsCannotBeRead(f"{thing.where}: latest_s lies before earliest_s; swap them.")
    return pause


def _read_stop(thing: Thing) -> Stop:
    thing.only(field.name for field in fields(Stop))
    windows = tuple(Window(*pair) for pair in thing.pairs("windows"))
    if not windows:
        raise InputsCannotBeRead(f"{thing.where} has no windows: give one, as [[from, to]].")
    for number, window in enumerate(windows):
        if window.to_s < window.from_s:
            raise InputsCannotBeRead(
                f"{thing.where}.windows[{number}] ends before it begins: swap its two numbers."
            )
    fixed_s = thing.number_or_none("fixed_s", least=0)
    if fixed_s is not None and not any(w.from_s <= fixed_s <= w.to_s for w in windows):
        raise InputsCannotBeRead(f"{thing.where}.fixed_s lies in none of its windows.")
    is_open = thing.facts.get("only") is None
    return Stop(
        key=thing.number("key"),
        place=thing.number("place", least=0),
        work_s=thing.number("work_s", least=0),
        windows=windows,
        must=thing.flag("must"),
        worth=thing.number("worth", 0, least=0),
        skills=thing.words("skills"),
        only=None if is_open else frozenset(_technicians(thing)),
        usual=thing.number_or_none("usual"),
        apart=thing.pairs("apart"),
        fixed_s=fixed_s,
        move_units=thing.number_or_none("move_units", least=0),
        load=thing.number("load", 0, least=0),
    )


def _technicians(thing: Thing) -> list[int]:
    rows = as_list(f"{thing.where}.only", thing.facts["only"])
    return [as_number(f"{thing.where}.only[{i}]", row) for i, row in enumerate(rows)]


def read_round(thing: Thing) -> Round:
    """A shift's gates in order."""
    thing.only(("shift", "gates"))
    gates = tuple(Gate(*pair) for pair in thing.pairs("gates", least=0))
    return Round(thing.number("shift", least=0), gates)


def _read_tariff(thing: Thing) -> Tariff:
    names = [field.name for field in fields(Tariff)]
    thing.only(names)
    plain = Tariff()
    return Tariff(**{name: thing.number(name, getattr(plain, name)) for name in names})


def _check_places(inputs: PlanInputs) -> None:
    count = len(inputs.drives)
    named = [
        *((f"shifts[{n}].leaves_from", shift.leaves_from) for n, shift in enumerate(inputs.shifts)),
        *((f"shifts[{n}].returns_to", shift.returns_to) for n, shift in enumerate(inputs.shifts)),
        *((f"stops[{n}].place", stop.place) for n, stop in enumerate(inputs.stops)),
    ]
    for where, place in named:
        if place >= count:
            raise InputsCannotBeRead(
                f"{where} is {place}, and drives has {count} places, numbered from 0."
            )


def _check_stops(inputs: PlanInputs) -> None:
    for key, times in Counter(stop.key for stop in inputs.stops).items():
        if times > 1:
            raise InputsCannotBeRead(f"{times} stops have the key {key}: give each its own.")


def _check_present(inputs: PlanInputs) -> None:
    seen: set[int] = set()
    shifts: set[int] = set()
    for number, round_ in enumerate(inputs.present):
        where = f"present[{number}]"
        if round_.shift >= len(inputs.shifts):
            raise InputsCannotBeRead(f"{where}.shift is {round_.shift}, and no such shift is told.")
        if round_.shift in shifts:
            raise InputsCannotBeRead(
                f"{where}: shift {round_.shift} has a round already; join them."
            )
        shifts.add(round_.shift)
        for gate in round_.gates:
            if gate.stop >= len(inputs.stops):
                raise InputsCannotBeRead(
                    f"{where} has a gate at stop {gate.stop}, which is not told."
                )
            if gate.window >= len(inputs.stops[gate.stop].windows):
                raise InputsCannotBeRead(f"{where}: stop {gate.stop} has no window {gate.window}.")
            if gate.stop in seen:
                raise InputsCannotBeRead(f"{where}: stop {gate.stop} stands in the plan twice.")
            seen.add(gate.stop)
