"""Counts for a time: more time is more of everything, and who needs the solver most gets it."""

from drainservice.engine.rounds.search.effort import effort_for
from tests.engine.rounds.published import HERE, read_instance
from tests.engine.rounds.weeks import make_week


def test_more_time_is_more_of_everything():
    week = make_week(3, 2, 40, 12)
    short, long = effort_for(week, 10), effort_for(week, 30)

    assert long.solver > short.solver
    assert long.rebuilds > short.rebuilds


def test_a_larger_week_gets_fewer_iterations_for_its_time():
    small, large = make_week(3, 2, 40, 12), make_week(4, 4, 120, 30)

    assert effort_for(large, 30).solver < effort_for(small, 30).solver


def test_where_no_break_and_no_risk_is_to_be_seen_the_solver_has_most_of_the_time():
    """R101 at 30 s: 17,500 / sqrt(1 x 100) = 1,750 a second, nine tenths of 30 s."""
    effort = effort_for(read_instance(HERE / "R101.txt"), 30)

    assert effort.solver == 47_250
    assert effort.rebuilds < effort.solver / 5
