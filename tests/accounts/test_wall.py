"""Promises become instants in one place; judged by zoneinfo and by days worked out by hand."""

import calendar
import zoneinfo
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo, available_timezones

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from drainservice.accounts.wall import (
    InstantLacksItsZone,
    ZoneIsUnknown,
    add_months,
    instant,
    local,
    next_allowed,
    posix_rule,
    today_in,
)

CHICAGO = "America/Chicago"
SOME_ZONES = (CHICAGO, "America/New_York", "Australia/Lord_Howe", "Asia/Kathmandu", "Europe/Dublin")
days = st.dates(date(2020, 1, 1), date(2035, 12, 31))
times = st.times().map(lambda t: t.replace(microsecond=0))
zones = st.sampled_from(sorted(available_timezones()))


def test_reads_a_winter_morning_by_the_winter_clock():
    # CST is six hours behind UTC: 9 + 6 = 15.
    at = instant(date(2027, 1, 12), time(9), CHICAGO)

    assert at == datetime(2027, 1, 12, 15, tzinfo=UTC)
    assert at.tzinfo is UTC


def test_takes_the_first_of_two_times_when_clocks_go_back():
    # 2027-11-07 01:30 comes at 06:30 UTC (CDT, -5) and again at 07:30 UTC (CST, -6).
    assert instant(date(2027, 11, 7), time(1, 30), CHICAGO) == datetime(
        2027, 11, 7, 6, 30, tzinfo=UTC
    )


def test_takes_a_time_marked_as_the_second_still_as_the_first():
    assert instant(date(2027, 11, 7), time(1, 30, fold=1), CHICAGO).hour == 6


def test_moves_a_skipped_time_an_hour_on():
    # On 2027-03-14 clocks jump from 2:00 to 3:00, so 2:30 is read as 3:30 CDT = 08:30 UTC.
    at = instant(date(2027, 3, 14), time(2, 30), CHICAGO)

    assert at == datetime(2027, 3, 14, 8, 30, tzinfo=UTC)
    assert local(at, CHICAGO).time() == time(3, 30)


def test_moves_a_skipped_time_half_an_hour_on_where_clocks_jump_by_half_an_hour():
    # Lord Howe Island, 2027-10-03: 2:00 becomes 2:30 (tz database).
    at = instant(date(2027, 10, 3), time(2, 15), "Australia/Lord_Howe")

    assert local(at, "Australia/Lord_Howe").time() == time(2, 45)


@given(days, times, zones)
@example(date(2027, 3, 14), time(2, 30), CHICAGO)
@example(date(2027, 11, 7), time(1, 30), CHICAGO)
def test_always_agrees_with_a_search_through_zoneinfo(day, at, zone):
    wall = datetime.combine(day, at)
    clock = ZoneInfo(zone)
    # Plain reference: of all offsets near that day, those that lead back to the wall time.
    offsets = {
        (wall + timedelta(hours=h)).replace(tzinfo=UTC).astimezone(clock).utcoffset()
        for h in range(-40, 41, 4)
    }
    fits = sorted(
        (wall - o).replace(tzinfo=UTC)
        for o in offsets
        if (wall - o).replace(tzinfo=UTC).astimezone(clock).replace(tzinfo=None) == wall
    )

    found = instant(day, at, zone)

    if fits:
        assert found == fits[0]
    else:
        assert local(found, zone).replace(tzinfo=None) > wall


@given(days, times, zones)
def test_always_leads_back_to_the_wall_unless_the_time_is_skipped(day, at, zone):
    found = local(instant(day, at, zone), zone)

    assert found.replace(tzinfo=None) >= datetime.combine(day, at)


def test_knows_that_the_day_begins_later_in_the_west():
    now = datetime(2027, 5, 12, 3, tzinfo=UTC)

    assert today_in(CHICAGO, now) == date(2027, 5, 11)
    assert today_in("Europe/Berlin", now) == date(2027, 5, 12)


def test_refuses_a_moment_without_a_zone():
    with pytest.raises(InstantLacksItsZone, match="UTC"):
        local(datetime(2027, 5, 12, 3), CHICAGO)


@pytest.mark.parametrize("zone", ["Mars/Olympus", "", "../etc/passwd", "/etc/passwd", "a\0b"])
def test_refuses_a_zone_that_is_none(zone):
    with pytest.raises(ZoneIsUnknown, match="America/Chicago"):
        instant(date(2027, 5, 12), time(9), zone)


