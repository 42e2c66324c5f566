"""Compact zones: judged by zoneinfo over all zones, by libical and ical.js over all rules."""

from datetime import UTC, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo, available_timezones

import pytest

from drainservice.accounts.wall import posix_rule
from drainservice.engine.invitations.request import write_request
from drainservice.engine.invitations.zone import (
    ZoneRuleCannotBeWritten,
    read_rule,
    write_zone,
)
from tests.engine.invitations.judges import read_with_ical_js, read_with_libical
from tests.engine.invitations.makers import make_invitation

BEGIN, END = datetime(2026, 12, 1, tzinfo=UTC), datetime(2032, 1, 1, tzinfo=UTC)
# The tz database lists these two zones' changes by date up to 2087 (they pause summer time in
# Ramadan), so no rule can say them; their invitations fall back to UTC (test_request.py).
WITHOUT_LASTING_RULE = {"Africa/Casablanca", "Africa/El_Aaiun"}

NEW_YORK = """
BEGIN:VTIMEZONE
TZID:America/New_York
BEGIN:DAYLIGHT
DTSTART:20070311T020000
RRULE:FREQ=YEARLY;BYDAY=2SU;BYMONTH=3
TZNAME:EDT
TZOFFSETFROM:-0500
TZOFFSETTO:-0400
END:DAYLIGHT
BEGIN:STANDARD
DTSTART:20071104T020000
RRULE:FREQ=YEARLY;BYDAY=1SU;BYMONTH=11
TZNAME:EST
TZOFFSETFROM:-0400
TZOFFSETTO:-0500
END:STANDARD
END:VTIMEZONE
"""


def changes_by_zoneinfo(zone):
    """Each instant of a change in the years looked at, with the offset after it."""
    clock = ZoneInfo(zone)
    found, day = [], BEGIN
    while day < END:
        later = day + timedelta(days=1)
        if day.astimezone(clock).utcoffset() != later.astimezone(clock).utcoffset():
            found.append(_bisect(clock, day, later))
        day = later
    return found


def _bisect(clock, early, late):
    before = early.astimezone(clock).utcoffset()
    while late - early > timedelta(seconds=1):
        middle = early + (late - early) // 2
        middle = middle.replace(microsecond=0)
        if middle.astimezone(clock).utcoffset() == before:
            early = middle
        else:
            late = middle
    return late, late.astimezone(clock).utcoffset()


def changes_by_rule(text):
    """The same by our reading of the rule."""
    rule = read_rule(text)
    if not rule.seasons:
        return []
    one, other = rule.seasons
    found = [
        ((after.begins.wall_in(year) - before.offset).replace(tzinfo=UTC), after.offset)
        for year in range(BEGIN.year, END.year + 1)
        for before, after in ((one, other), (other, one))
    ]
    return sorted(change for change in found if BEGIN <= change[0] < END)


@cache
def judged_zones():
    """For every zone of the tz database: does our reading agree, differ, or is it refused?"""
    verdicts = {}
    for zone in sorted(available_timezones()):
        try:
            ours = changes_by_rule(posix_rule(zone))
        except ZoneRuleCannotBeWritten:
            verdicts[zone] = "refused"
            continue
        same_now = read_rule(posix_rule(zone)).wall_of(BEGIN) == BEGIN.astimezone(
            ZoneInfo(zone)
        ).replace(tzinfo=None)
        agrees = same_now and ours == changes_by_zoneinfo(zone)
        verdicts[zone] = "agrees" if agrees else "differs"
    return verdicts


def test_agrees_with_zoneinfo_to_the_second_wherever_a_zone_has_a_lasting_rule():
    differing = {zone for zone, verdict in judged_zones().items() if verdict == "differs"}

    assert differing <= WITHOUT_LASTING_RULE


def test_refuses_only_the_few_zones_that_change_outside_the_day_they_name():
    refused = {zone for zone, verdict in judged_zones().items() if verdict == "refused"}
    print(f"{len(judged_zones())} zones, refused: {sorted(refused)}")

    # Measured with tzdata 2026.6: ten zones and their second names.
    assert len(refused) <= 20
    assert {posix_rule(zone).count(",M") for zone in refused} == {2}


def seasonal_rules():
    """Every distinct rule with two seasons that we write."""
    texts = {posix_rule(z) for z, verdict in judged_zones().items() if verdict == "agrees"}
    return sorted(text for text in texts if read_rule(text).seasons)


def starts_around(rule, at, after):
    """Four hours off each change, and as near to it as a wall time still names one instant."""
    size = abs(rule.seasons[1].offset - rule.seasons[0].offset)
    is_spring = after == rule.seasons[1].offset
    near = timedelta(0) if is_spring else size
    hours = timedelta(hours=4)
    return (at - hours, at - near - timedelta(minutes=1), at + near, at + hours)


def invitations_around_changes():
    """Short visits on both sides of each change of each rule, in a zone no judge knows."""
    made = []
    for text in seasonal_rules():
        rule = read_rule(text)
        for at, after in changes_by_rule(text):
            for start_at in starts_around(rule, at, after):
                end_at = start_at + timedelta(seconds=30)
                made.append(
                    make_invitation(
                        start_at=start_at,
                        end_at=end_at,
                        start_wall=rule.wall_of(start_at),
                        end_wall=rule.wall_of(end_at),
                        zone="Test/Elm_Road",
                        rule=text,
                    )
                )
    return made


