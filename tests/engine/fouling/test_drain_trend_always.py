"""Laws of trend and crossing that hold for every pit."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.engine.fouling.bayesian_line import Line, LinePrior, find_crossing, fit_line
from drainservice.engine.fouling.next_look import find_next_look

priors = st.builds(
    LinePrior,
    intercept_mean=st.floats(8.0, 13.0),
    intercept_sd=st.floats(0.05, 1.0),
    slope_mean=st.floats(-0.1, 0.4),
    slope_sd=st.floats(0.01, 0.2),
)
readings = st.lists(
    st.tuples(st.floats(0.0, 25.0), st.floats(8.0, 14.0), st.sampled_from([0.15, 0.30])), max_size=8
)
limits = st.floats(11.0, 13.5)
chances = st.floats(0.02, 0.98)


def fit(rows, prior):
    return fit_line([r[0] for r in rows], [r[1] for r in rows], [r[2] for r in rows], prior)


@given(readings, priors)
def test_a_reading_never_widens_the_line(rows, prior):
    line = fit(rows, prior)

    assert line.slope_sd <= prior.slope_sd * (1 + 1e-9)
    assert line.intercept_sd <= prior.intercept_sd * (1 + 1e-9)


@given(readings, priors)
def test_order_of_readings_does_not_matter(rows, prior):
    forward, backward = fit(rows, prior), fit(rows[::-1], prior)

    assert forward.slope == pytest.approx(backward.slope, rel=1e-9, abs=1e-9)


@given(readings, priors, limits, chances, st.floats(0.0, 20.0))
def test_crossing_is_the_first_time_the_chance_is_reached(rows, prior, limit, chance, start):
    line = fit(rows, prior)

    crossing = find_crossing(line, limit, chance, start)

    times = [start + 0.05 * i for i in range(800)]
    before = [line.find_chance_above(limit, t) for t in times if t < crossing - 1e-6]
    assert all(c < chance + 1e-9 for c in before)
    if math.isfinite(crossing):
        reached = line.find_chance_above(limit, crossing)
        assert reached == pytest.approx(chance, abs=1e-6) or (
            crossing == start and reached > chance
        )


@given(readings, priors, limits)
def test_ten_fifty_and_ninety_follow_each_other(rows, prior, limit):
    line = fit(rows, prior)

    t10, t50, t90 = (find_crossing(line, limit, p) for p in (0.1, 0.5, 0.9))

    assert t10 <= t50 <= t90


@given(priors, limits, st.floats(0.0, 1.0))
def test_a_higher_limit_is_met_later(prior, limit, more):
    line = fit([], prior)

    assert find_crossing(line, limit + more, 0.1) >= find_crossing(line, limit, 0.1) - 1e-9


@given(st.floats(9.0, 10.9), st.floats(0.01, 0.5))
def test_a_sure_line_crosses_where_a_ruler_says(intercept, slope):
    sure = Line(intercept, slope, 1e-9, 1e-9, 0.0)

    assert find_crossing(sure, 11.0, 0.1) == pytest.approx((11.0 - intercept) / slope, rel=1e-5)


@given(st.floats(0.0, 200.0) | st.just(math.inf), st.floats(0.0, 30.0), st.floats(0.1, 3.0))
def test_next_look_is_never_before_the_reading_nor_after_the_cap(t10, last, cap):
    look = find_next_look(t10, last, cap)

    assert last <= look.years <= last + cap
    assert look.years <= max(t10, last)
