"""Promises that no shift can keep are set apart, so that one of them does not hinder all others."""

from dataclasses import replace

from drainservice.engine.rounds.check import is_served_by
from drainservice.engine.rounds.facts import Gate, PlanInputs, Round, Stop, may_go
from drainservice.visits.queries.gathered import Gathered


def reached_only(gathered: Gathered) -> Gathered:
    """The same without the promises that nobody's shift reaches, each named in a note: they stay as
    they stand, and a person must look at them."""
    inputs = gathered.inputs
    kept = [number for number, stop in enumerate(inputs.stops) if not _is_apart(stop, inputs)]
    if len(kept) == len(inputs.stops):
        return gathered
    number_of = {old: new for new, old in enumerate(kept)}
    apart = [v for n, v in enumerate(gathered.visits) if n not in number_of]
    notes = [
        f"{visit.site.address} is promised at a time that nobody's shift reaches, so this plan "
        "leaves it as it stands; enter the shift, or give it another time."
        for visit in apart
    ]
    return replace(
        gathered,
        inputs=replace(
            inputs,
            stops=tuple(inputs.stops[number] for number in kept),
            present=_renumbered(inputs.present, number_of),
        ),
        visits=[gathered.visits[number] for number in kept],
        notes=[*gathered.notes, *notes],
    )


def _is_apart(stop: Stop, inputs: PlanInputs) -> bool:
    return stop.must and not any(
        may_go(stop, shift) and is_served_by(stop, shift) for shift in inputs.shifts
    )


def _renumbered(rounds: tuple[Round, ...], number_of: dict[int, int]) -> tuple[Round, ...]:
    left = (
        replace(
            round_,
            gates=tuple(
                Gate(number_of[gate.stop], gate.window)
                for gate in round_.gates
                if gate.stop in number_of
            ),
        )
        for round_ in rounds
    )
    return tuple(round_ for round_ in left if round_.gates)
