"""The root finder. Judge: scipy's brentq."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from drainservice.engine.hydraulics.roots import NoCrossing, find_root

CROOKED = [
    (lambda x: x**3 - 2, 0.0, 5.0),
    (lambda x: math.exp(x) - 1e-6, -40.0, 3.0),
    (lambda x: (x - 0.3) ** 9, -1.0, 2.0),
    (lambda x: math.atan(1000 * (x - 0.777)), 0.0, 1.0),
    (lambda x: math.sqrt(abs(x)) * math.copysign(1, x) - 1e-4, -1.0, 2.0),
]


@pytest.mark.parametrize(("function", "low", "high"), CROOKED)
def test_agrees_with_brentq(function, low, high):
    theirs = brentq(function, low, high, xtol=1e-14, maxiter=500)

    # A ninth power is flat to rounding over a hundredth round its root.
    assert find_root(function, low, high) == pytest.approx(theirs, abs=1e-2)
    assert abs(function(find_root(function, low, high))) <= abs(function(theirs)) + 1e-12


@given(st.floats(0.1, 0.9), st.floats(1.2, 6), st.floats(0.5, 20))
def test_agrees_with_brentq_on_curves_like_ours(static, exponent, drag):
    def lacking(flow):
        return 1 - flow**exponent - static - drag * flow**1.852

    theirs = brentq(lacking, 0.0, 1.0, xtol=1e-14)

    assert find_root(lacking, 0.0, 1.0) == pytest.approx(theirs, abs=1e-11)


def test_finds_a_jump():
    assert find_root(lambda x: 1.0 if x > 0.3 else -1.0, 0.0, 1.0) == pytest.approx(0.3)


def test_needs_few_looks():
    looks = []

    find_root(lambda x: looks.append(x) or x**3 - 2, 0.0, 5.0)

    # Halving alone would need about 52.
    assert len(looks) < 20


@pytest.mark.parametrize("swapped", [(0.0, 2.0), (2.0, 0.0)])
def test_takes_the_ends_in_either_order(swapped):
    assert find_root(lambda x: x - 1.25, *swapped) == pytest.approx(1.25)


def test_returns_an_end_that_is_the_root():
    assert find_root(lambda x: x, 0.0, 1.0) == pytest.approx(0.0, abs=1e-14)


def test_refuses_ends_of_one_sign():
    with pytest.raises(NoCrossing, match="No crossing between 1 and 2"):
        find_root(lambda x: x, 1.0, 2.0)
