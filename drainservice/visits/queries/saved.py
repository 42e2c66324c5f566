"""What a proposal costs beside the rounds as they stood, by part, in sixtieths of a minute."""

from typing import Any

from drainservice.engine.rounds.check import PlanBroken, count_cost
from drainservice.engine.rounds.facts import Plan as Rounds
from drainservice.engine.rounds.facts import PlanInputs
from drainservice.engine.rounds.stored import cost_as_json


def costs_of(inputs: PlanInputs, rounds: Rounds) -> dict[str, Any]:
    """Parts and total of the proposal; `before` those of the present rounds, None where these
    cannot be driven as they stand."""
    return cost_as_json(count_cost(inputs, rounds)) | {"before": cost_before(inputs)}


def cost_before(inputs: PlanInputs) -> dict[str, int] | None:
    """Parts and total of the rounds as they stood, their other visits left out."""
    placed = {gate.stop for round_ in inputs.present for gate in round_.gates}
    out = tuple(number for number in range(len(inputs.stops)) if number not in placed)
    try:
        return cost_as_json(count_cost(inputs, Rounds(inputs.present, out)))
    except PlanBroken:
        return None
