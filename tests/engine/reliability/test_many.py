"""A fleet in one pass gives what one by one gives."""

import numpy as np
import pytest

from drainservice.engine.reliability import many
from drainservice.engine.reliability.posterior import Sight, posterior_after
from drainservice.engine.reliability.proof_test import solve_interval_a


def fleet(count, seed=5):
    random = np.random.default_rng(seed)
    nominal = random.uniform(0.05, 0.8, count)
    passed = random.uniform(0, 3, count) * nominal
    failed = random.uniform(0.1, 2, (count, 3)) * nominal[:, None]
    failed[random.random((count, 3)) < 0.6] = 0
    target = random.choice([0.05, 0.10, 0.20], count)
    return nominal, passed, failed, target


def one_by_one(nominal, passed, failed, target):
    for n, p, f, u in zip(nominal, passed, failed, target, strict=True):
        sights = [Sight(True, p), *(Sight(False, m) for m in f if m > 0)]
        yield solve_interval_a(posterior_after(sights, n), u)


def test_equals_one_by_one():
    columns = fleet(300)

    assert many.solve_intervals_a(*columns) == pytest.approx(
        np.array(list(one_by_one(*columns))), rel=1e-8
    )


def test_extreme_systems_stay_within_the_bounds():
    got = many.solve_intervals_a(
        np.array([1e-6, 500.0]), np.zeros(2), np.zeros((2, 0)), np.array([0.9, 0.01])
    )

    assert got[0] == many.LONGEST_A
    assert got[1] == many.SHORTEST_A


def test_columns_that_do_not_line_up_are_refused_in_words():
    one = np.ones(1)
    with pytest.raises(many.FleetDoesNotLineUp, match="one row per system"):
        many.solve_intervals_a(np.ones(2), one, np.zeros((1, 1)), one / 2)
    with pytest.raises(many.FleetDoesNotLineUp, match="between 0 and 1"):
        many.solve_intervals_a(one, one, np.zeros((1, 1)), one)
