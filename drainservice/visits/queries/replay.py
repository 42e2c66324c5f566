"""A stored question asked once more: the same inputs, seed and turns give the same plan."""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace
from hashlib import sha256
from typing import Any

from drainservice.engine.rounds import MODEL_VERSION
from drainservice.engine.rounds.check import PlanBroken, count_cost, find_faults
from drainservice.engine.rounds.facts import PlanInputs
from drainservice.engine.rounds.repair.repair import EFFORT, propose_better
from drainservice.engine.rounds.repair.stored import read_repair, write_repair
from drainservice.engine.rounds.search.effort import Effort, effort_for
from drainservice.engine.rounds.search.solve import PromiseHasNoPlace, solve_rounds
from drainservice.engine.rounds.season.plan import solve_season
from drainservice.engine.rounds.season.result import SeasonEffort
from drainservice.engine.rounds.season.stored import (
    SeasonCannotBeRead,
    read_season,
    read_season_effort,
    season_as_json,
    season_plan_as_plain,
)
from drainservice.engine.rounds.stored import (
    InputsCannotBeRead,
    cost_as_json,
    effort_as_json,
    plan_as_json,
    read_effort,
    read_inputs,
    write_inputs,
)
from drainservice.visits.models import Plan, PlanKind
from drainservice.visits.queries.proposals import proposal_of

# Rebuilds of a season in a second of one quiet processor: measured on 800 visits.
REBUILDS_A_S = 1_000
# What a season's answer says besides its weeks that is not searched again.
ASIDE = {"one_more", "set_aside"}


class CannotBeReplayed(ValueError):
    """What was given is no question, or has no answer; the text says why and what to change."""


@dataclass(frozen=True, slots=True)
class Answer:
    """A question's answer once more. `effort` are the turns made; asking for just these gives it
    again. `told` is the plan, `cost` its cost by part."""

    kind: str
    digest: str
    seed: int
    effort: dict[str, Any]
    solver: str
    cost: dict[str, Any]
    told: dict[str, Any]

    def as_plain(self) -> dict[str, Any]:
        """All of it as JSON values."""
        plain = asdict(self)
        return {"model_version": MODEL_VERSION, "plan": plain.pop("told")} | plain


@dataclass(frozen=True, slots=True)
class ReplayedPlan:
    """The answer now beside the stored one, and a sentence about the two."""

    answer: Answer
    is_equal: bool
    words: str


def replay_text(text: str, *, seed: int = 1, effort: str = "") -> Answer:
    """A question as it was taken home, or written by hand. Errors: CannotBeReplayed."""
    try:
        plain = json.loads(text)
    except (ValueError, RecursionError) as wrong:
        raise CannotBeReplayed(f"This is no JSON ({wrong}). Give a file of plan inputs.") from wrong
    kind = plain.get("kind", "rounds") if isinstance(plain, dict) else "rounds"
    asking = {"rounds": _rounds, "repair": _repair, "season": _season}.get(kind)
    if asking is None:
        raise CannotBeReplayed(f"A plan is of rounds, a repair or a season; {kind!r} is none.")
    return asking(text, seed, _told_effort(effort))


def replay_plan(plan: Plan, *, seed: int | None = None, effort: str = "") -> ReplayedPlan:
    """A stored plan with its own seed and turns, unless others are told.

    Errors: CannotBeReplayed, also where the question is not the one that was stored.
    """
    if sha256(plan.inputs.encode()).hexdigest() != plan.digest:
        raise CannotBeReplayed(
            "The stored inputs are not those that were asked (their digest differs), so nothing "
            "can be said of the plan; someone must look at the database."
        )
    if "fitted_from" in plan.done:
        return _fitted(plan)
    wanted = _told_effort(effort) or plan.done or plan.effort
    own_seed = plan.seed if seed is None else seed
    asking = {PlanKind.ROUNDS: _rounds, PlanKind.REPAIR: _repair, PlanKind.SEASON: _season}
    # A repair that is first aid was found without any search.
    turns = {name: wanted[name] for name in wanted if name in _names(plan.kind)}
    if plan.kind == PlanKind.REPAIR and not turns:
        turns = effort_as_json(Effort(0, 0, 0, 0))
    answer = asking[PlanKind(plan.kind)](plan.inputs, own_seed, turns)
    stored = plan.proposal if plan.kind == PlanKind.SEASON else plan.proposal.get("plan", {})
    is_equal = _bare(answer.told) == _bare(stored)
    return ReplayedPlan(answer, is_equal, _words(plan, answer, is_equal))


def _bare(told: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in told.items() if name not in ASIDE}


