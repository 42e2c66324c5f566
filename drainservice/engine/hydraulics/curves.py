"""Pump curves from points, at another speed, and several pumps together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import isfinite, log

from drainservice.engine.hydraulics.amounts import require_not_negative, require_positive


class RisingPumpCurve(ValueError):
    """A pump whose head grows with its flow: two duty points, or a slip of the pen."""


class PumpPointsUnusable(ValueError):
    """Too few points, a point twice, or a point that no pump has."""


@dataclass(frozen=True, slots=True)
class PumpPoint:
    """One point of a pump's data sheet."""

    flow_m3s: float
    head_m: float


@dataclass(frozen=True, slots=True)
class PumpCurve:
    """Head of one pump: h = shutoff_head - coefficient * Q^exponent (m, m3/s).

    `largest_flow_m3s` is the flow of the last point known; beyond it the curve is a guess.
    """

    shutoff_head_m: float
    coefficient: float
    exponent: float
    largest_flow_m3s: float
    fitted_by: str

    def head_at(self, flow_m3s: float) -> float:
        """Head at that flow, m; below zero beyond the pump's run-out. Raises ImpossibleAmount."""
        require_not_negative("flow of the pump", flow_m3s)
        return float(self.shutoff_head_m - self.coefficient * flow_m3s**self.exponent)

    def flow_at(self, head_m: float) -> float:
        """Flow at that head, m3/s; zero at or above the shut-off head (the valve holds)."""
        if head_m >= self.shutoff_head_m:
            return 0.0
        return float(((self.shutoff_head_m - head_m) / self.coefficient) ** (1 / self.exponent))

    def at_speed(self, speed_ratio: float) -> "PumpCurve":
        """The curve at another speed, n2/n1, by affinity: Q as n, H as n^2.

        h = r^2 h0 - B r^(2-k) Q^k for exponent k. Raises ImpossibleAmount.
        """
        require_positive("ratio of speeds", speed_ratio)
        return replace(
            self,
            shutoff_head_m=self.shutoff_head_m * speed_ratio**2,
            coefficient=self.coefficient * speed_ratio ** (2 - self.exponent),
            largest_flow_m3s=self.largest_flow_m3s * speed_ratio,
        )

    def in_parallel(self, count: int) -> "PumpCurve":
        """So many equal pumps into one line: each carries Q/count. Raises ImpossibleAmount."""
        require_positive("number of pumps", count)
        return replace(
            self,
            coefficient=self.coefficient / count**self.exponent,
            largest_flow_m3s=self.largest_flow_m3s * count,
        )

    def in_series(self, count: int) -> "PumpCurve":
        """So many equal pumps one behind the other: heads add. Raises ImpossibleAmount."""
        require_positive("number of pumps", count)
        return replace(
            self,
            shutoff_head_m=self.shutoff_head_m * count,
            coefficient=self.coefficient * count,
        )


@dataclass(frozen=True, slots=True)
class AffinityPoint:
    """Flow, head and power of a pump at one speed."""

    flow_m3s: float
    head_m: float
    power_w: float


def scale_by_affinity(point: AffinityPoint, speed_ratio: float) -> AffinityPoint:
    """The same pump at n2/n1 times the speed: Q as n, H as n^2, P as n^3.

    Source: affinity rules, Crane TP-410. Raises ImpossibleAmount.
    """
    require_positive("ratio of speeds", speed_ratio)
    return AffinityPoint(
        point.flow_m3s * speed_ratio,
        point.head_m * speed_ratio**2,
        point.power_w * speed_ratio**3,
    )


def fit_pump_curve(points: Sequence[PumpPoint]) -> PumpCurve:
    """The curve for whatever points are known.

    One point: the single-point rule. Three points that begin at no flow: the power form. Any
    other two or more: least squares of h = a + c Q^2. Raises RisingPumpCurve, PumpPointsUnusable.
    """
    if len(points) == 1:
        return fit_single_point(points[0])
    if len(points) == 3 and min(p.flow_m3s for p in points) == 0:
        return fit_power_curve(points)
    return fit_least_squares(points)


