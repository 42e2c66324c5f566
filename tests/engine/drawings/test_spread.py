"""Labels move apart as little as they can, in order, and their leaders do not cross."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.engine.drawings.spread import arrange, cross, spread

heights = st.lists(st.floats(10, 60), min_size=1, max_size=12)


def test_labels_with_room_stay_where_they_are():
    assert spread([10, 50, 90], [20, 20, 20], 6, 0) == [10, 50, 90]


def test_two_labels_at_one_height_part_evenly():
    # Both want 100; 20 high and 6 apart they need 26: 100 - 13 = 87 and 100 + 13 = 113.
    assert spread([100, 100], [20, 20], 6, 0) == [87, 113]


@given(high=heights, data=st.data())
def test_labels_never_touch_nor_leave_the_top(high, data):
    wanted = sorted(
        data.draw(st.lists(st.floats(-50, 600), min_size=len(high), max_size=len(high)))
    )

    tops = spread(wanted, high, 6, 4)

    assert tops[0] >= 4
    for place in range(len(high) - 1):
        assert tops[place + 1] - tops[place] >= high[place] + 6 - 1e-6


def test_spread_agrees_with_least_squares_by_a_general_optimizer():
    # Reference: scipy.optimize.minimize (SLSQP), sum of squared moves under the same order.
    optimize = pytest.importorskip("scipy.optimize")
    wanted, high, gap = [10.0, 12.0, 13.0, 80.0, 81.0], [20, 36, 20, 20, 36], 6
    order = [
        {"type": "ineq", "fun": lambda t, i=i: t[i + 1] - t[i] - high[i] - gap} for i in range(4)
    ]
    found = optimize.minimize(
        lambda t: sum((a - b) ** 2 for a, b in zip(t, wanted, strict=True)),
        [-50.0, 0, 50, 100, 150],
        constraints=order,
        options={"ftol": 1e-12, "maxiter": 500},
    )

    assert spread(wanted, high, gap, -1000) == pytest.approx(list(found.x), abs=0.01)


@given(
    st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=2, max_size=9, unique=True)
)
def test_no_two_leaders_cross(spots):
    # Anchors lie to the right of the margin at x = 0.
    anchors = [(20 + 10.0 * x, 10.0 * y) for x, y in spots]
    high = [20.0] * len(anchors)
    tops = arrange(anchors, high, 6, 0, 0)
    leaders = [((0, top + 10), anchor) for top, anchor in zip(tops, anchors, strict=True)]

    for place, leader in enumerate(leaders):
        assert not any(cross(leader, other) for other in leaders[place + 1 :])


def test_crossing_needs_both_to_reach_past_each_other():
    assert cross(((0, 0), (10, 10)), ((0, 10), (10, 0)))
    assert not cross(((0, 0), (4, 4)), ((0, 10), (10, 0)))
    assert not cross(((0, 0), (10, 0)), ((0, 5), (10, 5)))
