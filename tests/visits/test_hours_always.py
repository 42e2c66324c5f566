"""What an absence leaves of a shift, against a count minute by minute."""

from datetime import UTC, datetime, timedelta
from itertools import groupby

from hypothesis import given
from hypothesis import strategies as st

from drainservice.visits.queries.hours import Pause, Span, cut

MIDNIGHT = datetime(2027, 5, 13, 7, tzinfo=UTC)
DAY_MIN = 24 * 60


def at(minute):
    return MIDNIGHT + timedelta(minutes=minute)


def minute_of(instant):
    return int((instant - MIDNIGHT).total_seconds() // 60)


spans = st.lists(st.integers(0, DAY_MIN), min_size=2, max_size=2, unique=True).map(sorted)
aways = st.lists(spans, max_size=5)


def longest_piece(shift, away):
    """Minutes of the shift in which nobody is away, in runs; the longest, of equals the first."""
    free = [not any(a <= m < b for a, b in away) for m in range(*shift)]
    best, start = (0, None), shift[0]
    for is_free, run in groupby(free):
        length = len(list(run))
        if is_free and length > best[0]:
            best = (length, start)
        start += length
    return best


@given(spans, aways, st.integers(0, 120))
def test_the_longest_free_piece_stands(shift, away, overtime):
    span = Span(at(shift[0]), at(shift[1]), overtime, None)
    left = cut(span, [(at(a), at(b)) for a, b in away])
    length, start = longest_piece(shift, away)
    if left is None:
        assert length == 0
    else:
        assert (minute_of(left.starts_at), minute_of(left.ends_at)) == (start, start + length)
        over = range(shift[1], shift[1] + overtime)
        free = next((n for n, m in enumerate(over) if any(a <= m < b for a, b in away)), overtime)
        assert left.overtime_minutes == (free if start + length == shift[1] else 0)


@given(spans, aways, spans, st.integers(1, 60))
def test_a_break_that_is_left_can_be_taken_and_leaves_work_after_it(shift, away, pause, minutes):
    told = Pause(at(pause[0]), at(pause[1]), minutes)
    left = cut(Span(at(shift[0]), at(shift[1]), 0, told), [(at(a), at(b)) for a, b in away])
    if away and left is not None and left.pause is not None:
        earliest_at, latest_at, length = left.pause
        assert length == minutes
        assert max(told.earliest_at, left.starts_at) == earliest_at <= latest_at
        assert latest_at <= told.latest_at
        assert latest_at + timedelta(minutes=minutes) <= left.ends_at
        assert earliest_at + timedelta(minutes=minutes) < left.ends_at


def test_a_piece_shorter_than_the_break_has_none():
    # 8:00 to 8:57 with 8:00 to 8:28 away leaves 29 min; a break of 42 min does not go into them.
    told = Pause(at(22), at(44), 42)

    left = cut(Span(at(0), at(57), 0, told), [(at(0), at(28))])

    assert (minute_of(left.starts_at), minute_of(left.ends_at), left.pause) == (28, 57, None)
