"""The one place that asks the library for a root."""

from collections.abc import Callable


def find_root(function: Callable[[float], float], low: float, high: float) -> float:
    """Where the function, of opposite signs at `low` and `high`, crosses zero.

    Brent's method, to 1e-13 of the value. A sign that does not change is a fault in the caller,
    which must have refused the input before; the library then raises ValueError.
    """
    from scipy.optimize import brentq  # type: ignore[import-untyped, unused-ignore]

    return float(brentq(function, low, high, xtol=1e-14, rtol=1e-13, maxiter=500))
