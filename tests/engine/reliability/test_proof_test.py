"""The worked outcomes of the interval model, each computed when the model was laid down."""

import numpy as np
import pytest

from drainservice.engine.failure_mode import FailureMode as M
from drainservice.engine.reliability.history import SightKind
from drainservice.engine.reliability.posterior import (
    Sight,
    posterior_after,
    posterior_from_durations,
)
from drainservice.engine.reliability.proof_test import (
    LONGEST_A,
    PartialTests,
    dead_share_between,
    interval_range_a,
    mean_dead_share,
    solve_interval_a,
)
from drainservice.engine.reliability.rates import (
    NOMINAL,
    coverage_of,
    nominal_sum,
    rates_with,
)
from drainservice.engine.reliability.unavailability import (
    mean_unavailability_with_partial_tests,
)

SIDEWAYS_NO_WEEP = ((M.VALVE, 3.0), (M.AIR_LOCK, 10.0))
LOOSE_STONE = ((M.PUMP, 1.7), (M.FLOAT, 1.3))
TREES = ((M.DISCHARGE, 2.0),)
ALL = SIDEWAYS_NO_WEEP + LOOSE_STONE + TREES


def believe(factors, words):
    """Belief after yearly tests ("p" passed, "f" failed and mended) under one build."""
    rates = rates_with(factors)
    nominal = sum(rates.values())
    belief = posterior_after([Sight(word == "p", nominal) for word in words], nominal)
    return belief, PartialTests(coverage_of(SightKind.BUCKET, rates), 0.25)


# Computed; system: mean rate, dead time in %, with a quarterly household test, months for 10 %.
WORKED = {
    "new": ((), "", 0.195, 8.9, 4.1, 13.7),
    "three passes": ((), "ppp", 0.151, 7.0, 3.2, 17.7),
    "one failure": ((), "f", 0.280, 12.4, 5.9, 9.4),
    "pass, pass, failure": ((), "ppf", 0.236, 10.7, 5.0, 11.2),
    "valve on its side, no weep hole": (SIDEWAYS_NO_WEEP, "", 0.260, 11.5, 5.8, 10.3),
    "loose stone": (LOOSE_STONE, "", 0.255, 11.3, 5.5, 10.5),
    "all of it": (ALL, "", 0.350, 14.9, 7.9, 7.6),
    "all of it, one failure": (ALL, "f", 0.487, 20.0, 10.8, 5.4),
}


@pytest.mark.parametrize("name", WORKED)
def test_worked_outcome(name):
    factors, words, rate, dead, dead_with_household, months = WORKED[name]
    belief, household = believe(factors, words)

    assert belief.mean() == pytest.approx(rate, abs=0.0006)
    assert 100 * mean_dead_share(belief, 1) == pytest.approx(dead, abs=0.06)
    got = 100 * mean_dead_share(belief, 1, household)
    assert got == pytest.approx(dead_with_household, abs=0.16)
    assert 12 * solve_interval_a(belief, 0.10) == pytest.approx(months, abs=0.06)


@pytest.mark.parametrize(
    ("factors", "words", "low", "high"),
    [((), "", 7, 50), ((), "f", 5, 25), ((), "ppf", 6, 30), (ALL, "", 4, 28), (ALL, "f", 3, 14)],
)
def test_worked_range_of_months(factors, words, low, high):
    belief, _ = believe(factors, words)

    short, long = interval_range_a(belief, 0.10)
    assert (round(12 * short), round(12 * long)) == (low, high)


def test_half_a_year_near_living_space():
    # Computed: 6.5 months for a clean build at 5 %, 4.9 for valve on its side and no weep hole.
    assert 12 * solve_interval_a(believe((), "")[0], 0.05) == pytest.approx(6.5, abs=0.05)
    got = 12 * solve_interval_a(believe(SIDEWAYS_NO_WEEP, "")[0], 0.05)
    assert got == pytest.approx(4.9, abs=0.05)


@pytest.mark.parametrize(("days", "percent"), [(14, 3.9), (60, 6.1), (100, 8.1), (150, 10.4)])
def test_season_mean_after_a_test_some_days_before(days, percent):
    # Computed for a clean build and a season of four months.
    start = days / 365.25
    got = dead_share_between(believe((), "")[0], start, start + 1 / 3)

    assert 100 * got == pytest.approx(percent, abs=0.06)


def test_about_one_in_five_is_dead_after_a_year_with_a_poor_valve():
    # 1 - (b/(b+1))^2 with b = 2/0.26: 1 - 0.8849^2 = 0.2168.
    assert believe(SIDEWAYS_NO_WEEP, "")[0].dead_after(1) == pytest.approx(0.2168, abs=1e-3)


def test_season_share_with_partial_tests_agrees_with_summing_days():
    belief, household = believe((), "f")
    days = np.arange(2000) + 0.5
    since = 0.31 + days / 2000 * 0.4
    q = (1 - household.coverage) * belief.rate
    p = household.coverage * belief.rate
    alive = np.exp(-np.outer(since, q) - np.outer(since % 0.25, p)) @ belief.weight

    got = dead_share_between(belief, 0.31, 0.71, household)
    assert got == pytest.approx(1 - alive.mean(), abs=2e-6)


def test_sound_pumps_with_slack_targets_need_no_test_in_any_life():
    belief = posterior_from_durations([("pass", 1000.0)] * 20, 2, 10)

    assert solve_interval_a(belief, 0.9) == LONGEST_A


def test_nominal_table_adds_up_as_said():
    rates = {mode: n.rate_per_a for mode, n in NOMINAL.items()}

    assert nominal_sum() == pytest.approx(0.195)
    assert coverage_of(SightKind.BUCKET, rates) == pytest.approx(0.75, abs=0.006)
    assert sum(n.proof_shows * n.rate_per_a for n in NOMINAL.values()) / 0.195 == pytest.approx(
        0.98, abs=0.005
    )
    assert coverage_of(SightKind.FLOAT_LIFTED_DRY, rates) == pytest.approx(0.4)


@pytest.mark.parametrize("interval_a", [0.5, 1.0, 2.5])
def test_dead_share_with_partial_tests_is_that_of_each_rate_averaged(interval_a):
    belief, quarterly = believe((), "ppf")
    by_rate = [
        mean_unavailability_with_partial_tests(rate, quarterly.coverage, 0.25, interval_a)
        for rate in belief.rate
    ]

    got = mean_dead_share(belief, interval_a, quarterly)

    assert got == pytest.approx(float(belief.weight @ np.array(by_rate)), rel=1e-9)


def test_no_interval_is_longer_than_two_centuries():
    assert LONGEST_A == 200.0
