"""A repair in sentences: what it keeps, whom it disturbs in order, and a late round's remedies."""

from drainservice.engine.rounds.facts import PlanInputs
from drainservice.engine.rounds.offers.refusal import Breaks
from drainservice.engine.rounds.repair.broken import Facts, facts_of
from drainservice.engine.rounds.repair.disturb import Disturbance, Step
from drainservice.engine.rounds.repair.late import FirstBreak, Lateness, Means, Remedy
from drainservice.engine.rounds.repair.repair import Proposal
from drainservice.engine.rounds.speech import Speech, say_list, say_minutes, say_wait


def say_proposal(proposal: Proposal, facts: Facts, speech: Speech) -> str:
    """Keeps 9 of 10 promises, asks Mill Lane (can wait 3 weeks), 38 min more driving."""
    said = [_say_kept(proposal)]
    asked = [one for one in proposal.disturbed if one.breaks_promise and not one.why_called]
    called = [one for one in proposal.disturbed if one.breaks_promise and one.why_called]
    for verb, group in (("asks", asked), ("has to call", called)):
        if group:
            said.append(f"{verb} {say_list([_say_name(proposal, one, facts) for one in group])}")
    longer = [one for one in proposal.disturbed if one.step == Step.OVERTIME]
    if longer:
        said.append(f"{say_minutes(sum(one.by_s for one in longer))} of overtime")
    said.append(_say_driving(proposal.added_drive_s))
    return f"{', '.join(said)}."


def _say_kept(proposal: Proposal) -> str:
    if not proposal.touched:
        return "No promise lost its place"
    if proposal.kept == proposal.touched:
        return "Keeps the promise" if proposal.kept == 1 else f"Keeps all {proposal.kept} promises"
    if proposal.kept > 0:
        return f"Keeps {proposal.kept} of {proposal.touched} promises"
    if proposal.touched == 1:
        return "Cannot keep the promise"
    return f"Keeps none of {proposal.touched} promises"


def _say_driving(added_s: int) -> str:
    if abs(added_s) < 60:
        return "no more driving"
    return f"{say_minutes(added_s)} {'more' if added_s > 0 else 'less'} driving"


def _say_name(proposal: Proposal, one: Disturbance, facts: Facts) -> str:
    stop = proposal.inputs.stops[one.stop or 0]
    known = facts_of(facts, stop)
    wait = say_wait(known.can_wait_days) if one.step == Step.OTHER_DAY else ""
    return f"{known.name} ({wait})" if wait else known.name


def say_disturbed(proposal: Proposal, one: Disturbance, facts: Facts, speech: Speech) -> str:
    """One disturbance as a sentence."""
    if one.stop is None:
        who = speech.person(one.technician or 0)
        return f"Ask {who} to work {say_minutes(one.by_s)} longer."
    stop = proposal.inputs.stops[one.stop]
    known = facts_of(facts, stop)
    name = known.name
    if one.step == Step.OTHER_TECHNICIAN:
        return f"{name}: {_say_who(one, speech)}, within the same window."
    if one.step == Step.SLIDES:
        when = "later" if one.by_s > 0 else "earlier"
        window = speech.window(stop.windows[0])
        return f"{name}: {say_minutes(one.by_s)} {when}, still within {window}."
    if one.step == Step.WAITS:
        return f"{name} waits for another day; nobody was told of this one."
    if one.step == Step.UNREACHED:
        return f"Nobody can reach {name} today; call somebody in, or choose what gives way."
    return _say_asking(one, name, say_wait(known.can_wait_days), proposal.inputs, speech)


def _say_who(one: Disturbance, speech: Speech) -> str:
    comes = f"{speech.person(one.technician or 0)} comes"
    return comes if one.was is None else f"{comes} instead of {speech.person(one.was)}"


def _say_asking(one: Disturbance, name: str, wait: str, inputs: PlanInputs, speech: Speech) -> str:
    """An offer or a promise that does not hold."""
    stop = inputs.stops[one.stop or 0]
    own = stop.windows[0]
    if one.window is None:
        asks, rest = "another day", f"; it {wait}" if wait else ""
    elif one.window == own:
        asks, rest = f"{speech.person(one.technician or 0)} at the promised time", ""
    else:
        asks = f"{speech.window(one.window)} instead of {speech.window(own)}"
        rest = ""
    if one.step == Step.OFFER:
        return f"Offer {name} {asks}{rest}; they have not answered yet."
    if one.why_called:
        return f"Call {name}, who should not be asked since {one.why_called}: {asks}{rest}."
    return f"Ask {name} for {asks}{rest}."


def say_late(lateness: Lateness, inputs: PlanInputs, speech: Speech) -> list[str]:
    """What a late round breaks first, and each remedy in a sentence."""
    who, free = speech.person(lateness.technician), speech.clock(lateness.free_s)
    if lateness.first is None:
        spare = say_minutes(lateness.spare_s) if lateness.spare_s >= 60 else "nothing"
        return [f"{who} will be free at {free}; every promise still holds, with {spare} to spare."]
    first = say_first_break(lateness.first, inputs, speech)
    said = [f"{who} will be free at {free}: {first}."]
    said += [_say_remedy(one, inputs, speech) for one in lateness.remedies]
    if not any(one.still is None for one in lateness.remedies):
        said.append("No small change is enough; see whom a repair would disturb.")
    return said


def say_first_break(first: FirstBreak, inputs: PlanInputs, speech: Speech) -> str:
    """Mill Lane before 11 am breaks by 14 min"""
    late = say_minutes(first.late_s)
    if first.breaks == Breaks.GATE and first.stop is not None:
        name = speech.stop(inputs.stops[first.stop])
        return f"“{name} before {speech.clock(first.closes_s)}” breaks by {late}"
    if first.breaks == Breaks.BREAK:
        return f"the break comes {late} too late"
    return f"the round ends {late} after the latest return"


def _say_remedy(remedy: Remedy, inputs: PlanInputs, speech: Speech) -> str:
    names = [speech.stop(inputs.stops[number]) for number in remedy.stops]
    if remedy.means == Means.SWAP:
        does = f"{names[1]} before {names[0]}"
    else:
        does = f"{names[0]} given to {speech.person(remedy.technician or 0)}"
    if remedy.still is not None:
        still = say_first_break(remedy.still, inputs, speech)
        return f"{does} is not enough: {still}."
    return f"{does} keeps every promise: {_say_driving(remedy.added_s)}."