def test_other_readers_find_the_same_instants_on_both_sides_of_each_change():
    invitations = invitations_around_changes()
    written = [write_request(invitation) for invitation in invitations]
    expected = [(i.start_at, i.end_at) for i in invitations]

    assert len(invitations) > 500
    assert all(b"DTSTART;TZID=Test/Elm_Road:" in octets for octets in written)
    assert [(f["start"], f["end"]) for f in map(read_with_libical, written)] == expected
    assert [(f["start"], f["end"]) for f in read_with_ical_js(written)] == expected


def test_writes_one_season_each_way_and_nothing_more():
    octets = write_zone("America/New_York", "EST5EDT,M3.2.0,M11.1.0").to_ical()

    # RFC 5545, 3.6.5 has this zone as its example; the order of lines is the library's.
    assert blocks(octets.decode()) == blocks(NEW_YORK)
    assert len(octets) < 400


def blocks(text):
    """The lines of each part of a zone, sorted within it."""
    return [sorted(part.split()) for part in text.strip().split("BEGIN:")]


def test_writes_a_zone_without_summer_time_as_one_fixed_season():
    octets = write_zone("Asia/Kathmandu", "<+0545>-5:45").to_ical()

    assert octets.count(b"BEGIN:STANDARD") == 1
    assert b"BEGIN:DAYLIGHT" not in octets
    assert b"TZOFFSETTO:+0545" in octets


def test_calls_the_smaller_offset_standard_where_the_law_has_it_the_other_way_round():
    # Dublin's law makes summer the standard: IST-1GMT0,M10.5.0,M3.5.0/1 in the tz database.
    octets = write_zone("Europe/Dublin", "IST-1GMT0,M10.5.0,M3.5.0/1").to_ical()

    standard = octets.partition(b"BEGIN:STANDARD")[2].partition(b"END:STANDARD")[0]
    assert b"TZNAME:GMT" in standard
    assert b"TZOFFSETTO:+0000" in standard
    assert b"DTSTART:20071028T020000" in standard  # the last Sunday of October 2007, from 2:00 IST


@pytest.mark.parametrize(
    ("text", "at", "wall"),
    [
        # Southern summer runs over the new year: Sydney is 11 hours ahead in January.
        ("AEST-10AEDT,M10.1.0,M4.1.0/3", datetime(2027, 1, 1), datetime(2027, 1, 1, 11)),
        ("AEST-10AEDT,M10.1.0,M4.1.0/3", datetime(2027, 7, 1), datetime(2027, 7, 1, 10)),
        # Lord Howe Island changes by half an hour.
        ("<+1030>-10:30<+11>-11,M10.1.0,M4.1.0", datetime(2027, 1, 1), datetime(2027, 1, 1, 11)),
        (
            "<+1030>-10:30<+11>-11,M10.1.0,M4.1.0",
            datetime(2027, 7, 1),
            datetime(2027, 7, 1, 10, 30),
        ),
        ("<+05>-5", datetime(2027, 7, 1), datetime(2027, 7, 1, 5)),
        ("NST3:30NDT,M3.2.0,M11.1.0", datetime(2027, 1, 1), datetime(2026, 12, 31, 20, 30)),
    ],
)
def test_reads_the_wall_of_an_instant(text, at, wall):
    assert read_rule(text).wall_of(at.replace(tzinfo=UTC)) == wall


def test_finds_both_instants_of_a_time_that_comes_twice():
    rule = read_rule("CST6CDT,M3.2.0,M11.1.0")

    assert rule.instants_of(datetime(2027, 11, 7, 1, 30)) == (
        datetime(2027, 11, 7, 6, 30, tzinfo=UTC),
        datetime(2027, 11, 7, 7, 30, tzinfo=UTC),
    )


def test_finds_no_instant_of_a_time_that_is_skipped():
    assert read_rule("CST6CDT,M3.2.0,M11.1.0").instants_of(datetime(2027, 3, 14, 2, 30)) == ()


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "not of the form"),
        ("EST5EDT", "not of the form"),
        ("EST", "not of the form"),
        ("E5", "not of the form"),
        ("EST5EDT,M3.2.0", "not of the form"),
        ("EST5EDT,M3.2.0,M11.1.0\n", "counts the days"),
        ("EST5EDT,J60,J300", "counts the days"),
        ("EST5EDT,59,299", "counts the days"),
        ("EST5EDT,M13.2.0,M11.1.0", "counts the days"),
        ("EST5EDT,M3.6.0,M11.1.0", "counts the days"),
        ("EST5EDT,M3.2.7,M11.1.0", "counts the days"),
        # Santiago changes at 24:00, Nuuk an hour before its day, Gaza two days later.
        ("<-04>4<-03>,M9.1.6/24,M4.1.6/24", "outside the day"),
        ("<-02>2<-01>,M3.5.0/-1,M10.5.0/0", "outside the day"),
        ("EET-2EEST,M3.4.4/50,M10.4.4/50", "outside the day"),
        ("EST200", "impossible time"),
        ("EST5:99", "impossible time"),
    ],
)
def test_refuses_a_rule_that_calendars_do_not_read_alike(text, why):
    with pytest.raises(ZoneRuleCannotBeWritten, match=f"{why}.*UTC"):
        write_zone("Test/Elm_Road", text)