def _words(plan: Plan, answer: Answer, is_equal: bool) -> str:
    if not plan.proposal:
        return f"Plan {plan.pk} has no stored answer; this is one."
    said = "equals" if is_equal else "is another than"
    words = f"Asked again, the plan {said} the stored plan {plan.pk}."
    if plan.model_version != MODEL_VERSION:
        words += f" It was made by model {plan.model_version}; this is model {MODEL_VERSION}."
    if plan.solver not in {"", answer.solver}:
        words += f" It was made with {plan.solver}; this is {answer.solver}."
    return words


def _fitted(plan: Plan) -> ReplayedPlan:
    """A plan that was fitted to changed rounds was not searched: it is judged once more."""
    inputs, rounds = proposal_of(plan)
    faults = find_faults(inputs, rounds)
    cost = {} if faults else cost_as_json(count_cost(inputs, rounds))
    answer = Answer(
        plan.kind, plan.digest, plan.seed, dict(plan.done), plan.solver, cost, plan_as_json(rounds)
    )
    verdict = f"breaks a rule: {faults[0]}" if faults else "passes the judge"
    return ReplayedPlan(
        answer,
        not faults,
        f"Plan {plan.pk} was fitted from plan {plan.done['fitted_from']} to rounds that had "
        f"changed, without a search; it {verdict}",
    )


def _rounds(text: str, seed: int, effort: Mapping[str, Any]) -> Answer:
    try:
        inputs = read_inputs(text)
        wanted = _guessed(effort, inputs)
        solved = solve_rounds(inputs, seed=seed, iterations=wanted)
    except (InputsCannotBeRead, PromiseHasNoPlace, PlanBroken) as why:
        raise CannotBeReplayed(str(why)) from why
    return Answer(
        kind=PlanKind.ROUNDS,
        digest=_digest(write_inputs(inputs)),
        seed=seed,
        effort=effort_as_json(solved.done),
        solver=solved.solver,
        cost=cost_as_json(solved.cost),
        told=plan_as_json(solved.plan),
    )


def _repair(text: str, seed: int, effort: Mapping[str, Any]) -> Answer:
    try:
        question = read_repair(text)
        found = propose_better(
            question.inputs,
            question.broken,
            question.facts,
            seed=seed,
            effort=_guessed(effort, question.inputs) if effort else EFFORT,
        )
    except (InputsCannotBeRead, PromiseHasNoPlace, PlanBroken) as why:
        raise CannotBeReplayed(str(why)) from why
    return Answer(
        kind=PlanKind.REPAIR,
        digest=_digest(write_repair(question)),
        seed=seed,
        effort={} if found.effort is None else effort_as_json(found.effort),
        solver="own",
        cost=cost_as_json(found.cost),
        told=plan_as_json(found.plan),
    )


def _season(text: str, seed: int, effort: Mapping[str, Any]) -> Answer:
    seconds = effort.get("seconds")
    try:
        question = read_season(text)
        wanted = read_season_effort(effort) if seconds is None else _season_effort(seconds)
        plain = season_plan_as_plain(
            solve_season(question.facts, seed=seed, effort=wanted, begin_from=question.begin_from)
        )
    except (SeasonCannotBeRead, ValueError) as why:
        raise CannotBeReplayed(str(why)) from why
    return Answer(
        kind=PlanKind.SEASON,
        digest=_digest(season_as_json(question)),
        seed=seed,
        effort=plain["effort"],
        solver="own",
        cost=plain["cost"] | {"bound": plain["bound"], "gap": plain["gap"]},
        told=plain,
    )


def _season_effort(seconds: int) -> SeasonEffort:
    return replace(SeasonEffort(), rebuilds=seconds * REBUILDS_A_S)


def _guessed(effort: Mapping[str, Any], inputs: PlanInputs) -> Effort:
    if "seconds" in effort:
        return effort_for(inputs, float(effort["seconds"]))
    return read_effort(dict(effort))


def _digest(text: str) -> str:
    return sha256(text.encode()).hexdigest()


def _names(kind: str) -> set[str]:
    told = SeasonEffort if kind == PlanKind.SEASON else Effort
    return {"seconds", *(field.name for field in fields(told))}


def _told_effort(words: str) -> dict[str, Any]:
    """ "30": so many seconds, about; "rebuilds=500,looks=2000": counts; empty: as it was."""
    if not words:
        return {}
    if words.isdecimal() and len(words) <= 6:
        return {"seconds": int(words)}
    told: dict[str, Any] = {}
    for part in words.split(","):
        name, _, count = part.partition("=")
        if not count.strip().isdecimal() or len(count) > 12:
            raise CannotBeReplayed(
                f"The effort {part.strip()!r} is not understood. Write seconds, such as 30, or "
                "counts, such as rebuilds=500,looks=2000."
            )
        told[name.strip()] = int(count)
    return told
