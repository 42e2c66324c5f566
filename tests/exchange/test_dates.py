# ruff: noqa: E501
"""Dates as firms write them; month before day, and nothing after today has happened."""

from datetime import date

import pytest

from drainservice.exchange.cells import CellDoubtful, CellRefused
from drainservice.exchange.dates import first_day, read_date, read_serial

TODAY = date(2025, 11, 3)
READ = {
    "6/8/2018": "2018-06-08", "6/8/18": "2018-06-08", "06-08-2018": "2018-06-08", "2013-10-23": "2013-10-23",
    "23 Oct 2013": "2013-10-23", "Oct. 23rd '13": "2013-10-23", "October 23, 2013": "2013-10-23",
    "23-Oct-13": "2013-10-23", "the 3rd of May 2019": "2019-05-03", "23/10/2013": "2013-10-23",
    "2013/10/23": "2013-10-23", "20131023": "2013-10-23", "41570": "2013-10-23", "Tue 6/8/2018": "2018-06-08",
    "2018-06-08T10:30:00": "2018-06-08", "6/8/2018 10:30 AM": "2018-06-08", "Aug 2011": "2011-08",
    "Sept. 2011": "2011-09", "8/2011": "2011-08", "2011-08": "2011-08", "Oct '13": "2013-10",
    "summer 2021": "2021-summer", "spring of '19": "2019-spring", "fall 2020": "2020-autumn", "2019": "2019",
    "early 2019": "2019", "end of Aug 2011": "2011-08", "6/8/99": "1999-06-08",
}  # fmt: skip
REFUSED = {
    "2/30/2020": "invalid_date", "13/13/2020": "invalid_date", "0/0/0000": "invalid_date", "14/2020": "invalid_date",
    "last week": "relative_date", "2 yrs ago": "relative_date", "yesterday": "relative_date", "June": "relative_date",
    "11/4/2025": "future_date", "2027": "future_date", "1/1/1900": "impossible_value", "soon": "unparsable",
}  # fmt: skip
DOUBTED = [
    "Oct 13",
    "13-Oct",
    "6/8",
    "06/18",
    "102313",
    "c. 2015",
    "2015?",
    "2012-2013",
    "before 2010",
    "99",
]


@pytest.mark.parametrize("text", READ)
def test_are_kept_as_precise_as_they_were_written(text):
    assert read_date(text, today=TODAY) == READ[text]


@pytest.mark.parametrize("text", REFUSED)
def test_are_refused_where_they_name_no_past_day(text):
    with pytest.raises(CellRefused) as told:
        read_date(text, today=TODAY)

    assert told.value.reason == REFUSED[text]


@pytest.mark.parametrize("text", DOUBTED)
def test_are_asked_about_where_they_may_mean_two_days(text):
    with pytest.raises(CellDoubtful) as told:
        read_date(text, today=TODAY)

    assert told.value.reason == "unclear"


def test_turn_round_where_the_heading_says_day_first():
    assert read_date("6/8/2018", today=TODAY, day_first=True) == "2018-08-06"


def test_count_days_as_a_workbook_does():
    # Day 1 is 1900-01-01 and 1900 is held a leap year, so 41,570 is 2013-10-23 (from memory).
    assert read_serial(41570.0, today=TODAY) == "2013-10-23"


@pytest.mark.parametrize(
    ("vague", "day"),
    [("2021-summer", date(2021, 6, 1)), ("2011-08", date(2011, 8, 1)), ("2019", date(2019, 1, 1))],
)
def test_begin_with_the_first_day_of_what_they_cover(vague, day):
    assert first_day(vague) == day
