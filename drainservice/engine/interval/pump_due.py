"""The due date of a pump's proof test, with its reason and what would lengthen it."""

from dataclasses import replace
from datetime import date, timedelta
from math import expm1

from drainservice.engine.asbuilt.check import defects_of
from drainservice.engine.asbuilt.finding import DefectKind
from drainservice.engine.explain import Sentence
from drainservice.engine.interval.dating import Ask, Dated, date_look
from drainservice.engine.interval.due import (
    Candidate,
    DueDate,
    DueKind,
    GovernedBy,
    Lengthening,
    PosteriorSummary,
)
from drainservice.engine.interval.facts import LookKind, PumpFacts, SystemFacts
from drainservice.engine.interval.pump_belief import (
    PumpBelief,
    household_tests_if_given,
    stands_on,
    with_mended,
)
from drainservice.engine.interval.pump_reason import honesty_of, reason_of
from drainservice.engine.interval.season import interval_days
from drainservice.engine.interval.settings import SeasonRule
from drainservice.engine.reliability.flood_belief import mean_flood_chance
from drainservice.engine.reliability.floods import monthly_stretches, outage_floor
from drainservice.engine.reliability.proof_test import (
    NO_PARTIAL_TESTS,
    dead_share_between,
    interval_range_a,
    mean_dead_share,
    solve_interval_a,
)
from drainservice.engine.units import YEAR_DAYS

LONGEST_RANGE_DAYS = 18_262
MONTH_DAYS = YEAR_DAYS / 12
WORTH_DAYS = 14


def pump_due(
    facts: SystemFacts,
    pump: PumpFacts,
    known: PumpBelief,
    mend_by: date | None,
    can_be_judged: bool,
) -> DueDate:
    """When the pump is to be proven next. `mend_by` is set while it is down."""
    interval = interval_days(solve_interval_a(known.belief, known.target, known.household))
    dated = _date(facts, known, interval, mend_by)
    summary = _summary(facts, known, dated, interval)
    lengthening = () if mend_by is not None else _would_lengthen(facts, known, interval)
    return DueDate(
        kind=DueKind.PUMP,
        due_on=dated.due_on,
        opens_on=dated.opens_on,
        governed_by=dated.governed_by,
        candidates=dated.candidates,
        reason=reason_of(facts, pump, known, dated, summary),
        stands_on=stands_on(facts),
        range_from_on=known.base_on + timedelta(days=summary.interval_p10_days),
        range_to_on=known.base_on + timedelta(days=summary.interval_p90_days),
        would_lengthen=lengthening,
        honesty=honesty_of(facts),
        posterior=summary,
        can_be_judged=can_be_judged,
    )


def _date(
    facts: SystemFacts, known: PumpBelief, interval: int, mend_by: date | None = None
) -> Dated:
    own = [Candidate(GovernedBy.INTERVAL, known.base_on + timedelta(days=interval))]
    if mend_by is not None:
        own.append(Candidate(GovernedBy.DOWN, mend_by))

    def season_needs(start: date, end: date) -> bool:
        if facts.settings.season_rule is SeasonRule.BY_GAP:
            return (start - known.base_on).days > facts.settings.gap_days
        from_a = (start - known.base_on).days / YEAR_DAYS
        to_a = ((end - known.base_on).days + 1) / YEAR_DAYS
        return dead_share_between(known.belief, from_a, to_a, known.household) > known.target

    ask = Ask(
        kind=LookKind.PUMP,
        base_on=known.base_on,
        was_done=known.was_seen,
        own=tuple(own),
        cap_days=facts.settings.cadence.pump_days,
        season_needs=season_needs,
    )
    return date_look(ask, facts)


def _summary(
    facts: SystemFacts, known: PumpBelief, dated: Dated, interval: int
) -> PosteriorSummary:
    belief = known.belief
    years = max(1, (dated.due_on - known.base_on).days) / YEAR_DAYS
    short_a, long_a = interval_range_a(belief, known.target)
    floods, floor = _floods(facts, known, years)
    is_dead = known.dead_since is not None
    return PosteriorSummary(
        mean_per_a=belief.mean(),
        p10_per_a=belief.quantile(0.1),
        p50_per_a=belief.quantile(0.5),
        p90_per_a=belief.quantile(0.9),
        nominal_per_a=belief.nominal_per_a,
        tests_counted=known.tests_counted,
        target=known.target,
        dead_share=1.0 if is_dead else mean_dead_share(belief, years, known.household),
        dead_after_year=1.0 if is_dead else belief.dead_after(1.0),
        floods_per_a=floods,
        outage_floor_per_a=floor,
        interval_days=interval,
        interval_p10_days=min(interval_days(short_a), LONGEST_RANGE_DAYS),
        interval_p90_days=min(interval_days(long_a), LONGEST_RANGE_DAYS),
    )


def _floods(facts: SystemFacts, known: PumpBelief, years: float) -> tuple[float, float]:
    demand = facts.storm_demand
    if demand is None:
        return 0.0, 0.0
    if known.dead_since is not None:
        # Dead until proven: any harmful storm of the year finds it so.
        return -expm1(-demand.storms_per_a), outage_floor(demand.storms_per_a, demand.outage_chance)
    month = known.base_on.month - 1 + (known.base_on.day - 1) / MONTH_DAYS
    stretches = monthly_stretches(demand.storms_per_a, demand.month_shares, month, years)
    floor = outage_floor(demand.storms_per_a, demand.outage_chance)
    return mean_flood_chance(known.belief, stretches), floor


def _would_lengthen(
    facts: SystemFacts, known: PumpBelief, interval: int
) -> tuple[Lengthening, ...]:
    """Each defect mended alone, then the household's quarterly test, where that gains two weeks."""
    found = defects_of(facts.as_built[-1].facts)
    kinds = [
        f.kind for f in found if f.effects.rate_factors and f.kind is not DefectKind.NEAR_TREES
    ]
    tried = [(str(kind), with_mended(facts, known, kind)) for kind in kinds]
    if known.household == NO_PARTIAL_TESTS:
        tests = household_tests_if_given(facts, known.train, known.rated_on)
        tried.append(("household_test", replace(known, household=tests)))
    gains = [_lengthening(facts, key, changed) for key, changed in tried]
    return tuple(g for g in gains if g.interval_days_then >= interval + WORTH_DAYS)


def _lengthening(facts: SystemFacts, key: str, changed: PumpBelief) -> Lengthening:
    days = interval_days(solve_interval_a(changed.belief, changed.target, changed.household))
    return Lengthening(key, days, _date(facts, changed, days).due_on)


def lengthening_sentences(due: DueDate) -> tuple[Sentence, ...]:
    """What would lengthen it, as sentences."""
    return tuple(
        Sentence(
            "would_lengthen",
            (
                ("what", gain.key),
                ("interval_months", round(gain.interval_days_then / MONTH_DAYS)),
                ("due_then_on", gain.due_on_then.isoformat()),
            ),
        )
        for gain in due.would_lengthen
    )
