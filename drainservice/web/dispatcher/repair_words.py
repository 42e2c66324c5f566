"""What the repair page says: what is broken, and whom a proposal disturbs, in order."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from drainservice.engine.rounds.check import drive_round
from drainservice.engine.rounds.repair.broken import StopFacts
from drainservice.engine.rounds.repair.disturb import Disturbance, Step
from drainservice.engine.rounds.repair.late import NobodyIsLate, look_at_late
from drainservice.engine.rounds.repair.repair import Proposal
from drainservice.engine.rounds.repair.words import say_disturbed, say_late, say_proposal
from drainservice.engine.rounds.speech import Speech
from drainservice.visits.models import Plan, PlanState
from drainservice.visits.queries import BrokenDay
from drainservice.web.dispatcher.plan_words import STAGES

HEADINGS = {
    Step.OTHER_TECHNICIAN: "Another technician comes; nobody need be told",
    Step.SLIDES: "The start slides within the promised window; nobody need be told",
    Step.WAITS: "It waits, and nobody was told of this day",
    Step.OVERTIME: "To be asked of the crew",
    Step.OFFER: "An offer that nobody has answered changes",
    Step.HOUSEHOLD: "Households that get another time of this day",
    Step.OTHER_DAY: "Households to ring for another day",
    Step.UNREACHED: "Nobody can be there",
}
# Longer lists are folded: judgement.
OPEN_ROWS = 8


@dataclass(frozen=True, slots=True)
class Group:
    """One heading with its sentences, each with the number of its visit (None: it has none)."""

    heading: str
    sentences: list[tuple[str, int | None]]
    is_heavy: bool
    is_folded: bool


@dataclass(frozen=True, slots=True)
class Told:
    """A proposal in words: what it keeps, who is reached that stood in no round, whom it disturbs,
    and what adopting it does."""

    words: str
    reached: list[str]
    groups: list[Group]
    adopting: str


def tell(
    proposal: Proposal, urgent: Sequence[int], facts: Mapping[int, StopFacts], speech: Speech
) -> Told:
    """All of a proposal's sentences; `urgent` are the stops that must be reached."""
    rows = [
        (
            one.step,
            say_disturbed(proposal, one, facts, speech),
            None if one.stop is None else proposal.inputs.stops[one.stop].key,
        )
        for one in proposal.disturbed
    ]
    return Told(
        say_proposal(proposal, facts, speech),
        list(_say_reached(proposal, urgent, speech)),
        group(rows),
        _say_adopting(proposal.disturbed),
    )


def _say_reached(proposal: Proposal, urgent: Sequence[int], speech: Speech) -> Iterator[str]:
    """400 Mill Lane is reached by Caro at about 10:20; agree the time with the household."""
    inputs = proposal.inputs
    for round_ in proposal.plan.rounds:
        driven, who = drive_round(inputs, round_), inputs.shifts[round_.shift].technician
        assert driven is not None  # the judge has driven it
        for gate, start_s in zip(round_.gates, driven.starts_s, strict=True):
            if gate.stop in urgent:
                name, about = speech.stop(inputs.stops[gate.stop]), speech.clock(start_s)
                yield (
                    f"{name} is reached by {speech.person(who)} at about {about}; agree the time "
                    "with the household."
                )


def group(rows: list[tuple[Step, str, int | None]]) -> list[Group]:
    """The sentences under their headings, those that disturb most first."""
    found = []
    for step, each in groupby(rows, key=lambda row: row[0]):
        sentences = [(words, visit) for _, words, visit in each]
        is_heavy = step >= Step.OVERTIME
        found.append(
            Group(HEADINGS[step], sentences, is_heavy, not is_heavy and len(sentences) > OPEN_ROWS)
        )
    return found[::-1]


def _say_adopting(disturbed: tuple[Disturbance, ...]) -> str:
    """Adopting it tells 2 households by message; 1 waits for you to ring. Nobody else is told."""
    told = sum(
        one.step in (Step.OFFER, Step.HOUSEHOLD) and one.technician is not None for one in disturbed
    )
    ring = sum(
        one.step in (Step.OFFER, Step.OTHER_DAY) and one.technician is None for one in disturbed
    )
    said = [f"Adopting it tells {_households(told)} by message." if told else ""]
    if ring:
        said.append(f"{_households(ring).capitalize()} must be rung for another day.")
    ends = "Nobody else is told." if told or ring else "Adopting it tells no household."
    return " ".join([*filter(None, said), ends])


def _households(number: int) -> str:
    return "one household" if number == 1 else f"{number} households"


def say_broken(found: BrokenDay, speech: Speech) -> list[str]:
    """Who is away, who is late with what may be done about it, what is urgent."""
    return [*_say_away(found), *_say_lates(found, speech), *_say_urgent(found)]


def _say_away(found: BrokenDay) -> Iterator[str]:
    for one in found.away:
        many = sum(visit.technician_id == one.technician.pk for visit in found.gathered.visits)
        yield f"{one.why} {_visits(many)} {'stands' if many < 2 else 'stand'} in that round."


def _say_lates(found: BrokenDay, speech: Speech) -> Iterator[str]:
    for late in found.late:
        try:
            lateness = look_at_late(found.gathered.inputs, late)
        except NobodyIsLate:
            yield f"{speech.person(late.technician)} has no visits left, so nothing can be late."
        else:
            yield " ".join(say_late(lateness, found.gathered.inputs, speech))


def _say_urgent(found: BrokenDay) -> Iterator[str]:
    if found.urgent:
        names = "; ".join(visit.site.address for visit in found.urgent)
        stand = "stands" if len(found.urgent) == 1 else "stand"
        yield f"{_visits(len(found.urgent))} must be made and {stand} in no round yet: {names}."


def _visits(many: int) -> str:
    return {0: "No visit", 1: "One visit"}.get(many, f"{many} visits")


def say_lead(found: BrokenDay, said: list[str], proposal: Proposal) -> str:
    """The first sentence: what is wrong."""
    day = f"{found.day:%A} {found.day.day} {found.day:%B}"
    if said:
        return said[0]
    if proposal.disturbed:
        return f"The rounds of {day} do not hold as they stand."
    return f"Nothing is broken on {day}: nobody is away or late."


def say_plan(plan: Plan) -> str:
    """How a better proposal comes along, or what it says."""
    if plan.state == PlanState.THINKING:
        part = STAGES.get(str(plan.progress.get("part", "")), "")
        done, wanted = plan.progress.get("done", 0), plan.progress.get("wanted", 0)
        so_far = f" It tries {part}, {done} of {wanted} turns." if part and wanted else ""
        return f"A better one is being looked for.{so_far}"
    if plan.state == PlanState.FAILED:
        return plan.failed_because or "The search failed; someone must look."
    if plan.state == PlanState.STALE:
        return "The rounds have changed since it was looked for; look again."
    return str(plan.proposal.get("words", ""))
