"""What is believed of this system's pump: its train, its evidence, its proof-test interval."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from drainservice.engine.asbuilt.check import defects_of
from drainservice.engine.asbuilt.effects import combined_effects
from drainservice.engine.asbuilt.facts import AsBuilt
from drainservice.engine.asbuilt.finding import DefectKind
from drainservice.engine.failure_mode import FailureMode
from drainservice.engine.interval.due import StandsOn
from drainservice.engine.interval.facts import (
    Consequence,
    LookKind,
    LookOutcome,
    Origin,
    PumpFacts,
    SystemFacts,
)
from drainservice.engine.reliability.ageing import STARTS_OF_A_LIFE, wear_from_use
from drainservice.engine.reliability.evidence import (
    household_sensitivity,
    is_a_test,
    proves_again,
    sights_of,
)
from drainservice.engine.reliability.history import PumpTest, SeenBy, SightKind
from drainservice.engine.reliability.posterior import Posterior, Sight, posterior_after
from drainservice.engine.reliability.prior import scale_from_share_dead, widened_for
from drainservice.engine.reliability.proof_test import NO_PARTIAL_TESTS, PartialTests
from drainservice.engine.reliability.rates import coverage_of
from drainservice.engine.reliability.train import Build, Train, aged_rates, nominal_per_a
from drainservice.engine.units import YEAR_DAYS

# A household counts as testing each quarter with three answers in the last year; judgement.
ANSWERS_A_YEAR = 3


@dataclass(frozen=True, slots=True, eq=False)
class PumpBelief:
    """Belief about the pump now in the pit, and the day its present clock started.

    `base_on` is when it was last looked at or proven; `was_seen` False where nobody ever saw it
    run. `household` are the partial tests that count now; `wear_per_a` is what use adds to the
    nominal rate from now on.
    """

    train: Train
    belief: Posterior
    target: float
    household: PartialTests
    wear_per_a: float
    base_on: date
    was_seen: bool
    tests_counted: int
    failures_counted: int
    dead_since: date | None

    @property
    def rated_on(self) -> date:
        """The day whose build and age the coming interval is counted with."""
        return max(self.base_on, self.train.builds[-1].since)


def believe_pump(facts: SystemFacts, pump: PumpFacts, today: date) -> PumpBelief:
    """Posterior of the pump's rate from its own tests, under the builds that held at each."""
    train = train_of(facts, pump)
    tests = _tests_of_this_pump(facts, pump)
    counted, sights = evidence_of(facts, pump, train)
    base_on, was_seen = _base(facts, pump, tests)
    prior = widened_for(pump.pump_class, facts.settings.prior)
    rated_on = max(base_on, train.builds[-1].since)
    wear = wear_per_a(pump)
    return PumpBelief(
        train=train,
        belief=posterior_after(sights, nominal_per_a(train, rated_on) + wear, prior),
        target=target_of(facts),
        household=household_tests(facts, train, rated_on, today),
        wear_per_a=wear,
        base_on=base_on,
        was_seen=was_seen,
        tests_counted=len(counted),
        failures_counted=sum(not t.passed for t in counted),
        dead_since=dead_since(facts, tests),
    )


def evidence_of(
    facts: SystemFacts, pump: PumpFacts, train: Train
) -> tuple[list[PumpTest], list[Sight]]:
    """The tests of this pump that count, and what they say; none before it was known good."""
    tests = _tests_of_this_pump(facts, pump)
    known_good_on = _known_good_on(facts, pump, tests)
    if known_good_on is None:
        return [], []
    counted = [test for test in tests if test.on >= known_good_on]
    return counted, sights_of(counted, train, known_good_on, _trust(facts))


def _trust(facts: SystemFacts) -> float:
    return household_sensitivity(facts.household.answers_right, facts.household.answers_wrong)


def train_of(facts: SystemFacts, pump: PumpFacts) -> Train:
    """The train with its builds over time and the firm's scale."""
    return Train(
        builds=tuple(build_of(entry.since, entry.facts, ()) for entry in facts.as_built),
        pump_class=pump.pump_class,
        float_kind=pump.float_kind,
        installed_on=pump.installed_on.value,
        scale=_scale(facts),
        catalogue=pump.catalogue,
    )


def build_of(since: date, as_built: AsBuilt, mended: Iterable[DefectKind]) -> Build:
    """The factors of one build, leaving out defects thought of as mended."""
    left_out = set(mended)
    found = [f for f in defects_of(as_built) if f.kind not in left_out]
    effects = combined_effects(found)
    return Build(since, effects.rate_factors, effects.proof_coverage)


