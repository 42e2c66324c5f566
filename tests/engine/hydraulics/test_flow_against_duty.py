"""The verdict on the pump. Limits: judgement, no source. Normal law judged by scipy.stats."""

import math

import pytest
import scipy.stats
import uncertainties

from drainservice.engine.hydraulics.amounts import ImpossibleAmount
from drainservice.engine.hydraulics.flow_against_duty import (
    FlowVerdict,
    chance_below,
    judge_flow,
)
from drainservice.engine.hydraulics.measured import Measured
from drainservice.engine.units import GPM_M3S
from tests.engine.cases import case


def gpm(value, sd):
    return Measured(value * GPM_M3S, sd * GPM_M3S)


def test_B15_flow_against_duty_with_its_chance():
    b15 = case("B15")

    result = judge_flow(gpm(*b15.raw("test_flow")), gpm(*b15.raw("duty_flow")), b15.raw("limit"))

    b15.assert_holds("ratio", result.ratio)
    b15.assert_holds("ratio_sd", result.ratio_sd)
    b15.assert_holds("p_below", result.chance_below_limit)


@pytest.mark.parametrize(
    ("test_gpm", "sd_gpm", "verdict"),
    [
        # Duty 40 +- 1.5. r = 0.95, sd 0.065: P = 0.001.
        (38, 2.2, FlowVerdict.GOOD),
        # r = 0.85, sd 0.040: P(r < 0.75) = P(z < -2.5) = 0.006; below 0.90.
        (34, 1.0, FlowVerdict.WATCH),
        # r = 0.85, sd 0.107: z = -0.94, P = 0.17.
        (34, 4.0, FlowVerdict.REPEAT),
        # r = 0.70: below the limit, P > 0.5 whatever the sd.
        (28, 4.0, FlowVerdict.ACT),
        (0, 1.0, FlowVerdict.ACT),
    ],
)
def test_says_what_to_do(test_gpm, sd_gpm, verdict):
    assert judge_flow(gpm(test_gpm, sd_gpm), gpm(40, 1.5)).verdict == verdict


def test_agrees_with_the_uncertainties_library():
    theirs = uncertainties.ufloat(31.0, 2.5) / uncertainties.ufloat(38.0, 2.0)

    ours = judge_flow(Measured(31.0, 2.5), Measured(38.0, 2.0))

    assert ours.ratio == pytest.approx(theirs.nominal_value)
    assert ours.ratio_sd == pytest.approx(theirs.std_dev)


@pytest.mark.parametrize("mean", [0.5, 0.75, 0.9, 1.1])
def test_agrees_with_the_normal_law(mean):
    theirs = scipy.stats.norm.cdf(0.75, loc=mean, scale=0.07)

    assert chance_below(0.75, mean, 0.07) == pytest.approx(theirs, rel=1e-10)


def test_is_sure_where_nothing_is_uncertain():
    assert judge_flow(Measured(3.0), Measured(4.0)).chance_below_limit == 0
    assert judge_flow(Measured(2.9), Measured(4.0)).chance_below_limit == 1


@pytest.mark.parametrize("bad_duty", [0.0, -1.0])
def test_refuses_a_duty_of_nothing(bad_duty):
    with pytest.raises(ImpossibleAmount, match="duty"):
        judge_flow(Measured(1.0), Measured(bad_duty))


def test_refuses_a_negative_flow():
    with pytest.raises(ImpossibleAmount, match="flow of the test"):
        judge_flow(Measured(-1.0), Measured(1.0))


def test_shows_even_odds_at_the_limit():
    result = judge_flow(Measured(3.0, 0.2), Measured(4.0, 0.1))

    assert math.isclose(result.chance_below_limit, 0.5)
    assert result.verdict == FlowVerdict.ACT
