"""Drain times read from levels. Judge: a real stone-filled pit, and its publisher's own results.

The publisher's whole hours (18, 20, 23, 36 for its storms 17123, 17129, 17130, 17131) are
reproduced by one definition only: from the end of rain to the level before the storm, which was
0 ft each time, and its own documentation says that the level must return to its start. Found here,
in hours:

definition                                   17123   17129   17130   17131   published?
end of rain = last stamp,      to 0 ft       17.75   20.42   23.33   36.25   yes, each rounds to it
end of rain = stamp + 15 min,  to 0 ft       17.50   20.17   23.08   36.00   yes (17.5 up to 18)
last stamp, to 0.01 ft                       16.92   19.25   21.58   34.83   no
last stamp, to 0.05 ft                       14.25   14.67   14.42   29.92   no
first peak, to 0 ft                          30.50   22.58   25.67   39.92   no
first peak, to 0.05 ft                       27.00   16.83   16.75   33.58   no
"""

import math

import pytest

from drainservice.engine.soakage.drain_time import (
    END_OF_RAIN_TO_EMPTY,
    FULL_TO_EMPTY,
    PEAK_TO_EMPTY,
    UNSTATED,
    CountsFrom,
    CountsTo,
    Definition,
)
from drainservice.engine.soakage.drawdown import (
    DefinitionDoesNotFit,
    Drained,
    LevelRecord,
    LevelRecordIsImpossible,
    NotMeasured,
    StormsOverlap,
    WhyNot,
    find_drain_times,
)
from drainservice.engine.soakage.storms import Storm, find_storms
from tests.engine.soakage.drawdown_record import (
    FOOT_M,
    QUARTER_HOUR_S,
    count_seconds,
    read_levels,
    read_rain,
    read_rows,
)

AS_BEFORE = Definition(CountsFrom.END_OF_RAIN, CountsTo.AS_BEFORE)
PUBLISHED_H = [18.0, 20.0, 23.0, 36.0]


def measure(definition, interval_s=0.0):
    """What each of the seventeen storms gives by one definition."""
    return find_drain_times(read_levels(), find_storms(read_rain(interval_s)), definition)


def list_hours(definition, interval_s=0.0):
    """The drain times in hours of the storms that have one."""
    found = measure(definition, interval_s)
    return [r.drain_time.time_s / 3600 for r in found if isinstance(r, Drained)]


def to_level(counts_from, level_ft):
    return Definition(counts_from, CountsTo.LEVEL, to_level_m=level_ft * FOOT_M)


def test_file_holds_the_hours_the_publisher_found():
    told = [row["draindown_hr"] for row in read_rows("events") if row["draindown_hr"]]

    assert [float(hours) for hours in told] == PUBLISHED_H


@pytest.mark.parametrize("definition", [END_OF_RAIN_TO_EMPTY, AS_BEFORE])
def test_end_of_rain_to_the_level_before_gives_the_published_hours(definition):
    hours = list_hours(definition)

    assert hours == pytest.approx([17.75, 20.42, 23.33, 36.25], abs=0.005)
    assert [round(h) for h in hours] == PUBLISHED_H


def test_end_of_rain_a_quarter_hour_later_gives_the_published_hours_too():
    # Each row of rain may stand for the quarter hour that begins at its stamp; 17.5 rounds up.
    hours = list_hours(END_OF_RAIN_TO_EMPTY, QUARTER_HOUR_S)

    assert hours == pytest.approx([17.5, 20.17, 23.08, 36.0], abs=0.005)
    assert [math.floor(h + 0.5) for h in hours] == PUBLISHED_H


@pytest.mark.parametrize(
    ("definition", "found"),
    [
        (to_level(CountsFrom.END_OF_RAIN, 0.01), [16.92, 19.25, 21.58, 34.83]),
        (to_level(CountsFrom.END_OF_RAIN, 0.05), [14.25, 14.67, 14.42, 29.92]),
        (PEAK_TO_EMPTY, [30.5, 22.58, 25.67, 39.92]),
        (to_level(CountsFrom.PEAK, 0.05), [27.0, 16.83, 16.75, 33.58]),
    ],
)
def test_other_definitions_do_not_give_the_published_hours(definition, found):
    hours = list_hours(definition)

    assert hours == pytest.approx(found, abs=0.005)
    assert not any(abs(h - told) < 0.5 for h, told in zip(hours, PUBLISHED_H, strict=True))


def test_finds_the_peaks_the_publisher_found():
    peaks = [r.peak_m / FOOT_M for r in measure(PEAK_TO_EMPTY) if isinstance(r, Drained)]

    # percentstorageused_peak is the peak over the storage depth of 4 ft.
    assert [100 * peak / 4.0 for peak in peaks] == pytest.approx([60.495, 32.1425, 33.2625, 37.72])


def test_finds_the_first_highest_reading():
    found = [r for r in measure(PEAK_TO_EMPTY) if isinstance(r, Drained)]

    assert found[0].peak_at_s == count_seconds("2018-01-12T18:30:00Z")
    assert found[3].peak_at_s == count_seconds("2018-02-11T17:50:00Z")