@pytest.mark.parametrize(
    ("day", "months", "then"),
    [
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        (date(2026, 11, 30), 3, date(2027, 2, 28)),
        (date(2026, 3, 31), -1, date(2026, 2, 28)),
        (date(2026, 12, 15), 1, date(2027, 1, 15)),
        (date(2026, 1, 15), -1, date(2025, 12, 15)),
        (date(2026, 5, 12), 0, date(2026, 5, 12)),
    ],
)
def test_adds_months_and_stops_at_the_end_of_a_short_one(day, months, then):
    assert add_months(day, months) == then


@given(days, st.integers(-200, 200))
def test_adding_months_always_lands_in_the_month_that_many_further(day, months):
    then = add_months(day, months)

    assert (then.year - day.year) * 12 + then.month - day.month == months
    assert then.day == min(day.day, calendar.monthrange(then.year, then.month)[1])


@pytest.mark.parametrize(
    ("at", "goes"),
    [
        # Chicago in May is five hours behind UTC, so 8:00 is 13:00 UTC and 20:00 is 01:00 UTC.
        (datetime(2027, 5, 12, 12, 59, tzinfo=UTC), datetime(2027, 5, 12, 13, tzinfo=UTC)),
        (datetime(2027, 5, 12, 13, 0, tzinfo=UTC), datetime(2027, 5, 12, 13, tzinfo=UTC)),
        (datetime(2027, 5, 13, 0, 59, tzinfo=UTC), datetime(2027, 5, 13, 0, 59, tzinfo=UTC)),
        (datetime(2027, 5, 13, 1, 0, tzinfo=UTC), datetime(2027, 5, 13, 13, tzinfo=UTC)),
        # Night before clocks go forward: 8:00 on 14 March is 13:00 UTC, no longer 14:00.
        (datetime(2027, 3, 14, 5, tzinfo=UTC), datetime(2027, 3, 14, 13, tzinfo=UTC)),
    ],
)
def test_waits_for_the_morning(at, goes):
    assert next_allowed(at, CHICAGO, time(8), time(20)) == goes


def test_lets_a_night_pass_where_the_night_is_allowed():
    at = datetime(2027, 5, 12, 6, tzinfo=UTC)  # 1:00 in Chicago

    assert next_allowed(at, CHICAGO, time(22), time(6)) == at


def test_lets_everything_pass_where_no_hour_is_quiet():
    at = datetime(2027, 5, 12, 6, tzinfo=UTC)

    assert next_allowed(at, CHICAGO, time(8), time(8)) == at


@given(
    st.datetimes(datetime(2026, 1, 1), datetime(2031, 1, 1), timezones=st.just(UTC)),
    st.sampled_from(SOME_ZONES),
    st.integers(0, 23),
    st.integers(0, 23),
)
def test_never_goes_back_nor_more_than_a_day_and_an_hour_ahead(at, zone, opens, closes):
    goes = next_allowed(at, zone, time(opens), time(closes))

    assert at <= goes <= at + timedelta(hours=25)
    assert next_allowed(goes, zone, time(opens), time(closes)) == goes


def test_reads_the_rule_at_the_end_of_the_zone_s_file():
    # The tz database's own rules for these zones.
    assert posix_rule(CHICAGO) == "CST6CDT,M3.2.0,M11.1.0"
    assert posix_rule("America/Phoenix") == "MST7"
    assert posix_rule("Asia/Kathmandu") == "<+0545>-5:45"


def test_finds_a_rule_for_every_zone_there_is():
    assert [zone for zone in available_timezones() if not posix_rule(zone)] == []


def test_reads_the_rule_from_the_package_where_the_machine_has_no_zones(monkeypatch):
    monkeypatch.setattr(zoneinfo, "TZPATH", ())
    posix_rule.cache_clear()

    assert posix_rule(CHICAGO) == "CST6CDT,M3.2.0,M11.1.0"
    posix_rule.cache_clear()


def test_finds_no_rule_in_a_file_of_the_first_version(monkeypatch, tmp_path):
    # RFC 9636, 3.1: version 1 is a NUL after "TZif", and such a file has no footer.
    (tmp_path / "America").mkdir()
    (tmp_path / "America" / "Chicago").write_bytes(b"TZif\0" + bytes(39))
    monkeypatch.setattr(zoneinfo, "TZPATH", (str(tmp_path),))
    posix_rule.cache_clear()

    assert posix_rule(CHICAGO) == ""
    posix_rule.cache_clear()
