"""Why a pump's date is what it is, as sentences without language or units."""

from datetime import date

from drainservice.engine.asbuilt.check import asks_of, defects_of
from drainservice.engine.explain import Sentence
from drainservice.engine.interval.date_reason import date_sentences, due_sentence
from drainservice.engine.interval.dating import Dated
from drainservice.engine.interval.due import PosteriorSummary, StandsOn
from drainservice.engine.interval.facts import LookKind, PumpFacts, SystemFacts
from drainservice.engine.interval.pump_belief import PumpBelief, stands_on
from drainservice.engine.reliability.ageing import (
    OLD_AFTER_A,
    replacement_is_wise,
    starts_are_too_many,
)
from drainservice.engine.reliability.fleet import LEAST_FAILURES, LEAST_TESTS
from drainservice.engine.reliability.proof_test import NO_PARTIAL_TESTS
from drainservice.engine.units import YEAR_DAYS

MONTH_DAYS = YEAR_DAYS / 12
# Above so many harmful storms a year another test hardly helps; judgement from computed cases.
MANY_STORMS = 10.0


def reason_of(
    facts: SystemFacts,
    pump: PumpFacts,
    known: PumpBelief,
    dated: Dated,
    summary: PosteriorSummary,
) -> tuple[Sentence, ...]:
    """The date, what governed it, how likely the pump is dead, and what that stands on."""
    return (
        due_sentence(LookKind.PUMP, dated),
        *_last_seen(known, dated),
        *date_sentences(dated, known.base_on),
        *_chance(facts, known, summary),
        _range(summary),
        *_history(facts, known),
        *_storms(facts, summary),
        *_wear(pump, known, summary),
        stands_on_sentence(facts),
    )


def _last_seen(known: PumpBelief, dated: Dated) -> list[Sentence]:
    if known.dead_since is not None:
        return [Sentence("pump_is_down", (("since_on", known.dead_since.isoformat()),))]
    if dated.season_on is None:
        return []
    season = ("season_on", dated.season_on.isoformat())
    if not known.was_seen:
        return [Sentence("season_and_never_seen", (season,))]
    age = ("age_days", (dated.season_on - known.base_on).days)
    return [Sentence("season_and_age", (season, age))]


def _chance(facts: SystemFacts, known: PumpBelief, summary: PosteriorSummary) -> list[Sentence]:
    if known.dead_since is not None:
        return []
    found = [f.kind for f in defects_of(facts.as_built[-1].facts) if f.effects.rate_factors]
    values = (("dead_share", summary.dead_after_year), ("defects", ",".join(found)))
    chance = Sentence("dead_after_year_with" if found else "dead_after_year", values)
    target = Sentence(
        "target", (("target_share", summary.target), ("consequence", str(facts.consequence)))
    )
    return [chance, target]


def _range(summary: PosteriorSummary) -> Sentence:
    return Sentence(
        "range",
        (
            ("low_months", max(1, round(summary.interval_p10_days / MONTH_DAYS))),
            ("high_months", max(1, round(summary.interval_p90_days / MONTH_DAYS))),
        ),
    )


def _history(facts: SystemFacts, known: PumpBelief) -> list[Sentence]:
    said = []
    if known.tests_counted:
        counts = (("tests", known.tests_counted), ("failures", known.failures_counted))
        said.append(Sentence("own_history", counts))
    if known.household != NO_PARTIAL_TESTS:
        said.append(Sentence("household_tests_count"))
    if facts.household.answers_wrong:
        said.append(Sentence("household_weighs_less", (("wrong", facts.household.answers_wrong),)))
    return said


def _storms(facts: SystemFacts, summary: PosteriorSummary) -> list[Sentence]:
    demand = facts.storm_demand
    if demand is None:
        return []
    said = [Sentence("flood_chance", (("flood_share", summary.floods_per_a),))]
    if demand.storms_per_a >= MANY_STORMS:
        said.append(Sentence("many_storms", (("storms", round(demand.storms_per_a)),)))
    backed_up = facts.as_built[-1].facts.has_backup.holds(True)
    if summary.outage_floor_per_a > 0 and not backed_up:
        said.append(Sentence("outage_floor", (("outage_share", summary.outage_floor_per_a),)))
    return said


def _wear(pump: PumpFacts, known: PumpBelief, summary: PosteriorSummary) -> list[Sentence]:
    said = []
    age_a = _age_a(pump, known.base_on)
    chance = known.belief.dead_after(summary.interval_days / YEAR_DAYS)
    chance = max(chance, known.belief.dead_after(1.0))
    if age_a > OLD_AFTER_A and replacement_is_wise(chance, summary.target):
        said.append(Sentence("replace_pump", (("age_years", int(age_a)),)))
    if starts_are_too_many(pump.starts_counted, pump.starts_expected):
        counts = (("counted", pump.starts_counted), ("expected", round(pump.starts_expected)))
        said.append(Sentence("too_many_starts", counts))
    return said


def _age_a(pump: PumpFacts, on: date) -> float:
    installed = pump.installed_on.value
    return 0.0 if installed is None else (on - installed).days / YEAR_DAYS


def stands_on_sentence(facts: SystemFacts) -> Sentence:
    """Which of our judgement, your answer, your tests the rate rests on."""
    basis = stands_on(facts)
    prior = facts.settings.prior
    if basis is StandsOn.YOUR_TESTS:
        counts = (("tests", prior.tests), ("failures", prior.failures))
        return Sentence("stands_on_your_tests", counts)
    if basis is StandsOn.YOUR_ANSWER:
        share = facts.settings.dead_in_spring.value or 0.0
        return Sentence("stands_on_your_answer", (("of_hundred", round(100 * share)),))
    return Sentence("stands_on_our_judgement")


def honesty_of(facts: SystemFacts) -> tuple[Sentence, ...]:
    """What a reader must know before leaning on the number."""
    said = []
    if facts.settings.prior.tests == 0:
        least = (("tests", LEAST_TESTS), ("failures", LEAST_FAILURES))
        said.append(Sentence("rates_are_judgement", least))
    unknown = len(asks_of(facts.as_built[-1].facts))
    if unknown:
        said.append(Sentence("facts_unknown", (("unknown", unknown),)))
    return (*said, Sentence("advice_only"))
