# ruff: noqa: E501
"""A day survives every way of writing it."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from drainservice.exchange.cells import CellDoubtful, CellRefused
from drainservice.exchange.dates import read_date

TODAY = date(2025, 11, 3)
STYLES = [
    "{d:%m/%d/%Y}", "{d.month}/{d.day}/{d.year}", "{d.month}-{d.day}-{d.year}", "{d:%Y-%m-%d}", "{d:%Y/%m/%d}",
    "{d:%d %b %Y}", "{d:%d %B %Y}", "{d:%b %d, %Y}", "{d:%B} {d.day}, {d.year}", "{d:%d-%b-%Y}", "{d:%Y%m%d}",
    "{d:%a %m/%d/%Y}", "{d:%b}. {d.day} {d.year}", "{d:%Y-%m-%d} 00:00:00", "{d:%Y %b %d}",
]  # fmt: skip
MONTH_STYLES = [
    "{d:%b %Y}",
    "{d:%B %Y}",
    "{d:%m/%Y}",
    "{d.month}/{d.year}",
    "{d:%Y-%m}",
    "{d:%b} of {d:%Y}",
]


@given(st.dates(date(1950, 1, 1), TODAY), st.sampled_from(STYLES))
def test_a_day_in_any_style(day, style):
    assert read_date(style.format(d=day), today=TODAY) == day.isoformat()


@given(st.dates(date(1950, 1, 1), TODAY), st.sampled_from(MONTH_STYLES))
def test_a_month_in_any_style_and_never_a_day_unmarked(day, style):
    assert read_date(style.format(d=day), today=TODAY) == f"{day:%Y-%m}"


@given(st.text(max_size=30))
def test_any_other_text_is_refused_or_asked_about_and_never_crashes(text):
    try:
        read = read_date(text, today=TODAY)
    except (CellRefused, CellDoubtful):
        return
    assert 1950 <= int(read[:4]) <= 2025
