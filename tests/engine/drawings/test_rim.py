"""Water against a rim: levels to scale, what is over said and hatched, real dates."""

from datetime import date, timedelta

import pytest

from drainservice.engine.drawings.axes import NothingToDraw
from drainservice.engine.drawings.rim import TooManyWeeks, WeekLoad, draw_water_against_rim
from drainservice.engine.drawings.sheet import Width
from tests.engine.drawings.reading_svg import SVG, all_words, assert_fit_to_show, read, word_boxes

HOURS = [(52, 80), (64, 80), (78, 80), (106, 80), (98, 64), (80, 80), (71, 80), (40, 40)]
WEEKS = [
    WeekLoad(date(2027, 4, 26) + timedelta(7 * i), due, crew) for i, (due, crew) in enumerate(HOURS)
]


@pytest.mark.parametrize("width", Width)
@pytest.mark.parametrize("count", [1, 3, 8])
def test_is_fit_to_show(count, width):
    assert_fit_to_show(draw_water_against_rim(WEEKS[:count], width, "k"), "k")


@pytest.mark.parametrize("width", Width)
def test_says_the_hours_over_and_the_real_dates(width):
    words = all_words(draw_water_against_rim(WEEKS, width, "k"))

    # 106 - 80 = 26; 98 - 64 = 34. A narrow week says it in two lines.
    over = [box.words for box in word_boxes(draw_water_against_rim(WEEKS, width, "k"))]
    said = {"26 h over", "34 h over"} if width == Width.WIDE else {"26 h", "34 h", "over"}
    assert said <= set(over)
    assert "17 May" in words


def test_water_is_as_high_as_its_hours():
    svg = draw_water_against_rim([WeekLoad(date(2027, 5, 3), 40, 80)] * 2, Width.WIDE, "k")
    level = next(p for p in read(svg).iter(f"{SVG}path") if p.get("class") == "s-deep")
    rim = next(p for p in read(svg).iter(f"{SVG}path") if p.get("stroke-width") == "3")
    level_y = float(level.get("d").split("L")[0].split()[1])
    rim_y = float(rim.get("d").split("V")[0].split()[1])
    ground_y = 230.0

    # 40 of 80 hours: half as high as the rim.
    assert ground_y - level_y == pytest.approx((ground_y - rim_y) / 2, abs=0.1)


@pytest.mark.parametrize("width", Width)
def test_numbers_keep_clear_of_the_rim(width):
    svg = draw_water_against_rim(WEEKS, width, "k")
    rim = next(p for p in read(svg).iter(f"{SVG}path") if p.get("stroke-width") == "3")
    heights = {float(part.split("H")[0]) for part in rim.get("d").split("V")[1:]}

    for box in word_boxes(svg):
        assert not any(box.top - 2 < height < box.bottom + 2 for height in heights)


def test_what_is_over_is_hatched_and_what_is_under_is_not():
    over = draw_water_against_rim(WEEKS, Width.WIDE, "k")
    under = draw_water_against_rim(WEEKS[:3], Width.WIDE, "k")

    assert over.count('fill="url(#k-spill)"') == 2
    assert "spill" not in under
    assert "Every week is below the rim." in under


def test_head_room_stands_above_the_highest_level():
    # The whole height of 220 px stands for 1.28 times the highest: 106 h leave 22 % free.
    svg = draw_water_against_rim(WEEKS, Width.WIDE, "k")
    tops = [float(r.get("y")) for r in read(svg).iter(f"{SVG}rect") if r.get("class") == "f-pale"]

    assert min(tops) >= 10 + 220 * 0.2


def test_more_weeks_than_fit_are_refused_in_words():
    many = [WeekLoad(date(2027, 1, 4) + timedelta(7 * i), 150, 100) for i in range(21)]

    assert_fit_to_show(draw_water_against_rim(many[:20], Width.WIDE, "k"), "k")
    with pytest.raises(TooManyWeeks, match="choose 20 or fewer"):
        draw_water_against_rim(many, Width.WIDE, "k")
    with pytest.raises(TooManyWeeks, match="choose 8 or fewer"):
        draw_water_against_rim(many[:9], Width.PHONE, "k")


def test_no_weeks_are_refused_in_words():
    with pytest.raises(NothingToDraw, match="No week"):
        draw_water_against_rim([], Width.WIDE, "k")