def test_tells_dry_from_not_read():
    # Before the first recorded water and between, six storms left the pit dry; the level record
    # ends on 15 February at 0:55, before the last seven.
    found = measure(END_OF_RAIN_TO_EMPTY)

    reasons = [r.why if isinstance(r, NotMeasured) else None for r in found]
    dry, unread = WhyNot.STAYED_DRY, WhyNot.NO_READING
    assert reasons == [dry, None, dry, dry, dry, dry, dry, None, None, None] + [unread] * 7


def test_levels_lie_in_the_range_the_readme_states():
    levels = read_levels().levels_m

    assert len(levels) == 2524
    assert min(levels) == 0.0
    assert max(levels) / FOOT_M == pytest.approx(2.4198)


def test_states_how_closely_the_end_is_known():
    found = [r for r in measure(END_OF_RAIN_TO_EMPTY) if isinstance(r, Drained)]

    # The rows before the first dry ones lie 5, 10, 5 and 15 minutes earlier.
    assert [r.known_within_s / 60 for r in found] == [5.0, 10.0, 5.0, 15.0]


HOUR = 3600.0
STORM = Storm(0.0, HOUR, 0.02)
LATER_STORM = Storm(6 * HOUR, 7 * HOUR, 0.02)


def follow(levels_m, definition, storms=(STORM,)):
    """Drain times from levels an hour apart, the first at the storm's start."""
    times = [HOUR * i for i in range(len(levels_m))]
    return find_drain_times(LevelRecord(times, levels_m), storms, definition)[0]


def test_counts_to_half_of_the_peak():
    definition = Definition(CountsFrom.PEAK, CountsTo.HALF)

    found = follow([0.0, 1.0, 0.8, 0.5, 0.2, 0.0], definition)

    assert found.drain_time.time_s == 2 * HOUR


def test_counts_from_the_first_of_two_equal_peaks():
    found = follow([0.0, 1.0, 0.9, 1.0, 0.0], PEAK_TO_EMPTY)

    assert found.drain_time.time_s == 3 * HOUR


def test_counts_from_a_level_passed_on_the_way_down():
    definition = Definition(CountsFrom.LEVEL, CountsTo.LEVEL, 0.8, 0.2)

    found = follow([0.0, 1.0, 0.8, 0.5, 0.2, 0.0], definition)

    assert found.drain_time.time_s == 2 * HOUR


def test_counts_to_the_level_before_the_storm_above_empty():
    found = follow([0.3, 1.0, 0.6, 0.3, 0.2], AS_BEFORE)

    assert found.drain_time.time_s == 2 * HOUR


@pytest.mark.parametrize(
    ("levels", "definition", "storms", "why"),
    [
        ([0.0, 0.0, 0.0], PEAK_TO_EMPTY, (STORM,), WhyNot.STAYED_DRY),
        ([0.5, 0.5, 0.4], PEAK_TO_EMPTY, (STORM,), WhyNot.DID_NOT_RISE),
        ([0.0, 0.1, 0.0], to_level(CountsFrom.PEAK, 1.0), (STORM,), WhyNot.NEVER_THAT_HIGH),
        (
            [0.0, 0.5, 0.0],
            Definition(CountsFrom.LEVEL, CountsTo.EMPTY, from_level_m=0.6),
            (STORM,),
            WhyNot.NEVER_THAT_HIGH,
        ),
        (
            [0.0, 0.5, 0.4, 0.3, 0.2, 0.1, 0.1, 0.5],
            PEAK_TO_EMPTY,
            (STORM, LATER_STORM),
            WhyNot.NEXT_STORM_CAME,
        ),
        ([0.0, 0.5, 0.4, 0.3], PEAK_TO_EMPTY, (STORM,), WhyNot.NO_READING),
        ([math.nan, 0.5, 0.4, 0.0], PEAK_TO_EMPTY, (STORM,), WhyNot.NO_READING),
        ([0.0, 0.5, math.nan, math.nan, 0.1, 0.0], PEAK_TO_EMPTY, (STORM,), WhyNot.NO_READING),
        ([0.0], PEAK_TO_EMPTY, (STORM,), WhyNot.NO_READING),
    ],
)
def test_says_why_a_storm_has_no_drain_time(levels, definition, storms, why):
    assert follow(levels, definition, storms) == NotMeasured(STORM, why)


def test_refuses_storms_out_of_order():
    with pytest.raises(StormsOverlap):
        follow([0.0, 1.0, 0.0], PEAK_TO_EMPTY, (LATER_STORM, STORM))


@pytest.mark.parametrize("definition", [UNSTATED, FULL_TO_EMPTY])
def test_refuses_a_definition_levels_cannot_show(definition):
    with pytest.raises(DefinitionDoesNotFit, match="highest level, the end of rain"):
        follow([0.0, 1.0, 0.0], definition)


@pytest.mark.parametrize(
    ("times", "levels", "words"),
    [
        ((0.0, 1.0), (0.1,), "needs its time"),
        ((0.0, 1.0), (0.1, -0.1), "Level 2 lies below the bottom"),
        ((0.0, 0.0), (0.1, 0.1), "Level 2 is not later"),
    ],
)
def test_refuses_a_record_that_cannot_be(times, levels, words):
    with pytest.raises(LevelRecordIsImpossible, match=words):
        LevelRecord(times, levels)
