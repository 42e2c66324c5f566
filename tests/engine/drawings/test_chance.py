"""The chance of a dead pump: grows, drops at a test, and its target is said."""

import itertools
import math
import re
from datetime import date, timedelta

import pytest

from drainservice.engine.drawings.axes import NothingToDraw
from drainservice.engine.drawings.chance import PumpTest, ValuesDoNotMatch, draw_chance
from drainservice.engine.drawings.sheet import Width
from tests.engine.drawings.reading_svg import SVG, all_words, assert_fit_to_show, read

START = date(2026, 5, 1)
TESTED = START + timedelta(360)
RATE = 0.06


def chance_after(days):
    """1 - exp(-rate * time). Source: IEC 61508-6, exponential model (from memory)."""
    return 1 - math.exp(-RATE * days / 365.25)


TIMES = [START + timedelta(30 * i) for i in range(37)]
VALUES = [chance_after((day - max(START, TESTED if day > TESTED else START)).days) for day in TIMES]
TESTS = [PumpTest(TESTED, chance_after(360), 0.0)]


def draw(width=Width.WIDE, tests=TESTS, target=0.05):
    return draw_chance(TIMES, VALUES, tests, target, width, "c")


@pytest.mark.parametrize("width", Width)
@pytest.mark.parametrize("tests", [TESTS, []])
def test_is_fit_to_show(tests, width):
    assert_fit_to_show(draw(width, tests), "c")


def test_names_the_first_day_at_the_target_after_the_last_test():
    # -ln(0.95) / 0.06 years = 312.2 days after the test; the days are 30 apart: the 330th.
    # 1 May 2026 + 360 + 330 days = 21 Mar 2028.
    words = all_words(draw())

    assert "Of 100 such pumps, 5 may be dead; that is reached on 21 Mar 2028" in words


def test_says_when_the_target_is_not_reached():
    assert "that is not reached before" in all_words(draw(target=0.5))


def test_drops_straight_down_at_a_test():
    curve = next(p for p in read(draw()).iter(f"{SVG}path") if p.get("stroke-width") == "2.2").get(
        "d"
    )
    points = [tuple(map(float, part.split())) for part in re.split("[ML]", curve)[1:]]
    drops = [(a, b) for a, b in itertools.pairwise(points) if b[1] > a[1]]

    assert len(drops) == 1
    assert drops[0][0][0] == drops[0][1][0]


def test_times_without_values_are_refused():
    with pytest.raises(ValuesDoNotMatch, match="37 times but 1 values"):
        draw_chance(TIMES, [0.1], [], 0.05, Width.WIDE, "c")


def test_nothing_is_refused_in_words():
    with pytest.raises(NothingToDraw):
        draw_chance([], [], [], 0.05, Width.WIDE, "c")
