"""What the build says before any reading: all judgement, no source, so the sums are checked."""

import math
from dataclasses import replace

import pytest

from drainservice.engine.fouling.drain_prior import (
    CLEAN_BUILD,
    Answer,
    Build,
    DesignDrainTimeIsImpossible,
    find_drain_prior,
    find_prior_slope,
)


def test_clean_build_grows_by_a_twentieth_a_year():
    assert find_prior_slope(CLEAN_BUILD) == pytest.approx((0.05, 0.05))


@pytest.mark.parametrize(
    ("detail", "slope"),
    [
        ("has_landscaping_fabric", 0.15),
        ("has_small_or_graded_stone", 0.10),
        ("is_near_trees", 0.08),
        ("lacks_leaf_trap", 0.08),
    ],
)
def test_each_detail_adds_its_slope(detail, slope):
    mean, sd = find_prior_slope(replace(CLEAN_BUILD, **{detail: Answer.YES}))

    assert (mean, sd) == pytest.approx((slope, 0.05))


def test_all_details_add_up():
    # 0.05 + 0.10 + 0.05 + 0.03 + 0.03
    worst = Build(Answer.YES, Answer.YES, Answer.YES, Answer.YES)

    assert find_prior_slope(worst)[0] == pytest.approx(0.26)


def test_unknown_lies_half_way_and_spreads_wider():
    # 0.05 + 0.10 / 2; variance 0.05^2 + 0.05^2
    unknown = replace(CLEAN_BUILD, has_landscaping_fabric=Answer.UNKNOWN)

    assert find_prior_slope(unknown) == pytest.approx((0.10, math.sqrt(0.005)))


def test_starts_at_the_design_drain_time():
    prior = find_drain_prior(24 * 3600.0, CLEAN_BUILD)

    assert prior.intercept_mean == pytest.approx(math.log(86400.0))
    assert prior.intercept_sd == pytest.approx(0.5)


def test_landscaping_fabric_starts_slower():
    fabric = replace(CLEAN_BUILD, has_landscaping_fabric=Answer.YES)

    prior = find_drain_prior(7 * 3600.0, fabric)

    # 7 h at 0.7 of the rate are 10 h.
    assert math.exp(prior.intercept_mean) / 3600.0 == pytest.approx(10.0)


@pytest.mark.parametrize("time_s", [0.0, -5.0, math.nan])
def test_refuses_a_design_drain_time_that_cannot_be(time_s):
    with pytest.raises(DesignDrainTimeIsImpossible):
        find_drain_prior(time_s, CLEAN_BUILD)