def fit_single_point(point: PumpPoint) -> PumpCurve:
    """One point known: shut-off head 4/3 of its head, no head at twice its flow.

    Equation: h = 4/3 h1 - (h1 / 3 Q1^2) Q^2. Source: EPANET 2.2 manual, pump curves (from
    memory). Raises PumpPointsUnusable.
    """
    _sort_points([point])
    if point.flow_m3s <= 0:
        raise PumpPointsUnusable("One point alone must have a flow; add the shut-off head to it.")
    return PumpCurve(
        shutoff_head_m=4 / 3 * point.head_m,
        coefficient=point.head_m / (3 * point.flow_m3s**2),
        exponent=2.0,
        largest_flow_m3s=2 * point.flow_m3s,
        fitted_by="single point",
    )


def fit_power_curve(points: Sequence[PumpPoint]) -> PumpCurve:
    """Exactly through three points, the first at no flow: h = h0 - B Q^n.

    n = ln((h0-h2)/(h0-h1)) / ln(Q2/Q1), B = (h0-h1)/Q1^n. Source: EPANET 2.2 manual, pump
    curves. Raises RisingPumpCurve, PumpPointsUnusable.
    """
    ordered = _sort_points(points)
    if len(ordered) != 3 or ordered[0].flow_m3s != 0:
        raise PumpPointsUnusable(
            "The power form goes through three points, the first at no flow; "
            "enter those, or let least squares take the points you have."
        )
    shutoff, middle, last = ordered
    dropped_m = shutoff.head_m - middle.head_m
    exponent = log((shutoff.head_m - last.head_m) / dropped_m) / log(
        last.flow_m3s / middle.flow_m3s
    )
    return PumpCurve(
        shutoff_head_m=shutoff.head_m,
        coefficient=dropped_m / middle.flow_m3s**exponent,
        exponent=exponent,
        largest_flow_m3s=last.flow_m3s,
        fitted_by="three points",
    )


def fit_least_squares(points: Sequence[PumpPoint]) -> PumpCurve:
    """Least squares of h = a + c Q^2 through two or more points.

    c = S_xy/S_xx and a = mean(h) - c mean(x) with x = Q^2. Raises RisingPumpCurve,
    PumpPointsUnusable.
    """
    ordered = _sort_points(points)
    if len(ordered) < 2:
        raise PumpPointsUnusable("A curve by least squares needs two points or more; add one.")
    squares = [p.flow_m3s**2 for p in ordered]
    mean_x = sum(squares) / len(ordered)
    mean_h_m = sum(p.head_m for p in ordered) / len(ordered)
    spread = sum((x - mean_x) ** 2 for x in squares)
    slope = sum((x - mean_x) * p.head_m for x, p in zip(squares, ordered, strict=True)) / spread
    return PumpCurve(
        shutoff_head_m=mean_h_m - slope * mean_x,
        coefficient=-slope,
        exponent=2.0,
        largest_flow_m3s=ordered[-1].flow_m3s,
        fitted_by="least squares",
    )


def _sort_points(points: Sequence[PumpPoint]) -> list[PumpPoint]:
    """By flow; refuse points no pump has, the same flow twice, and a head that does not fall."""
    ordered = sorted(points, key=lambda p: p.flow_m3s)
    if not ordered:
        raise PumpPointsUnusable("No point of the pump is known; enter one from its data sheet.")
    for point in ordered:
        if not (isfinite(point.flow_m3s) and isfinite(point.head_m)):
            raise PumpPointsUnusable("A point of the pump is not a number; enter it again.")
        if point.flow_m3s < 0 or point.head_m < 0:
            raise PumpPointsUnusable("A pump's flow and head are never below zero; check the sign.")
    if ordered[0].head_m == 0:
        raise PumpPointsUnusable("A pump that lifts nothing at its first point has no curve.")
    for before, after in pairwise(ordered):
        if before.flow_m3s == after.flow_m3s:
            raise PumpPointsUnusable("Two points have the same flow; keep one of them.")
        if after.head_m >= before.head_m:
            raise RisingPumpCurve(
                f"The head does not fall from {before.head_m:.2f} m to {after.head_m:.2f} m as the "
                "flow grows; look at the data sheet again, or use only the falling part."
            )
    return ordered
