"""What to do when a day breaks: first aid in a moment, and a better proposal in two seconds.

Both are proposals. They keep promises first, say whom they disturb, and tell nobody.
"""

from dataclasses import dataclass, replace
from itertools import groupby

from drainservice.engine.rounds.check import assert_sound, count_cost
from drainservice.engine.rounds.facts import Cost, Plan, PlanInputs
from drainservice.engine.rounds.repair.broken import Broken, Facts, Told, facts_of
from drainservice.engine.rounds.repair.disturb import Disturbance, driving_s, find_disturbed
from drainservice.engine.rounds.repair.other_times import allow_other_times
from drainservice.engine.rounds.repair.priced import OFFER, PROMISE, price_day
from drainservice.engine.rounds.repair.regret import insert_by_regret, make_way_for
from drainservice.engine.rounds.search.draft import Draft, empty_draft
from drainservice.engine.rounds.search.effort import Effort, ShouldStop, never, unheard
from drainservice.engine.rounds.search.effort import Told as Progressed
from drainservice.engine.rounds.search.figures import make_figures
from drainservice.engine.rounds.search.mend import heal_round
from drainservice.engine.rounds.search.solve import solve_rounds

# What fits into two seconds with two hundred visits: measured.
EFFORT = Effort(solver=300, looks=2_000, rebuilds=300)


@dataclass(frozen=True, slots=True)
class Proposal:
    """Rounds for what is left of a day, and whom they disturb.

    `plan` is sound by the judge against `inputs`: the shifts that are left, and for each household
    that must be asked the windows it could be asked for, after its own. `touched` promises lost
    their place; `kept` of them keep their window. `added_drive_s` is against the rounds as they
    stood. `effort` is what the search has done; None for first aid.
    """

    inputs: PlanInputs
    plan: Plan
    disturbed: tuple[Disturbance, ...]
    touched: int
    kept: int
    added_drive_s: int
    cost: Cost
    effort: Effort | None = None


def first_aid(inputs: PlanInputs, broken: Broken, facts: Facts) -> Proposal:
    """The rounds that still hold, and every stop that lost its place where it adds least.

    `facts` are by the stops' keys.
    """
    aid = _aid(inputs, broken, facts)
    return _propose(inputs, broken, facts, aid, aid.plan)


def propose_better(
    inputs: PlanInputs,
    broken: Broken,
    facts: Facts,
    *,
    seed: int = 0,
    effort: Effort = EFFORT,
    should_stop: ShouldStop = never,
    told: Progressed = unheard,
) -> Proposal:
    """The day's rounds searched anew from those of first aid, if that keeps more or costs less;
    else first aid. Ends by its effort, or by `should_stop`."""
    aid = _aid(inputs, broken, facts)
    start = replace(aid.priced, present=aid.plan.rounds)
    solved = solve_rounds(start, seed=seed, iterations=effort, should_stop=should_stop, told=told)
    is_better = solved.cost.total < count_cost(start, aid.plan).total
    plan = solved.plan if is_better else aid.plan
    return replace(_propose(inputs, broken, facts, aid, plan), effort=solved.done)


@dataclass(frozen=True, slots=True)
class _Aid:
    """The priced day, the stops that lost their place, and rounds in which nobody is asked."""

    priced: PlanInputs
    lost: tuple[int, ...]
    plan: Plan


def _aid(inputs: PlanInputs, broken: Broken, facts: Facts) -> _Aid:
    priced = price_day(inputs, broken, facts)
    draft = _what_holds(priced)
    lost = tuple(
        number
        for number, stop in enumerate(priced.stops)
        if draft.at[number] < 0 and stop.only != frozenset()
    )
    _put_back(draft, lost)
    return _Aid(priced, lost, draft.as_plan())


def _what_holds(priced: PlanInputs) -> Draft:
    """The rounds as they stand, less what the break takes from them."""
    draft = empty_draft(make_figures(priced))
    f = draft.f
    for round_ in priced.present:
        options = (f.first_option[gate.stop] + gate.window for gate in round_.gates)
        allowed = tuple(option for option in options if option in f.own[round_.shift])
        draft.set_way(heal_round(f, round_.shift, allowed))
    return draft


def _put_back(draft: Draft, lost: tuple[int, ...]) -> None:
    """Rank by rank, promises first; a promise without a place takes that of a cheaper stop."""

    def rank(stop: int) -> int:
        worth = draft.f.inputs.stops[stop].worth
        return 0 if worth >= PROMISE else 1 if worth >= OFFER else 2

    for number, stops in groupby(sorted(lost, key=rank), key=rank):
        for stop in insert_by_regret(draft, stops):
            if number < 2:
                make_way_for(draft, stop)
    # Who gave way may still fit, now that all the others stand.
    insert_by_regret(draft, [stop for stop, shift in enumerate(draft.at) if shift < 0])


def _propose(inputs: PlanInputs, broken: Broken, facts: Facts, aid: _Aid, plan: Plan) -> Proposal:
    asked, plan = allow_other_times(inputs, broken, facts, aid.priced, plan)
    assert_sound(asked, plan)
    disturbed = find_disturbed(inputs, broken, facts, asked, plan)
    touched = sum(facts_of(facts, inputs.stops[number]).told == Told.AGREED for number in aid.lost)
    return Proposal(
        inputs=asked,
        plan=plan,
        disturbed=disturbed,
        touched=touched,
        kept=touched - sum(one.breaks_promise for one in disturbed),
        added_drive_s=driving_s(asked, plan.rounds) - driving_s(inputs, inputs.present),
        cost=count_cost(asked, plan),
    )
