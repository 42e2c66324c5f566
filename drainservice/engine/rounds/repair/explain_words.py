"""An explanation in sentences, by the caller's names."""

from drainservice.engine.rounds.facts import Plan, PlanInputs
from drainservice.engine.rounds.offers.refusal import Breaks
from drainservice.engine.rounds.repair.explain import Elsewhere, Explained, Lacking, Refused
from drainservice.engine.rounds.speech import Speech, say_list, say_minutes, say_units


def say_explained(
    inputs: PlanInputs, plan: Plan, explained: Explained, speech: Speech
) -> list[str]:
    """Where the stop is and what it costs, the next best, the nearest promise in the way, who may
    not go; or why it waits."""
    said = [_say_here(inputs, explained, speech)]
    if explained.cost is not None and explained.others:
        best = explained.others[0]
        who, day = speech.person(best.technician), speech.say_day(best.day)
        said.append(f"Next best: {day}, {who}, {say_units(best.cost)}.")
    if explained.refused:
        said.append(say_refused(inputs, plan, explained.stop, explained.refused[0], speech))
    said += [_say_lacking(one, speech) for one in explained.lacking]
    return said


def _say_here(inputs: PlanInputs, explained: Explained, speech: Speech) -> str:
    if explained.shift is not None and explained.cost is not None:
        shift = inputs.shifts[explained.shift]
        who, day = speech.person(shift.technician), speech.say_day(shift.day)
        return f"{who} on {day}: {say_units(explained.cost)}."
    name = speech.stop(inputs.stops[explained.stop])
    if not explained.others:
        return f"{name} waits: no round has room for it."
    return _say_left_out(name, explained.others[0], explained.worth, speech)


def _say_left_out(name: str, best: Elsewhere, worth: int, speech: Speech) -> str:
    where = f"{speech.person(best.technician)} on {speech.say_day(best.day)}"
    price = f"its cheapest place, with {where}, costs {say_units(best.cost)}"
    return f"{name} waits: {price}, and waiting {worth} min."


def say_refused(
    inputs: PlanInputs, plan: Plan, number: int, refused: Refused, speech: Speech
) -> str:
    """Thursday with Ben would break "Mill Lane before 11 am" by 14 min."""
    where = f"{_capital(speech.say_day(refused.day))} with {speech.person(refused.technician)}"
    late, breaks = say_minutes(refused.refusal.late_s), refused.refusal.breaks
    if breaks == Breaks.GATE and refused.stop is not None:
        stop = inputs.stops[refused.stop]
        window = stop.windows[_window_of(plan, refused.stop)]
        promise = f"{speech.stop(stop)} before {speech.clock(window.to_s)}"
        return f"{where} would break “{promise}” by {late}."
    name = speech.stop(inputs.stops[number])
    return {
        Breaks.OWN_WINDOW: f"{where} would reach {name} {late} after its window.",
        Breaks.BREAK: f"{where} would put the break off {late} too long.",
        Breaks.HOME: f"{where} would end {late} after the latest return.",
        Breaks.VAN: f"{where} has no room in the van.",
    }.get(breaks, f"{where} is a round that cannot be kept as it stands.")


def _window_of(plan: Plan, number: int) -> int:
    gates = (gate for round_ in plan.rounds for gate in round_.gates)
    return next((gate.window for gate in gates if gate.stop == number), 0)


def _say_lacking(lacking: Lacking, speech: Speech) -> str:
    who = speech.person(lacking.technician)
    if not lacking.skills:
        return f"Not {who}: the visit is left to somebody else."
    return f"Not {who}: no {say_list([speech.skill(word) for word in lacking.skills])}."


def _capital(said: str) -> str:
    return said[:1].upper() + said[1:]
