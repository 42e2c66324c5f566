"""First-order propagation. Judge: the `uncertainties` library."""

import math

import pytest
import uncertainties
import uncertainties.umath

from drainservice.engine.hydraulics.amounts import ImpossibleAmount
from drainservice.engine.hydraulics.measured import Measured, propagate


def test_agrees_with_the_uncertainties_library_on_a_crooked_formula():
    # x stands three times, so an independent sum of terms would be wrong.
    x, y = uncertainties.ufloat(2.0, 0.1), uncertainties.ufloat(3.0, 0.2)
    theirs = x * y + x**2 / y - uncertainties.umath.exp(x / 5)

    ours = propagate(
        lambda v: v["x"] * v["y"] + v["x"] ** 2 / v["y"] - math.exp(v["x"] / 5),
        {"x": Measured(2.0, 0.1), "y": Measured(3.0, 0.2)},
    )

    assert ours.value == pytest.approx(theirs.nominal_value)
    assert ours.sd == pytest.approx(theirs.std_dev, rel=1e-8)


def test_a_difference_of_the_same_thing_is_certain():
    ours = propagate(lambda v: v["x"] - v["x"], {"x": Measured(5.0, 1.0)})

    assert ours.sd == 0


def test_names_the_largest_cause():
    # u = 2*0.3 = 0.6 from a, 1*0.1 from b: hypot 0.608.
    ours = propagate(
        lambda v: 2 * v["a"] + v["b"], {"a": Measured(1.0, 0.3), "b": Measured(1.0, 0.1)}
    )

    assert ours.largest_cause == "a"
    assert ours.sd_by_input == pytest.approx({"a": 0.6, "b": 0.1})
    assert ours.measured.relative_sd == pytest.approx(math.hypot(0.6, 0.1) / 3)


def test_a_zero_reading_carries_its_error_too():
    ours = propagate(lambda v: 3 * v["rise"], {"rise": Measured(0.0, 0.01)})

    assert ours.sd == pytest.approx(0.03)


@pytest.mark.parametrize(("value", "sd"), [(1.0, -0.1), (float("nan"), 0.1), (1.0, float("inf"))])
def test_refuses_what_is_no_reading(value, sd):
    with pytest.raises(ImpossibleAmount, match="is no reading"):
        Measured(value, sd)
