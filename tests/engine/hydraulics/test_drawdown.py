"""The drawdown test. Judges: operators' training problems, and the `uncertainties` library."""

from dataclasses import replace

import numpy as np
import pytest
import uncertainties

from drainservice.engine.hydraulics.amounts import ImpossibleAmount, NegativeDepth
from drainservice.engine.hydraulics.drawdown import (
    DrawdownTest,
    LevelDidNotFall,
    LevelReading,
    OneReading,
    RefillReading,
    drop_between,
    fit_rate,
    flow_from_drop,
    inflow_from_rise,
    measure_flow,
)
from drainservice.engine.hydraulics.measured import Measured
from drainservice.engine.hydraulics.plan_area import BoxPit, area_between, round_area
from drainservice.engine.units import FOOT_M, INCH_M
from tests.engine.cases import case

TEST = DrawdownTest(Measured(0.77, 0.037), Measured(0.2, 0.006), Measured(22.0, 0.5))


def test_B01_pumping_rate_from_the_drop_of_a_round_well():
    b01 = case("B01")

    flow_m3s = flow_from_drop(
        round_area(b01.raw("diameter") * FOOT_M), b01.raw("drop") * INCH_M, b01.raw("time") * 60
    )

    b01.assert_holds("flow", flow_m3s, "m3/s")


def test_B04_inflow_from_the_rise_with_the_pump_off():
    b04 = case("B04")

    inflow = inflow_from_rise(
        Measured(round_area(b04.raw("diameter") * FOOT_M)),
        Measured(b04.raw("rise") * FOOT_M),
        Measured(b04.raw("time") * 60),
    )

    b04.assert_holds("inflow", inflow.value, "m3/s")


def b08_test():
    b08 = case("B08")
    side = Measured(*(x * FOOT_M for x in b08.raw("box_side")))
    pit = BoxPit(
        Measured(*(x * INCH_M for x in b08.raw("insert_diameter"))),
        side,
        side,
        Measured(*b08.raw("stone_void_ratio")),
    )
    return DrawdownTest(
        area_m2=area_between(pit, 0.1, 0.3).measured,
        drop_m=Measured(*(x * INCH_M for x in b08.raw("level_drop"))),
        pump_time_s=Measured(*b08.raw("pump_time")),
        refills=(
            RefillReading(Measured(*b08.raw("rise_same_height_pump_off")), between_same_marks=True),
        ),
    )


def test_B08_flow_with_inflow_and_its_uncertainty():
    b08 = case("B08")

    result = measure_flow(b08_test())

    b08.assert_holds("inflow", result.inflow.value, "m3/s")
    b08.assert_holds("flow", result.flow.value, "m3/s")
    b08.assert_holds("flow_sd", result.flow.sd, "m3/s")


def test_B08_the_area_is_what_makes_it_uncertain():
    assert measure_flow(b08_test()).largest_cause == "area"


def test_agrees_with_the_uncertainties_library_on_two_refills_of_their_own_height():
    area, drop = uncertainties.ufloat(0.77, 0.037), uncertainties.ufloat(0.2, 0.006)
    time = uncertainties.ufloat(22.0, 0.5)
    before = uncertainties.ufloat(0.05, 0.004) / uncertainties.ufloat(60, 1)
    after = uncertainties.ufloat(0.07, 0.004) / uncertainties.ufloat(75, 1)
    theirs = area * drop / time + area * (before + after) / 2

    ours = measure_flow(
        replace(
            TEST,
            refills=(
                RefillReading(Measured(60, 1), Measured(0.05, 0.004)),
                RefillReading(Measured(75, 1), Measured(0.07, 0.004)),
            ),
        )
    )

    assert ours.flow.value == pytest.approx(theirs.nominal_value)
    assert ours.flow.sd == pytest.approx(theirs.std_dev, rel=1e-7)


def test_sees_no_inflow_where_none_was_read():
    result = measure_flow(TEST)

    assert result.inflow == Measured(0.0, 0.0)
    assert result.flow.value == pytest.approx(0.77 * 0.2 / 22)


def test_takes_the_difference_of_two_readings():
    # Two readings of 5 mm each: the drop is sqrt(2) * 5 mm uncertain.
    drop, time = drop_between([LevelReading(0, 0.50), LevelReading(20, 0.30)], 0.005)

    assert drop.value == pytest.approx(0.2)
    assert drop.sd == pytest.approx(0.005 * 2**0.5)
    assert time.value == 20


def test_fits_many_readings_as_numpy_does():
    levels = [(0, 0.50), (5, 0.452), (10, 0.397), (15, 0.351), (20, 0.30)]
    slope, _ = np.polyfit(*zip(*levels, strict=True), 1)
    # u_slope = 0.005 / sqrt(sum (t - 10)^2) = 0.005 / sqrt(250).
    rate, sd = fit_rate([LevelReading(t, h) for t, h in levels], 0.005)

    assert rate == pytest.approx(slope)
    assert sd == pytest.approx(0.005 / 250**0.5)


@pytest.mark.parametrize("readings", [[], [(0, 0.5)], [(3, 0.5), (3, 0.4)]])
def test_refuses_one_reading(readings):
    with pytest.raises(OneReading, match="read the level once more"):
        fit_rate([LevelReading(t, h) for t, h in readings], 0.005)


def test_refuses_a_level_below_the_floor():
    with pytest.raises(NegativeDepth, match="below the floor"):
        fit_rate([LevelReading(0, 0.1), LevelReading(5, -0.1)], 0.005)


def test_says_when_the_level_did_not_fall():
    with pytest.raises(LevelDidNotFall, match="Look at the outlet"):
        drop_between([LevelReading(0, 0.3), LevelReading(20, 0.31)], 0.005)
    with pytest.raises(LevelDidNotFall, match="look at the outlet"):
        measure_flow(replace(TEST, drop_m=Measured(-0.01, 0.006)))


@pytest.mark.parametrize("wrong", [{"area_m2": Measured(0)}, {"pump_time_s": Measured(0)}])
def test_refuses_an_impossible_test(wrong):
    with pytest.raises(ImpossibleAmount, match="must be above zero"):
        measure_flow(replace(TEST, **wrong))


def test_a_level_that_stands_did_not_fall():
    still = [LevelReading(0.0, 0.5), LevelReading(20.0, 0.5)]

    with pytest.raises(LevelDidNotFall, match="Look at the outlet"):
        drop_between(still, 0.003)


def test_the_clock_may_run_before_the_test():
    late = [LevelReading(100.0, 0.60), LevelReading(122.0, 0.38)]

    drop, time = drop_between(late, 0.003)

    assert (drop.value, time.value) == pytest.approx((0.22, 22.0))


def test_a_drop_of_nothing_is_asked_for_again():
    with pytest.raises(ImpossibleAmount, match="drop of the level"):
        measure_flow(replace(TEST, drop_m=Measured(0.0, 0.006)))


def test_a_refill_that_was_not_read_brings_no_inflow():
    refill = RefillReading(Measured(60.0, 1.0))

    assert measure_flow(replace(TEST, refills=(refill,))).inflow.value == 0
