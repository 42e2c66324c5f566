"""The pit as the soakage sums see it."""

import math
from dataclasses import astuple

import pytest

from drainservice.engine.soakage.pit import (
    Pit,
    PitCannotExist,
    box_pit,
    find_effective_area,
    find_effective_void_ratio,
    round_pit,
)


def test_counts_stone_by_its_voids_and_the_insert_whole():
    # 16 ft2 box, 3.14 ft2 insert, n 0.40: 3.14 + 0.4 * 12.86 = 8.284
    assert find_effective_area(16.0, 0.4, 3.14) == pytest.approx(8.284)


def test_takes_the_blocks_out_of_the_insert():
    # (3 - 1) + 0.4 * (16 - 3) = 7.2
    assert find_effective_area(16.0, 0.4, 3.0, 1.0) == pytest.approx(7.2)


def test_spreads_the_water_over_the_plan_area():
    assert find_effective_void_ratio(16.0, 0.4, 3.0, 1.0) == pytest.approx(7.2 / 16.0)


def test_knows_area_and_wall_of_a_box():
    pit = box_pit(2.0, 1.5, 0.4)

    assert astuple(pit) == pytest.approx((3.0, 7.0, 0.4))


def test_knows_area_and_wall_of_a_round_pit_with_an_insert():
    pit = round_pit(2.0, 0.4, insert_diameter_m=1.0)

    # insert pi/4 of pi: a quarter is water, three quarters hold 0.4 of it: 0.25 + 0.30
    assert astuple(pit) == pytest.approx((math.pi, 2 * math.pi, 0.55))


@pytest.mark.parametrize(
    ("make", "word"),
    [
        (lambda: box_pit(0.0, 1.0, 0.4), "length"),
        (lambda: box_pit(1.0, math.nan, 0.4), "width"),
        (lambda: round_pit(-1.0, 0.4), "diameter"),
        (lambda: box_pit(1.0, 1.0, 0.0), "void ratio"),
        (lambda: box_pit(1.0, 1.0, 40.0), "void ratio"),
        (lambda: box_pit(1.0, 1.0, 0.4, insert_diameter_m=2.0), "insert must fit"),
        (lambda: box_pit(1.0, 1.0, 0.4, insert_diameter_m=-0.5), "negative"),
        (lambda: find_effective_area(4.0, 0.4, 1.0, 2.0), "blocks must fit"),
        (lambda: Pit(1.0, -1.0, 0.4), "perimeter"),
        (lambda: Pit(0.0, 1.0, 0.4), "plan area"),
    ],
)
def test_refuses_a_pit_that_cannot_be(make, word):
    with pytest.raises(PitCannotExist, match=word):
        make()
