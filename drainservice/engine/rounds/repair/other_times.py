"""Another time on the same day for whoever lost a promised one, or an offer.

What is placed here must be asked: a gate beyond the windows its stop had, or served by somebody
else than the household was promised.
"""

from dataclasses import replace

from drainservice.engine.rounds.facts import UNIT, Plan, PlanInputs, Shift, Stop, Window, may_go
from drainservice.engine.rounds.offers.facts import OfferTerms
from drainservice.engine.rounds.offers.windows import windows_on
from drainservice.engine.rounds.repair.broken import (
    TOO_NEAR_S,
    Broken,
    Facts,
    StopFacts,
    Told,
    facts_of,
    why_never_asked,
)
from drainservice.engine.rounds.repair.priced import asking_units
from drainservice.engine.rounds.search.draft import Draft, empty_draft
from drainservice.engine.rounds.search.figures import make_figures
from drainservice.engine.rounds.search.way import way_of
from drainservice.engine.rounds.tables import make_tables


def allow_other_times(
    inputs: PlanInputs, broken: Broken, facts: Facts, priced: PlanInputs, plan: Plan
) -> tuple[PlanInputs, Plan]:
    """The inputs with the windows that may be asked for, after each stop's own, and the plan with
    whoever can still be placed in one of them.

    Another time today may add as much as asking costs; where nobody may be asked, whatever it
    takes, for somebody has to call them anyway.
    """
    told = [
        number
        for number in plan.left_out
        if facts_of(facts, priced.stops[number]).told != Told.NOBODY
    ]
    if not told:
        return priced, plan
    stops = list(priced.stops)
    for number in told:
        known = facts_of(facts, stops[number])
        stops[number] = _with_other_times(priced, stops[number], known, broken.now_s)
    asked = replace(priced, stops=tuple(stops))
    draft = _draft_of(asked, plan)
    for number in sorted(told, key=lambda number: -stops[number].worth):
        stop, known = inputs.stops[number], facts_of(facts, inputs.stops[number])
        found = draft.best_place(number)
        limit = UNIT * asking_units(stop, known, inputs.tariff)
        if found is None:
            continue
        if found[1][0] <= limit or why_never_asked(stop, known, broken.now_s):
            draft.put(*found)
            _promise_around(draft, number, len(priced.stops[number].windows))
    return asked, draft.as_plan()


def _with_other_times(priced: PlanInputs, stop: Stop, known: StopFacts, now_s: int) -> Stop:
    """The stop with every window of the day that one could still ask for, and with anybody, at
    what it costs not to send whom it was promised."""
    usual, only = stop.usual, stop.only
    if known.is_named and only:
        usual, only = min(only), None
    free = replace(stop, only=only, usual=usual, fixed_s=None)
    windows = {
        window
        for shift in priced.shifts
        if may_go(free, shift)
        for window in _windows_of(free, shift)
        if window.from_s >= now_s + TOO_NEAR_S and window not in stop.windows
    }
    return replace(free, windows=(*stop.windows, *sorted(windows)))


def _windows_of(stop: Stop, shift: Shift) -> list[Window]:
    whole = replace(stop, windows=(Window(shift.starts_s, shift.ends_s),))
    terms = OfferTerms()
    grid = windows_on(whole, shift, terms)
    return [window for window in grid if window.to_s - window.from_s == terms.window_s]


def _draft_of(asked: PlanInputs, plan: Plan) -> Draft:
    draft = empty_draft(make_figures(asked))
    for round_ in plan.rounds:
        options = tuple(draft.f.first_option[gate.stop] + gate.window for gate in round_.gates)
        way = way_of(draft.f, round_.shift, options)
        if way is None:
            raise AssertionError("a round that was found sound no longer holds")
        draft.set_way(way)
    return draft


def _promise_around(draft: Draft, number: int, own: int) -> None:
    """Ask for the last window that holds the planned start: it leaves most room for being late."""
    f, way = draft.f, draft.ways[draft.at[number]]
    at = next(k for k, option in enumerate(way.options) if f.stop_of[option] == number)
    first = f.first_option[number]
    if way.options[at] < first + own:
        return
    round_ = next(one for one in draft.as_plan().rounds if one.shift == way.shift)
    starts_s = make_tables(f.inputs, round_).planned.starts_s[at]
    holds = [
        first + window
        for window, bounds in enumerate(f.inputs.stops[number].windows)
        if window >= own and bounds.from_s <= starts_s <= bounds.to_s
    ]
    changed = way_of(f, way.shift, (*way.options[:at], max(holds), *way.options[at + 1 :]))
    if changed is not None:
        draft.set_way(changed)