def wear_per_a(pump: PumpFacts) -> float:
    """Share of a life that a year's starts and hours use up, added to the nominal rate."""
    life_starts = pump.catalogue.starts_life or STARTS_OF_A_LIFE
    if pump.life_hours > 0:
        return wear_from_use(pump.starts_per_a, pump.hours_per_a, pump.life_hours, life_starts)
    return wear_from_use(pump.starts_per_a, 0.0, 1.0, life_starts)


def _scale(facts: SystemFacts) -> float:
    answer = facts.settings.dead_in_spring.value
    if facts.settings.prior.tests > 0 or answer is None:
        return facts.settings.prior.scale
    return scale_from_share_dead(answer)


def stands_on(facts: SystemFacts) -> StandsOn:
    """Which of three the rate rests on."""
    if facts.settings.prior.tests > 0:
        return StandsOn.YOUR_TESTS
    known = facts.settings.dead_in_spring.is_known
    return StandsOn.YOUR_ANSWER if known else StandsOn.OUR_JUDGEMENT


def target_of(facts: SystemFacts) -> float:
    """Accepted mean share of time dead: what the owner chose, else by consequence."""
    targets = facts.settings.targets
    by_consequence = {
        Consequence.YARD: targets.yard,
        Consequence.NEAR_STRUCTURE: targets.near_structure,
        Consequence.LIVING_SPACE: targets.living_space,
        Consequence.FLOODED_BEFORE: targets.flooded_before,
    }
    chosen = facts.target_chosen.value
    return by_consequence[facts.consequence] if chosen is None else chosen


def _tests_of_this_pump(facts: SystemFacts, pump: PumpFacts) -> list[PumpTest]:
    installed = pump.installed_on.value
    tests = [t for t in facts.tests if is_a_test(t) and (installed is None or t.on >= installed)]
    return sorted(tests, key=lambda t: t.on)


def _known_good_on(facts: SystemFacts, pump: PumpFacts, tests: list[PumpTest]) -> date | None:
    """Installation, else handover, else the first day anybody saw it run (then evidence starts)."""
    if pump.installed_on.value is not None:
        return pump.installed_on.value
    if facts.origin is Origin.HANDED_OVER:
        return facts.origin_on
    for test in tests:
        if test.passed and test.kind in (SightKind.PROOF, SightKind.STORM_RUN):
            return test.on
        if not test.passed and test.mended_on is not None:
            return test.mended_on
    return None


def last_done(facts: SystemFacts, kind: LookKind) -> date | None:
    """The day a look of this kind was last done; tries that failed do not count."""
    days = [k.on for k in facts.looks if k.kind is kind and k.outcome is LookOutcome.DONE]
    return max(days, default=None)


def _base(facts: SystemFacts, pump: PumpFacts, tests: list[PumpTest]) -> tuple[date, bool]:
    looked = last_done(facts, LookKind.PUMP)
    days = [] if looked is None else [looked]
    days += [t.mended_on for t in tests if t.mended_on is not None]
    installed = pump.installed_on.value
    if installed is not None and installed >= facts.origin_on:
        days.append(installed)
    return (max(days), True) if days else (facts.origin_on, False)


def dead_since(facts: SystemFacts, tests: list[PumpTest]) -> date | None:
    """The day this pump was found dead, None when it is proven or was never found so."""
    told = [down.since for down in facts.down if down.part == "pump"]
    since: date | None = min(told, default=None)
    for test in tests if since is None else []:
        if proves_again(test) or test.mended_on is not None:
            since = None
        elif not test.passed and since is None:
            since = test.on
    return since


def household_tests(facts: SystemFacts, train: Train, rated_on: date, today: date) -> PartialTests:
    """The household's bucket tests, when it truly answers; else none."""
    year_ago = today - timedelta(days=365)
    answers = [
        t
        for t in facts.tests
        if t.tester is SeenBy.HOUSEHOLD and is_a_test(t) and year_ago < t.on <= today
    ]
    if len(answers) < ANSWERS_A_YEAR:
        return NO_PARTIAL_TESTS
    return household_tests_if_given(facts, train, rated_on)


def household_tests_if_given(facts: SystemFacts, train: Train, rated_on: date) -> PartialTests:
    """What a quarterly bucket test by this household would show: coverage times trust."""
    rates: dict[FailureMode, float] = aged_rates(train, rated_on)
    every_a = facts.settings.household_test_days / YEAR_DAYS
    return PartialTests(
        _trust(facts) * coverage_of(SightKind.BUCKET, rates, train.catalogue), every_a
    )


def with_mended(facts: SystemFacts, known: PumpBelief, kind: DefectKind) -> PumpBelief:
    """The same belief had this one defect been mended from now on."""
    last = facts.as_built[-1]
    build = build_of(last.since, last.facts, [kind])
    train = replace(known.train, builds=(*known.train.builds[:-1], build))
    nominal = nominal_per_a(train, known.rated_on) + known.wear_per_a
    return replace(known, train=train, belief=known.belief.with_nominal(nominal))
