"""The back-flow test. Limits: judgement, no source; sums worked by hand."""

from dataclasses import asdict, replace

import pytest

from drainservice.engine.hydraulics.amounts import ImpossibleAmount
from drainservice.engine.hydraulics.back_flow import (
    BackFlowTest,
    ValveVerdict,
    judge_back_flow,
    leak_back_flow,
)
from drainservice.engine.hydraulics.line import Section, water_held
from drainservice.engine.units import FOOT_M, GALLON_M3, GPM_M3S, INCH_M, SQUARE_FOOT_M2

# 100 ft of 2 in holds 17.4 gal: 3.36 in in 8.3 ft2. Read to 1/8 in.
AREA_M2 = 8.3 * SQUARE_FOOT_M2
LONG_LINE_M3 = water_held([Section(100 * FOOT_M, 2.067 * INCH_M)])


def rise(inches, line_m3=LONG_LINE_M3, error_in=0.125):
    return judge_back_flow(BackFlowTest(AREA_M2, inches * INCH_M, error_in * INCH_M, line_m3))


@pytest.mark.parametrize(
    ("inches", "verdict"),
    [
        (0.0, ValveVerdict.TIGHT),
        (0.1, ValveVerdict.TIGHT),  # 0.1/3.36 = 0.03
        (0.8, ValveVerdict.WEEPS),  # 0.24
        (2.5, ValveVerdict.STUCK_OPEN),  # 0.74
        (3.3, ValveVerdict.STUCK_OPEN),  # 0.98
        (6.0, ValveVerdict.MORE_THAN_LINE),  # 1.79
    ],
)
def test_tells_the_valve_by_what_came_back(inches, verdict):
    assert rise(inches).verdict == verdict


def test_shows_its_sum():
    result = rise(2.5)

    # 17.43 gal over 8.3 ft2 is 2.330 ft3 / 8.3 = 0.2807 ft = 3.369 in.
    assert result.full_line_rise_m / INCH_M == pytest.approx(3.369, abs=0.005)
    assert result.returned_share.value == pytest.approx(2.5 / 3.369, abs=0.002)
    assert result.returned_m3 / GALLON_M3 == pytest.approx(8.3 * 2.5 / 12 * 7.480519, abs=0.01)
    assert asdict(result)["test"]["area_m2"] == AREA_M2


def test_cannot_tell_a_short_riser_by_level():
    # 12 ft of 1-1/2 in: 1.27 gal, 0.25 in in 8.3 ft2; read to 1/8 in, which three times is 3/8.
    short_m3 = water_held([Section(12 * FOOT_M, 1.61 * INCH_M)])

    result = rise(0.2, short_m3)

    assert short_m3 / GALLON_M3 == pytest.approx(1.27, abs=0.01)
    assert result.full_line_rise_m / INCH_M == pytest.approx(0.25, abs=0.01)
    assert result.verdict == ValveVerdict.CANNOT_TELL
    assert result.could_also_be == ()
    assert "Count the starts" in result.advice


def test_owns_that_a_coarse_reading_could_be_two_things():
    # 0.1 in with half an inch of error on 3.37 in: share 0.03 +- 0.15.
    result = rise(0.1, error_in=0.5)

    assert result.verdict == ValveVerdict.TIGHT
    assert result.could_also_be == (ValveVerdict.WEEPS,)


def test_measures_a_steady_leak():
    # 2 in in 10 min over 8.3 ft2: 1.0349 gpm; less 0.3 gpm of inflow.
    leak_m3s = leak_back_flow(AREA_M2, 2 * INCH_M, 600.0, 0.3 * GPM_M3S)

    assert leak_m3s / GPM_M3S == pytest.approx(8.3 / 6 * 7.480519 / 10 - 0.3)


def test_a_leak_is_never_below_zero():
    assert leak_back_flow(AREA_M2, 0.0, 600.0, 0.3 * GPM_M3S) == 0


def test_refuses_a_ruler_without_error():
    with pytest.raises(ImpossibleAmount, match="level reading's error"):
        rise(0.5, error_in=0.0)


def test_refuses_a_falling_level():
    with pytest.raises(ImpossibleAmount, match="rise of the level"):
        rise(-0.5)


# A pit of 1 m2 and a line of 100 L: a rise of 100 mm is the whole line.
WHOLE = BackFlowTest(1.0, 0.0, 0.0001, 0.100)


@pytest.mark.parametrize(
    ("rise_m", "verdict"),
    [
        # The limits belong to the milder side: 0.05, 0.5 and 1.25 of the line.
        (0.00499, ValveVerdict.TIGHT),
        (0.00501, ValveVerdict.WEEPS),
        (0.0499, ValveVerdict.WEEPS),
        (0.0501, ValveVerdict.STUCK_OPEN),
        (0.1249, ValveVerdict.STUCK_OPEN),
        (0.1251, ValveVerdict.MORE_THAN_LINE),
    ],
)
def test_parts_the_verdicts_at_their_limits(rise_m, verdict):
    assert judge_back_flow(replace(WHOLE, rise_m=rise_m)).verdict is verdict


def test_a_share_of_just_a_limit_is_the_milder():
    # A line of 1 m3 over 1 m2: the rise is the share, without rounding.
    verdicts = [
        judge_back_flow(BackFlowTest(1.0, s, 0.001, 1.0)).verdict for s in (0.05, 0.5, 1.25)
    ]

    assert verdicts == [ValveVerdict.TIGHT, ValveVerdict.WEEPS, ValveVerdict.STUCK_OPEN]


def test_is_readable_from_three_times_the_error_on():
    line = BackFlowTest(1.0, 0.0, 0.03125, 0.09375)

    assert judge_back_flow(line).verdict is ValveVerdict.TIGHT
    coarser = replace(line, level_error_m=0.0315)
    assert judge_back_flow(coarser).verdict is ValveVerdict.CANNOT_TELL


def test_names_what_lies_one_error_lower_too():
    # 0.06 +- 0.02 of the line: it could be tight as well.
    found = judge_back_flow(BackFlowTest(1.0, 0.006, 0.002, 0.100))

    assert found.verdict is ValveVerdict.WEEPS
    assert found.could_also_be == (ValveVerdict.TIGHT,)


def test_a_leak_without_inflow_is_area_times_rise_over_time():
    # 1 m2 by 30 mm in 60 s: half a litre a second.
    assert leak_back_flow(1.0, 0.030, 60.0) == pytest.approx(0.0005)
