"""Water falling in a pit: drain time from a soakage rate, and the level after a while."""

import math

from drainservice.engine.soakage.pit import Pit, refuse_impossible_void_ratio


class DepthIsImpossible(ValueError):
    """A water depth below the bottom, or one that ends above where it began."""


class RateIsImpossible(ValueError):
    """A soakage rate that is zero, negative or not a number."""


class TimeIsImpossible(ValueError):
    """A time that is negative or not a number."""


def find_drain_time(depth_m: float, rate_ms: float, pit: Pit, end_depth_m: float = 0.0) -> float:
    """Time for the level to fall from depth_m to end_depth_m through bottom and walls, s.

    n A dh/dt = -f (A + x h)
    t = n A / (f x) * ln[(h1 + A/x) / (h2 + A/x)];  with x = 0 (bottom only) t = n (h1 - h2) / f

    depth_m, end_depth_m: above the bottom, m. rate_ms: f, m/s, equal through bottom and walls
    (unit gradient). The pit holds A, x and n.
    Raises DepthIsImpossible, RateIsImpossible.
    Source: Ontario Low Impact Development planning and design guide, infiltration practices.
    """
    _refuse_impossible_rate(rate_ms)
    _refuse_impossible_depths(depth_m, end_depth_m)
    return (measure_fall(depth_m, pit) - measure_fall(end_depth_m, pit)) / rate_ms


def find_drain_time_bottom_only(
    depth_m: float, rate_ms: float, void_ratio: float, end_depth_m: float = 0.0
) -> float:
    """Time to fall through the bottom alone, t = n (h1 - h2) / f, s.

    Raises DepthIsImpossible, RateIsImpossible, PitCannotExist.
    Source: the trench procedure of several state manuals (from memory, verified numerically).
    """
    _refuse_impossible_rate(rate_ms)
    _refuse_impossible_depths(depth_m, end_depth_m)
    refuse_impossible_void_ratio(void_ratio)
    return void_ratio * (depth_m - end_depth_m) / rate_ms


def find_level_after(seconds: float, depth_m: float, rate_ms: float, pit: Pit) -> float:
    """Depth left after some seconds of soaking, never below zero, m.

    h(t) = (h1 + A/x) exp(-f x t / (n A)) - A/x;  with x = 0, h(t) = h1 - f t / n
    """
    _refuse_impossible_rate(rate_ms)
    _refuse_impossible_depths(depth_m, 0.0)
    refuse_impossible_time(seconds)
    return max(0.0, _undo_fall(measure_fall(depth_m, pit) - rate_ms * seconds, pit))


def find_deepest_store(drain_time_s: float, rate_ms: float, pit: Pit) -> float:
    """Deepest water that is gone within the time through bottom and walls, m.

    d = (A/x) [exp(f x T / (n A)) - 1];  with x = 0 (bottom only) d = f T / n

    Raises TimeIsImpossible, RateIsImpossible. Source: inverse of find_drain_time.
    """
    _refuse_impossible_rate(rate_ms)
    refuse_impossible_time(drain_time_s)
    try:
        return _undo_fall(rate_ms * drain_time_s, pit)
    except OverflowError:
        raise RateIsImpossible(
            "At that rate any depth would drain in that time; look at rate and pit again."
        ) from None


def find_deepest_store_bottom_only(drain_time_s: float, rate_ms: float, void_ratio: float) -> float:
    """Deepest water that is gone within the time through the bottom alone, d = f T / n, m.

    Source: infiltration-trench procedure of several state manuals (from memory, verified
    numerically). One public guide multiplies by n; the balance f T = n d divides.
    """
    _refuse_impossible_rate(rate_ms)
    refuse_impossible_time(drain_time_s)
    refuse_impossible_void_ratio(void_ratio)
    return rate_ms * drain_time_s / void_ratio


def measure_fall(depth_m: float, pit: Pit) -> float:
    """The depth stretched so that it falls at the soakage rate itself: dg/dt = -f, in m.

    g(h) = (n A / x) ln(1 + x h / A), g(0) = 0; with x = 0, g = n h
    """
    if pit.perimeter_m == 0.0:
        return pit.void_ratio * depth_m
    reach_m = pit.plan_area_m2 / pit.perimeter_m
    return pit.void_ratio * reach_m * math.log1p(depth_m / reach_m)


def find_fall_slope(depth_m: float, pit: Pit) -> float:
    """dg/dh of measure_fall: what an error of the level weighs at this depth."""
    return pit.void_ratio / (1.0 + depth_m * pit.perimeter_m / pit.plan_area_m2)


def refuse_impossible_time(seconds: float) -> None:
    """Raise TimeIsImpossible unless the time is a finite number, zero or more."""
    if not (math.isfinite(seconds) and seconds >= 0.0):
        raise TimeIsImpossible("A time cannot be negative; look at the clock readings again.")


def _undo_fall(fall_m: float, pit: Pit) -> float:
    if pit.perimeter_m == 0.0:
        return fall_m / pit.void_ratio
    reach_m = pit.plan_area_m2 / pit.perimeter_m
    return reach_m * math.expm1(fall_m / (pit.void_ratio * reach_m))


def _refuse_impossible_rate(rate_ms: float) -> None:
    if not (math.isfinite(rate_ms) and rate_ms > 0.0):
        raise RateIsImpossible(
            "The soakage rate must be above zero; if the level did not fall, the pit is clogged "
            "or stands in groundwater and has no drain time."
        )


def _refuse_impossible_depths(depth_m: float, end_depth_m: float) -> None:
    if not (math.isfinite(depth_m) and math.isfinite(end_depth_m)) or end_depth_m < 0.0:
        raise DepthIsImpossible(
            "A water depth is counted up from the bottom and cannot be negative; measure again."
        )
    if depth_m < end_depth_m:
        raise DepthIsImpossible(
            "The water must start above the level it drains to; look whether the two were swapped."
        )
