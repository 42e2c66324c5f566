"""The pit mark: five shapes that differ without colour."""

import re

import pytest

from drainservice.engine.drawings.pit_mark import WORDS, Soon, draw_pit_mark
from drainservice.engine.drawings.sheet import PrefixIsNoName
from tests.engine.drawings.reading_svg import SVG, read


def water_top(state):
    """The highest point of the water; grade is at 7, the floor of the pit at 18."""
    root = read(draw_pit_mark(state, "m"))
    water = [p for p in root.iter(f"{SVG}path") if p.get("class") == "f-water"]
    if not water:
        return None
    numbers = re.findall(r"[MQ][\d.]+ ([\d.]+)", water[0].get("d"))
    return min(float(number) for number in numbers)


@pytest.mark.parametrize("state", Soon)
def test_is_thirty_six_by_twenty_and_says_its_state(state):
    root = read(draw_pit_mark(state, "m7"))

    assert (root.get("width"), root.get("height")) == ("36", "20")
    assert root.get("role") == "img"
    assert root.find(f"{SVG}title").text == WORDS[state]
    assert root.find(f"{SVG}title").get("id") == root.get("aria-labelledby") == "m7-t"


def test_fills_from_empty_over_a_third_to_grade_and_above():
    # Floor 18, grade 7: a third full is 18 - 11 / 3 = 14.3.
    assert water_top(Soon.CLEAR) is None
    assert water_top(Soon.LATER) == pytest.approx(14.3, abs=0.05)
    assert water_top(Soon.NOW) == 7
    assert water_top(Soon.PAST) < 7


def test_what_cannot_be_judged_is_closed_over_and_dashed():
    unseen = draw_pit_mark(Soon.UNSEEN, "m")

    assert "stroke-dasharray" in unseen
    assert water_top(Soon.UNSEEN) is None
    assert all("stroke-dasharray" not in draw_pit_mark(s, "m") for s in Soon if s != Soon.UNSEEN)


def test_all_five_differ_with_every_colour_taken_out():
    shapes = {
        re.sub(r' (class|fill|stroke)="[^"]*"|<title.*</title>', "", draw_pit_mark(state, "m"))
        for state in Soon
    }

    assert len(shapes) == 5


def test_a_title_in_another_language_can_be_given():
    assert "vence ahora" in draw_pit_mark(Soon.NOW, "m", "vence ahora")


@pytest.mark.parametrize("prefix", ["", "9", "a b", '"'])
def test_refuses_a_prefix_that_cannot_start_an_id(prefix):
    with pytest.raises(PrefixIsNoName):
        draw_pit_mark(Soon.NOW, prefix)
