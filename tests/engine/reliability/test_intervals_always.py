"""Laws that hold for any history: failures never lengthen, passes never shorten."""

import math
from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from drainservice.engine.failure_mode import FailureMode
from drainservice.engine.reliability.evidence import sights_of
from drainservice.engine.reliability.floods import flood_chance, product_rule
from drainservice.engine.reliability.history import PumpTest, SeenBy, SightKind
from drainservice.engine.reliability.posterior import Sight, posterior_after
from drainservice.engine.reliability.proof_test import (
    PartialTests,
    interval_range_a,
    mean_dead_share,
    solve_interval_a,
)
from drainservice.engine.reliability.rates import rates_with
from drainservice.engine.reliability.train import Build, Train
from drainservice.engine.reliability.unavailability import mean_unavailability

SLACK = 1 + 1e-9
# A busy machine must not make a law fail.
CALM = settings(max_examples=60, deadline=None)
exposure = st.floats(0.01, 2)
sight = st.builds(Sight, st.booleans(), exposure, st.floats(0.3, 1))
history = st.lists(sight, max_size=8)
target = st.floats(0.02, 0.5)
nominal = st.floats(0.05, 0.8)


@CALM
@given(history, exposure, nominal, target)
def test_a_failure_never_lengthens(sights, m, rate, goal):
    before = solve_interval_a(posterior_after(sights, rate), goal)
    after = solve_interval_a(posterior_after([*sights, Sight(False, m)], rate), goal)

    assert after <= before * SLACK


@CALM
@given(history, exposure, st.floats(0, 1), nominal, target)
def test_a_pass_never_shortens_however_much_it_is_doubted(sights, m, trust, rate, goal):
    before = solve_interval_a(posterior_after(sights, rate), goal)
    after = solve_interval_a(posterior_after([*sights, Sight(True, m, trust)], rate), goal)

    assert after * SLACK >= before


@CALM
@given(history, nominal, target, st.floats(0.3, 0.99))
def test_a_stricter_target_is_never_later(sights, rate, goal, strictness):
    belief = posterior_after(sights, rate)

    assert solve_interval_a(belief, goal * strictness) <= solve_interval_a(belief, goal) * SLACK


@CALM
@given(history, nominal, target, st.floats(0, 1), st.floats(0.05, 1))
def test_household_tests_never_shorten(sights, rate, goal, coverage, every):
    belief = posterior_after(sights, rate)
    partial = PartialTests(coverage, every)

    assert solve_interval_a(belief, goal, partial) * SLACK >= solve_interval_a(belief, goal)


@CALM
@given(history, nominal, target)
def test_solved_interval_keeps_its_target_within_its_range(sights, rate, goal):
    belief = posterior_after(sights, rate)
    interval = solve_interval_a(belief, goal)
    short, long = interval_range_a(belief, goal)

    assert interval == 200 or abs(mean_dead_share(belief, interval) - goal) < 1e-9
    assert short < long


@CALM
@given(history, nominal, st.floats(0.1, 5), st.floats(1, 3))
def test_dead_share_grows_with_time(sights, rate, years, more):
    belief = posterior_after(sights, rate)

    assert mean_dead_share(belief, years) <= mean_dead_share(belief, years * more) + 1e-12


modes = st.sampled_from(list(FailureMode))
factors = st.lists(st.tuples(modes, st.floats(1, 12)), max_size=8)


@CALM
@given(factors, modes, st.floats(1, 12))
def test_one_more_mistake_never_lowers_the_rate_of_any_part(given_factors, mode, factor):
    before = rates_with(given_factors)[mode]

    assert rates_with([*given_factors, (mode, factor)])[mode] * SLACK >= before


day = st.integers(1, 4000).map(lambda n: date(2015, 1, 1) + timedelta(days=n))
tests = st.lists(
    st.builds(
        lambda on, kind, passed, mend: PumpTest(
            on,
            kind,
            passed,
            SeenBy.TECHNICIAN,
            mended_on=None if passed or mend < 0 else on + timedelta(days=mend),
        ),
        day,
        st.sampled_from(list(SightKind)),
        st.booleans(),
        st.integers(-30, 60),
    ),
    max_size=12,
)


@CALM
@given(tests)
def test_evidence_never_counts_more_time_than_has_passed(seen):
    start = date(2015, 1, 1)
    sights = sights_of(seen, Train((Build(start),)), start)
    years = max((t.on for t in seen), default=start) - start

    assert all(s.exposure >= 0 for s in sights)
    assert sum(s.exposure for s in sights) <= 0.195 * years.days / 365.25 + 1e-9


@CALM
@given(tests, day, st.floats(0.5, 1), target)
def test_a_household_pass_on_any_day_never_shortens(seen, on, trust, goal):
    start, train = date(2015, 1, 1), Train((Build(date(2015, 1, 1)),))
    answer = PumpTest(on, SightKind.BUCKET, True, SeenBy.HOUSEHOLD)

    before = posterior_after(sights_of(seen, train, start, trust), 0.195)
    after = posterior_after(sights_of([*seen, answer], train, start, trust), 0.195)
    assert solve_interval_a(after, goal) * SLACK >= solve_interval_a(before, goal)


@CALM
@given(st.floats(0.01, 2), st.floats(0.05, 40), st.floats(0.05, 5))
def test_floods_stay_below_failures_and_below_the_product_rule(rate, storms, years):
    got = flood_chance(rate, storms, years)

    assert 0 <= got <= product_rule(rate, storms, years) * SLACK
    # Every flood in this sense needs a failure within the interval first.
    assert got * years <= -math.expm1(-rate * years) + 1e-12
    assert mean_unavailability(rate, years) < 1
