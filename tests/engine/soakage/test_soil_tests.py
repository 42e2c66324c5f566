"""Published soil tests, judged by their sources' own printed forms and numbers."""

import math

import pytest

from drainservice.engine.soakage.rate import LevelRises, TimesDoNotRise
from drainservice.engine.soakage.soil_tests import (
    SoilTestIsImpossible,
    TrialPit,
    choose_slowest_rate,
    find_area_at_half_depth,
    find_half_empty_time,
    find_rate_by_auger_hole,
    find_rate_by_percolation_test,
    find_rate_by_trial_pit,
)
from tests.engine.cases import case, convert


def test_C01_percolation_test_becomes_an_infiltration_rate():
    c = case("C01")
    lengths = ("hole_depth", "depth_to_water_start", "depth_to_water_end", "radius")

    rate = find_rate_by_percolation_test(
        *(convert(c.raw(name), "in", "m") for name in lengths), convert(c.raw("time"), "min", "s")
    )

    c.assert_holds("infiltration_rate", rate, "m/s")


def test_C03_half_emptying_time_of_the_soakaway():
    c = case("C03")

    area = find_area_at_half_depth(
        c.raw("length"), c.raw("width"), c.raw("depth"), counts_base=False
    )
    time = find_half_empty_time(c.raw("storage_required"), area, c.raw("infiltration_rate"))

    c.assert_holds("area_50", area, "m2")
    c.assert_holds("half_empty_time", time, "s")


def test_trial_pit_counts_its_base_and_half_its_volume():
    # V75-25 = 2 * 1.5 * 1.5 / 2 = 2.25 m3; a50 = 3 + 5.25 = 8.25 m2; 2.25 / (8.25 * 6000 s)
    rate = find_rate_by_trial_pit(TrialPit(2.0, 1.5, 1.5), 6000.0)

    assert rate == pytest.approx(2.25 / (8.25 * 6000.0))


def test_trial_pit_filled_with_stone_holds_less():
    bare = find_rate_by_trial_pit(TrialPit(2.0, 1.5, 1.5), 6000.0)
    filled = find_rate_by_trial_pit(TrialPit(2.0, 1.5, 1.5, void_ratio=0.4), 6000.0)

    assert filled == pytest.approx(0.4 * bare)


def test_slowest_of_three_fillings_counts():
    assert choose_slowest_rate([4.5e-5, 4.1e-5, 4.3e-5]) == 4.1e-5


def test_auger_hole_agrees_with_the_printed_form():
    # ILRI Publication 16, ch. 12 (from memory): K = 1.15 r [log(h0 + r/2) - log(ht + r/2)] / t;
    # its 1.15 is ln(10)/2 = 1.1513 rounded, so the two may differ by 0.12 %.
    r, t = 0.04, 1000.0
    printed = 1.15 * r * (math.log10(0.90 + r / 2) - math.log10(0.60 + r / 2)) / t

    assert find_rate_by_auger_hole((0.0, t), (0.90, 0.60), r) == pytest.approx(printed, rel=1.2e-3)


def test_auger_hole_and_percolation_test_agree_for_a_small_fall():
    # Both describe one hole: K A = -A dh/dt over a small step.
    auger = find_rate_by_auger_hole((0.0, 60.0), (0.500, 0.499), 0.1)
    hand = find_rate_by_percolation_test(1.0, 0.500, 0.501, 0.1, 60.0)

    assert auger == pytest.approx(hand, rel=1e-5)


def test_auger_hole_refuses_readings_out_of_order():
    with pytest.raises(TimesDoNotRise):
        find_rate_by_auger_hole((60.0, 0.0), (0.9, 0.8), 0.04)


def test_auger_hole_refuses_a_rising_level():
    with pytest.raises(LevelRises):
        find_rate_by_auger_hole((0.0, 60.0), (0.8, 0.9), 0.04)


@pytest.mark.parametrize(
    ("hole", "start", "end", "radius", "seconds", "words"),
    [
        (1.5, 0.3, 1.6, 0.1, 600.0, "between the top and the bottom"),
        (1.5, -0.1, 0.4, 0.1, 600.0, "between the top and the bottom"),
        (1.5, 0.4, 0.3, 0.1, 600.0, "did not fall"),
        (1.5, 0.3, 0.4, 0.0, 600.0, "radius"),
        (1.5, 0.3, 0.4, 0.1, 0.0, "time"),
    ],
)
def test_percolation_test_refuses_what_cannot_be(hole, start, end, radius, seconds, words):
    with pytest.raises(SoilTestIsImpossible, match=words):
        find_rate_by_percolation_test(hole, start, end, radius, seconds)


@pytest.mark.parametrize(
    ("attempt", "words"),
    [
        (lambda: find_rate_by_trial_pit(TrialPit(0.0, 1.0, 1.0), 60.0), "length"),
        (lambda: find_rate_by_trial_pit(TrialPit(1.0, 1.0, 1.0), -60.0), "time"),
        (lambda: find_half_empty_time(-1.0, 5.0, 1e-5), "storage"),
        (lambda: find_rate_by_auger_hole((0.0, 60.0), (0.9, 0.8), 0.0), "radius"),
        (lambda: choose_slowest_rate([]), "at least one"),
    ],
)
def test_other_tests_refuse_what_cannot_be(attempt, words):
    with pytest.raises(SoilTestIsImpossible, match=words):
        attempt()
