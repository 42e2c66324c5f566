"""The drawdown test: how fast the pump empties the pit, with its uncertainty."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from drainservice.engine.hydraulics.amounts import (
    require_depth,
    require_not_negative,
    require_positive,
)
from drainservice.engine.hydraulics.measured import Measured, Propagated, propagate

NOT_READ: Final = Measured(0.0)


class OneReading(ValueError):
    """A rate was asked of fewer than two readings, or of readings at one instant."""


class LevelDidNotFall(ValueError):
    """The pump ran and the level rose or stood: no flow can be told from it."""


@dataclass(frozen=True, slots=True)
class LevelReading:
    """Water level above the floor at a number of seconds into the test."""

    at_s: float
    level_m: float


@dataclass(frozen=True, slots=True)
class RefillReading:
    """A rise with the pump off, just before or after, in the same band.

    `between_same_marks` says that the rise was timed over the very drop of the test; its height
    (and the height's error) is then the drop's, and `rise_m` is not looked at.
    """

    time_s: Measured
    rise_m: Measured = NOT_READ
    between_same_marks: bool = False


@dataclass(frozen=True, slots=True)
class DrawdownTest:
    """What was measured: area of the band, drop, pump seconds, and refills (none: no inflow)."""

    area_m2: Measured
    drop_m: Measured
    pump_time_s: Measured
    refills: tuple[RefillReading, ...] = ()


@dataclass(frozen=True, slots=True)
class DrawdownFlow:
    """The flow out of the pit while the pump ran, the inflow in it, and what made it uncertain."""

    flow: Measured
    inflow: Measured
    sd_by_input_m3s: dict[str, float]
    largest_cause: str


def flow_from_drop(area_m2: float, drop_m: float, time_s: float) -> float:
    """Flow that a fall (or rise) of the level means, m3/s: Q = A dh/dt. Raises ImpossibleAmount."""
    require_positive("area", area_m2)
    require_not_negative("change of level", drop_m)
    require_positive("time", time_s)
    return area_m2 * drop_m / time_s


def measure_flow(test: DrawdownTest) -> DrawdownFlow:
    """Flow that leaves the pit, m3/s: Q = A dh/dt (pump on) + A dh/dt (pump off).

    Several refills are averaged. Area and drop stand in both terms and are moved together (GUM
    5.1.2). A weep hole inside the pit has already given its part back: this is the flow into the
    line; soakage over a test of a minute is negligible. Source: mass balance, as in operators'
    drawdown tests. Raises ImpossibleAmount.
    """
    _require_sound(test)
    inputs = {"area": test.area_m2, "drop": test.drop_m, "pump time": test.pump_time_s}
    for number, refill in enumerate(test.refills, start=1):
        inputs[f"refill time {number}"] = refill.time_s
        if not refill.between_same_marks:
            inputs[f"refill rise {number}"] = refill.rise_m

    def inflow_m3s(x: Mapping[str, float]) -> float:
        rates = [
            x.get(f"refill rise {number}", x["drop"]) / x[f"refill time {number}"]
            for number in range(1, len(test.refills) + 1)
        ]
        return x["area"] * sum(rates) / len(rates) if rates else 0.0

    inflow = propagate(inflow_m3s, inputs)
    flow = propagate(lambda x: x["area"] * x["drop"] / x["pump time"] + inflow_m3s(x), inputs)
    return DrawdownFlow(flow.measured, inflow.measured, flow.sd_by_input, flow.largest_cause)


def drop_between(readings: Sequence[LevelReading], level_sd_m: float) -> tuple[Measured, Measured]:
    """Drop and time from levels read while the pump ran: (drop_m, pump_time_s).

    With two readings their difference; with more, the least-squares slope times the span, which
    averages the reading error: u_slope = u_level / sqrt(sum (t - mean t)^2). Raises OneReading,
    LevelDidNotFall, NegativeDepth, ImpossibleAmount.
    """
    slope, slope_sd = fit_rate(readings, level_sd_m)
    if slope >= 0:
        raise LevelDidNotFall(
            "The level did not fall while the pump ran: inflow as large as the pump, a shut or "
            "frozen line, or no pump at all. Look at the outlet, then measure again."
        )
    times_s = [reading.at_s for reading in readings]
    span_s = max(times_s) - min(times_s)
    return Measured(-slope * span_s, slope_sd * span_s), Measured(span_s)


def fit_rate(readings: Sequence[LevelReading], level_sd_m: float) -> tuple[float, float]:
    """Least-squares rate of the level and its sd, m/s (rising is positive).

    Raises OneReading, NegativeDepth, ImpossibleAmount.
    """
    require_not_negative("level reading's error", level_sd_m)
    for reading in readings:
        require_depth("level", reading.level_m)
    times_s = [reading.at_s for reading in readings]
    if len(set(times_s)) < 2:
        raise OneReading("A rate needs two levels at two times; read the level once more.")
    mean_s = sum(times_s) / len(times_s)
    spread = sum((t - mean_s) ** 2 for t in times_s)
    slope = sum((r.at_s - mean_s) * r.level_m for r in readings) / spread
    return float(slope), float(level_sd_m / spread**0.5)


def inflow_from_rise(area_m2: Measured, rise_m: Measured, time_s: Measured) -> Propagated:
    """Inflow, or a leak that comes back, from a rise with the pump off, m3/s: q = A dh/dt.

    Raises ImpossibleAmount.
    """
    require_positive("area", area_m2.value)
    require_not_negative("rise of the level", rise_m.value)
    require_positive("time", time_s.value)
    return propagate(
        lambda x: x["area"] * x["rise"] / x["time"],
        {"area": area_m2, "rise": rise_m, "time": time_s},
    )


def _require_sound(test: DrawdownTest) -> None:
    require_positive("area", test.area_m2.value)
    require_positive("pump's running time", test.pump_time_s.value)
    if test.drop_m.value < 0:
        raise LevelDidNotFall("The level rose while the pump ran; look at the outlet, test again.")
    require_positive("drop of the level", test.drop_m.value)
    for refill in test.refills:
        require_positive("time of the refill", refill.time_s.value)
        require_not_negative("rise of the refill", refill.rise_m.value)
