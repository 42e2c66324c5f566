"""Where a function crosses zero: our own few lines, since a library takes seconds to load."""

import sys
from collections.abc import Callable


class NoCrossing(ValueError):
    """The function has one sign at both ends, so no root is known to lie between them."""


def find_root(function: Callable[[float], float], low: float, high: float) -> float:
    """Where the function, of opposite signs at `low` and `high`, crosses zero, to rounding.

    Inverse quadratic steps where three points allow one, else halving, so that a jump is found
    as surely as a crossing. Source: Chandrupatla, Advances in Engineering Software 28 (1997)
    145; from memory. Raises NoCrossing.
    """
    newest, opposite = (high, function(high)), (low, function(low))
    if newest[1] * opposite[1] > 0:
        raise NoCrossing(f"No crossing between {low:g} and {high:g}; enter the numbers again.")
    step = 0.5
    while True:
        place = newest[0] + step * (opposite[0] - newest[0])
        tried = (place, function(place))
        if (tried[1] > 0) == (newest[1] > 0):
            older = newest
        else:
            older, opposite = opposite, newest
        newest = tried
        best = min(newest, opposite, key=lambda point: abs(point[1]))
        smallest = 2 * sys.float_info.epsilon * abs(best[0]) + 1e-15
        limit = smallest / abs(opposite[0] - newest[0]) if opposite[0] != newest[0] else 1.0
        if limit > 0.5 or best[1] == 0:
            return best[0]
        step = min(max(_choose_step(newest, opposite, older), limit), 1 - limit)


def _choose_step(
    newest: tuple[float, float], opposite: tuple[float, float], older: tuple[float, float]
) -> float:
    """Part of the way from newest to opposite: inverse quadratic where it is safe, else half."""
    (a, fa), (b, fb), (c, fc) = newest, opposite, older
    if c == b or fc in (fa, fb):
        return 0.5
    xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
    if not (phi**2 < xi and (1 - phi) ** 2 < 1 - xi):
        return 0.5
    return fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
