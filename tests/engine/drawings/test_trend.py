"""A trend: readings where they belong, the limit said, the date of crossing in words."""

from datetime import date, timedelta

import pytest

from drainservice.engine.drawings.axes import Frame, NothingToDraw, date_ticks, round_ticks
from drainservice.engine.drawings.sheet import Width
from drainservice.engine.drawings.trend import BandPoint, Crossing, TrendReading, draw_trend
from drainservice.engine.units import INCH_M, UnitSystem
from tests.engine.drawings.reading_svg import SVG, all_words, assert_fit_to_show, read

HOUR_S = 3600
READINGS = [
    TrendReading(date(2023 + i, 5, 12), hours * HOUR_S)
    for i, hours in enumerate([9, 11, 14.5, 17, 22])
]
BAND = [
    BandPoint(
        date(2027, 5, 12) + timedelta(60 * i),
        (22 + 1.1 * i) * HOUR_S,
        (22 + 1.8 * i) * HOUR_S,
        (22 + 2.7 * i) * HOUR_S,
    )
    for i in range(14)
]
CROSSING = Crossing(date(2028, 8, 20), date(2028, 3, 4), date(2029, 5, 2))


def draw(width=Width.WIDE, readings=READINGS, band=BAND, crossing=CROSSING):
    return draw_trend(
        readings, 36 * HOUR_S, band, crossing, "drain time", "time", UnitSystem.TRADE, width, "t"
    )


@pytest.mark.parametrize("width", Width)
@pytest.mark.parametrize("readings", [READINGS, READINGS[:1], []])
def test_is_fit_to_show(readings, width):
    assert_fit_to_show(draw(width, readings), "t")


@pytest.mark.parametrize("width", Width)
def test_says_when_the_limit_is_reached(width):
    words = all_words(draw(width))

    assert (
        "The drain time reaches its limit of 36 h about 20 Aug 2028, "
        "between 4 Mar 2028 and 2 May 2029." in words
    )


def test_says_that_a_flat_trend_does_not_reach_its_limit():
    svg = draw(crossing=None, band=[])

    assert "is not on its way to its limit of 36 h" in all_words(svg)
    assert "clay" not in svg


def test_readings_stand_at_their_values():
    svg = draw()
    dots = [c for c in read(svg).iter(f"{SVG}circle") if c.get("class") == "f-ink s-paper"]
    limit = next(
        p for p in read(svg).iter(f"{SVG}path")
        if p.get("class") == "s-ink" and p.get("stroke-width") == "2.5"
    )  # fmt: skip
    y = [float(dot.get("cy")) for dot in dots[:5]]
    limit_y = float(limit.get("d").split()[1].split("L")[0])

    # Hours are linear down the sheet: from 36 to 22 is 14 of the 13 between 22 and 9.
    assert (y[4] - limit_y) / (y[0] - y[4]) == pytest.approx(14 / 13, rel=0.01)


def test_sediment_is_read_in_the_readers_unit():
    readings = [TrendReading(date(2026, 5, 1), 1.75 * INCH_M)]

    def words(system):
        return all_words(
            draw_trend(readings, 3 * INCH_M, [], None, "sediment", "small_length", system,
                       Width.WIDE, "t")
        )  # fmt: skip

    assert "limit, 3 in" in words(UnitSystem.TRADE)
    assert "limit, 76 mm" in words(UnitSystem.METRIC)


def test_nothing_to_draw_is_said():
    with pytest.raises(NothingToDraw, match="no reading"):
        draw(readings=[], band=[], crossing=None)


def test_ticks_are_round_numbers():
    assert round_ticks(36, 4) == [0, 10, 20, 30]
    assert round_ticks(8.4, 6) == [0, 2, 4, 6, 8]
    assert round_ticks(0, 4) == [0]


def test_date_ticks_are_first_days_and_fit_the_room():
    # Seven months at 86 px each need 602 px; quarters need a third.
    first, last = date(2027, 1, 10), date(2027, 7, 20)

    assert next(words for _, words in date_ticks(first, last, 610)) == "Feb 2027"
    assert [words for _, words in date_ticks(first, last, 300)] == ["Apr 2027", "Jul 2027"]


def test_a_frame_puts_zero_on_the_ground_and_the_highest_on_top():
    frame = Frame(10, 20, 110, 220, 0, 50, 4)

    assert frame.at(0, 0) == (10, 220)
    assert frame.at(50, 4) == (110, 20)
    assert frame.at(25, 1) == (60, 170)
