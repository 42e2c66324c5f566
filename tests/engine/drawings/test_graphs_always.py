"""Laws of the graphs for any readings a person could enter."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainservice.engine.drawings.bore_log import Heard, LogEntry, draw_bore_log
from drainservice.engine.drawings.chance import PumpTest, draw_chance
from drainservice.engine.drawings.drawdown import FlowAsTested, FlowHead, draw_drawdown
from drainservice.engine.drawings.rim import WeekLoad, draw_water_against_rim
from drainservice.engine.drawings.sheet import Width
from drainservice.engine.drawings.trend import BandPoint, Crossing, TrendReading, draw_trend
from drainservice.engine.units import NotANumber, UnitSystem
from tests.engine.drawings.reading_svg import assert_fit_to_show

days = st.dates(date(1995, 1, 1), date(2060, 12, 31))
widths = st.sampled_from(Width)
systems = st.sampled_from(UnitSystem)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.floats(0, 900), st.floats(0, 900)), min_size=1, max_size=8), widths)
def test_any_weeks_are_fit_to_show(hours, width):
    weeks = [
        WeekLoad(date(2027, 1, 4) + timedelta(7 * i), due, crew)
        for i, (due, crew) in enumerate(hours)
    ]

    assert_fit_to_show(draw_water_against_rim(weeks, width, "k"), "k")


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.builds(TrendReading, days, st.floats(0, 1e6)), min_size=1, max_size=9),
    st.floats(1, 4e5),
    st.lists(
        st.builds(BandPoint, days, st.floats(0, 1e6), st.floats(0, 1e6), st.floats(0, 1e6)),
        max_size=5,
    ),
    st.none() | st.builds(Crossing, days, days, days),
    systems,
    widths,
)
def test_any_trend_is_fit_to_show(readings, limit, band, crossing, system, width):
    svg = draw_trend(readings, limit, band, crossing, "drain time", "time", system, width, "t")

    assert_fit_to_show(svg, "t")


points = st.builds(FlowHead, st.floats(0, 0.01), st.floats(0.5, 30))


@settings(max_examples=60, deadline=None)
@given(
    st.lists(points, min_size=2, max_size=8),
    st.lists(points, max_size=8),
    st.builds(FlowHead, st.floats(1e-4, 0.01), st.floats(0.5, 30)),
    st.none()
    | st.builds(
        FlowAsTested, st.floats(0, 0.01), st.floats(0, 0.01), st.floats(0, 0.02), st.floats(0, 30)
    ),
    systems,
    widths,
)
def test_any_pump_is_fit_to_show(pump, line, duty, test, system, width):
    assert_fit_to_show(draw_drawdown(pump, line, duty, test, system, width, "d"), "d")


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(days, st.floats(0, 1)), min_size=1, max_size=30),
    st.lists(st.builds(PumpTest, days, st.floats(0, 1), st.floats(0, 1)), max_size=6),
    st.floats(0, 1),
    widths,
)
def test_any_chance_is_fit_to_show(pairs, tests, target, width):
    times, values = [day for day, _ in pairs], [value for _, value in pairs]

    assert_fit_to_show(draw_chance(times, values, tests, target, width, "c"), "c")


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.builds(LogEntry, days, st.sampled_from(Heard), st.text(max_size=300), st.booleans()),
        min_size=1,
        max_size=12,
    ),
    widths,
)
def test_any_history_is_fit_to_show(entries, width):
    assert_fit_to_show(draw_bore_log(entries, width, "l"), "l")


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_is_no_number_is_refused_in_words(value):
    with pytest.raises(NotANumber, match="enter the reading again"):
        draw_water_against_rim([WeekLoad(date(2027, 1, 4), value, 80)], Width.WIDE, "k")
    with pytest.raises(NotANumber):
        draw_chance([date(2027, 1, 4)], [value], [], 0.05, Width.WIDE, "c")
    with pytest.raises(NotANumber):
        draw_trend(
            [TrendReading(date(2027, 1, 4), value)], 3600, [], None, "drain time", "time",
            UnitSystem.TRADE, Width.WIDE, "t",
        )  # fmt: skip
