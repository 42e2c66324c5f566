"""From a stored question to a found answer, for each kind of plan. Reads; writes nothing."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

from drainservice.accounts.asker import CannotBeDone
from drainservice.engine.rounds.check import PlanBroken
from drainservice.engine.rounds.repair.broken import Facts
from drainservice.engine.rounds.repair.repair import EFFORT, Proposal, propose_better
from drainservice.engine.rounds.repair.stored import read_repair
from drainservice.engine.rounds.repair.words import say_disturbed, say_proposal
from drainservice.engine.rounds.search.effort import Progress
from drainservice.engine.rounds.search.solve import PromiseHasNoPlace, solve_rounds
from drainservice.engine.rounds.season.check import SeasonPlanBroken
from drainservice.engine.rounds.season.crew import what_if_crew
from drainservice.engine.rounds.season.facts import SeasonFacts
from drainservice.engine.rounds.season.faults import SeasonCannotBePlanned
from drainservice.engine.rounds.season.plan import solve_season
from drainservice.engine.rounds.season.result import SeasonEffort, SeasonPlan, SeasonProgress
from drainservice.engine.rounds.season.stored import (
    SeasonCannotBeRead,
    read_season,
    read_season_effort,
    season_plan_as_plain,
)
from drainservice.engine.rounds.season.words import say_what_if
from drainservice.engine.rounds.stored import (
    InputsCannotBeRead,
    effort_as_json,
    read_effort,
    read_inputs,
)
from drainservice.register.models import Site
from drainservice.visits.actions.listening import Ear
from drainservice.visits.models import Plan, PlanKind, Visit
from drainservice.visits.queries.proposals import day0_of, proposal_as_json, speech_for
from drainservice.visits.queries.saved import costs_of

# A technician's week, breaks taken off, and how long it is searched what it would do: judgement.
ONE_MORE_MIN = 5 * 480.0
ONE_MORE_REBUILDS = 5_000
PROVEN_SHARE = 1e-9
VISIT = re.compile(r"\b[Vv]isit (\d+)\b")
DAY = re.compile(r"\bday (\d+)\b")


class CannotBePlanned(CannotBeDone):
    """The question has no answer; the text says what stands in the way and what to change."""


@dataclass(frozen=True, slots=True)
class Found:
    """What is stored of an answer. `done` are the turns made, which find it again."""

    proposal: dict[str, Any]
    cost: dict[str, Any]
    done: dict[str, Any] = field(default_factory=dict)
    solver: str = ""


def find_rounds(plan: Plan, ear: Ear) -> Found:
    """The best rounds of the days. Errors: CannotBePlanned."""

    def told(progress: Progress) -> None:
        cost = None if progress.cost is None else progress.cost / 60
        ear.tell(part=progress.part, done=progress.done, wanted=progress.wanted, cost=cost)

    try:
        inputs = read_inputs(plan.inputs)
        solved = solve_rounds(
            inputs,
            seed=plan.seed,
            iterations=read_effort(plan.effort),
            should_stop=ear.should_stop,
            told=told,
        )
    except PromiseHasNoPlace as why:
        raise CannotBePlanned(in_names(str(why), day0_of(plan))) from why
    except (PlanBroken, InputsCannotBeRead) as why:
        raise CannotBePlanned(in_names(f"The rounds cannot be planned. {why}")) from why
    return Found(
        proposal=proposal_as_json(solved.plan),
        cost=costs_of(inputs, solved.plan) | {"is_exact": solved.is_exact},
        done=effort_as_json(solved.done),
        solver=solved.solver,
    )


def find_repair(plan: Plan, ear: Ear) -> Found:
    """Better rounds for a broken day than first aid, or first aid. Errors: CannotBePlanned."""

    def told(progress: Progress) -> None:
        ear.tell(part=progress.part, done=progress.done, wanted=progress.wanted)

    try:
        question = read_repair(plan.inputs)
        found = propose_better(
            question.inputs,
            question.broken,
            question.facts,
            seed=plan.seed,
            effort=read_effort(plan.effort) if plan.effort else EFFORT,
            should_stop=ear.should_stop,
            told=told,
        )
    except (PromiseHasNoPlace, PlanBroken, InputsCannotBeRead) as why:
        said = in_names(f"The day cannot be repaired. {why}", day0_of(plan))
        raise CannotBePlanned(said) from why
    return told_repair(found, question.facts, day0_of(plan))


def told_repair(found: Proposal, facts: Facts, day0: date) -> Found:
    """A repair as it is stored: its rounds, the windows it asks for, and its sentences."""
    speech = speech_for(found.inputs, day0, facts)
    proposal = proposal_as_json(found.plan, found.inputs)
    return Found(
        proposal=proposal
        | {
            "touched": found.touched,
            "kept": found.kept,
            "added_drive_s": found.added_drive_s,
            "words": say_proposal(found, facts, speech),
            "disturbed": [
                {
                    "step": str(one.step),
                    "units": one.units,
                    "visit": None if one.stop is None else found.inputs.stops[one.stop].key,
                    "breaks_promise": one.breaks_promise,
                    "words": say_disturbed(found, one, facts, speech),
                }
                for one in found.disturbed
            ],
        },
        cost=costs_of(found.inputs, found.plan),
        done={} if found.effort is None else effort_as_json(found.effort),
        solver="first aid" if found.effort is None else "own",
    )


def find_season(plan: Plan, ear: Ear) -> Found:
    """A week for each visit of the season. Errors: CannotBePlanned."""

    is_proven = False

    def told(progress: SeasonProgress) -> None:
        nonlocal is_proven
        is_proven = progress.cost <= progress.bound * (1 + PROVEN_SHARE)
        ear.tell(
            part="season",
            done=progress.done,
            wanted=progress.wanted,
            cost=progress.cost,
            bound=progress.bound,
        )

    try:
        question = read_season(plan.inputs)
        solved = solve_season(
            question.facts,
            seed=plan.seed,
            effort=read_season_effort(plan.effort),
            begin_from=question.begin_from,
            # No plan could be better than one that costs what the bound proves.
            should_stop=lambda: is_proven or ear.should_stop(),
            told=told,
        )
    except (SeasonPlanBroken, SeasonCannotBeRead, ValueError) as why:
        raise CannotBePlanned(f"The season cannot be planned. {why}") from why
    plain = season_plan_as_plain(solved)
    for one in plain["set_aside"]:
        one["words"] = in_sites(one["words"])
    would = _one_more(question.facts, solved, ear)
    return Found(
        proposal=plain | {"one_more": would},
        cost=plain["cost"] | {"bound": solved.bound, "gap": solved.gap},
        done=plain["effort"],
        solver="own",
    )


def _one_more(facts: SeasonFacts, solved: SeasonPlan, ear: Ear) -> dict[str, Any] | None:
    """What one more technician would do, in the weeks where minutes are dear, if all do not fit."""
    if not solved.left_out or ear.should_stop():
        return None
    dear = [number for number, level in enumerate(solved.levels) if level.price > 0.0]
    # Where no week holds a single visit, no minute has a price.
    dear = dear or [0, len(solved.levels) - 1]
    effort = replace(SeasonEffort(), rebuilds=ONE_MORE_REBUILDS)
    try:
        found = what_if_crew(
            facts,
            solved,
            dear[0],
            dear[-1],
            ONE_MORE_MIN,
            effort=effort,
            should_stop=ear.should_stop,
        )
    except SeasonCannotBePlanned:
        return None
    return {
        "first_on": found.first_on.isoformat(),
        "last_on": found.last_on.isoformat(),
        "placed": found.placed,
        "saved_units": found.saved_units,
        "words": say_what_if(found),
    }


def in_names(text: str, day0: date | None = None) -> str:
    """The engine's numbers of visits and days as people say them."""
    keys = {int(number) for number in VISIT.findall(text)}
    rows = Visit.objects.filter(pk__in=keys).select_related("site")
    said = _named(text, {row.pk: row.site.address for row in rows})
    if day0 is None:
        return said

    def on(match: re.Match[str]) -> str:
        day = day0 + timedelta(days=int(match[1]))
        return f"{day:%A} {day.day} {day:%B}"

    return DAY.sub(on, said)


def in_sites(text: str) -> str:
    """The same of a season, whose visits go by the numbers of their sites."""
    keys = {int(number) for number in VISIT.findall(text)}
    return _named(text, dict(Site.objects.filter(pk__in=keys).values_list("pk", "address")))


def _named(text: str, names: Mapping[int, str]) -> str:
    def name(match: re.Match[str]) -> str:
        return names.get(int(match[1]), match[0])

    return VISIT.sub(name, text)


SOLVERS: Mapping[str, Callable[[Plan, Ear], Found]] = {
    PlanKind.ROUNDS: find_rounds,
    PlanKind.REPAIR: find_repair,
    PlanKind.SEASON: find_season,
}
