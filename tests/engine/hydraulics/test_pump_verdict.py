"""A whole pump test, from readings to verdict, on an invented system.

pit --> pump --> |valve| --> riser --> lateral --> daylight
"""

from dataclasses import asdict, replace

import pytest

from drainservice.engine.hydraulics.curves import PumpPoint, fit_power_curve
from drainservice.engine.hydraulics.drawdown import DrawdownTest
from drainservice.engine.hydraulics.fittings import Fitting, FittingKind
from drainservice.engine.hydraulics.flow_against_duty import FlowVerdict
from drainservice.engine.hydraulics.line import Section
from drainservice.engine.hydraulics.measured import Measured
from drainservice.engine.hydraulics.pump_verdict import judge_pump_test
from drainservice.engine.hydraulics.system_duty import DutyInput, average_duty
from drainservice.engine.units import FOOT_M, GPM_M3S, INCH_M

SYSTEM = DutyInput(
    pumps=(
        fit_power_curve(
            [PumpPoint(q * GPM_M3S, h * FOOT_M) for q, h in [(0, 25.0), (25, 18.0), (45, 6.0)]]
        ),
    ),
    sections=(
        Section(8 * FOOT_M, 1.61 * INCH_M, fittings=(Fitting(FittingKind.SWING_CHECK),)),
        Section(60 * FOOT_M, 2.067 * INCH_M, fittings=(Fitting(FittingKind.EXIT),)),
    ),
    outlet_above_floor_m=10 * FOOT_M,
    on_above_floor_m=14 * INCH_M,
    off_above_floor_m=6 * INCH_M,
    weep_hole_m=3 / 16 * INCH_M,
)
AREA_M2, BAND_M = 0.77, 8 * INCH_M


def timed(flow_m3s, area_sd_share=0.02):
    """The test a pit of that area would show if this flow left it."""
    return DrawdownTest(
        Measured(AREA_M2, area_sd_share * AREA_M2),
        Measured(BAND_M, 0.002),
        Measured(AREA_M2 * BAND_M / flow_m3s, 0.5),
    )


@pytest.mark.parametrize(
    ("share", "verdict"),
    [(1.0, FlowVerdict.GOOD), (0.87, FlowVerdict.WATCH), (0.6, FlowVerdict.ACT)],
)
def test_judges_the_pump_by_what_left_the_pit(share, verdict):
    duty = average_duty(SYSTEM)

    result = judge_pump_test(timed(share * duty.flow.value), SYSTEM)

    assert result.judged.ratio == pytest.approx(share)
    assert result.judged.verdict == verdict


def test_does_not_book_the_weep_hole_as_wear():
    # The pump's wheel moves more than leaves the pit; a sound pump still stands at 1.00.
    duty = average_duty(SYSTEM)

    result = judge_pump_test(timed(duty.flow.value), SYSTEM)

    assert result.duty.pump_flow_m3s > 1.02 * result.duty.flow.value
    assert result.judged.ratio == pytest.approx(1.0)


def test_asks_for_a_better_area_where_the_void_ratio_is_a_guess():
    flow_m3s = 0.85 * average_duty(SYSTEM).flow.value

    sure, guessed = (
        judge_pump_test(timed(flow_m3s, sd_share), SYSTEM) for sd_share in (0.02, 0.15)
    )

    assert sure.judged.verdict == FlowVerdict.WATCH
    assert guessed.judged.verdict == FlowVerdict.REPEAT
    assert guessed.drawdown.largest_cause == "area"


def test_stores_as_a_plain_dict():
    result = judge_pump_test(timed(0.002), replace(SYSTEM, weep_hole_m=0.0))

    stored = asdict(result)

    assert stored["system"]["sections"][0]["fittings"][0]["kind"] == "swing_check"
    assert stored["judged"]["ratio"] == result.judged.ratio
