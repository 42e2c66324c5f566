"""The sums of a look: rows of the register and readings as the engine's inputs, counted by it.

Each sum is either an answer or a sentence that says what is missing; nothing is guessed.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace

from drainservice.engine.hydraulics.back_flow import BackFlowTest
from drainservice.engine.hydraulics.drawdown import DrawdownTest, RefillReading
from drainservice.engine.hydraulics.line import water_held
from drainservice.engine.hydraulics.measured import Measured
from drainservice.engine.results.neighbours import OtherPitInput
from drainservice.engine.results.pit import SiltInput, SoakageInput, ToldDrainInput
from drainservice.engine.results.pump import PumpTestInput
from drainservice.inspections.queries.on_main import main_input_of
from drainservice.inspections.queries.parts import (
    LEVEL_SD_M,
    STOPWATCH_SD_S,
    Missing,
    area_of,
    duty_input_of,
    full_depth_of,
    limit_of,
    sections_of,
    soak_pit_of,
    up_to_high_point,
)
from drainservice.inspections.queries.weighed import Sum, lack, weigh
from drainservice.register.queries import Whole

Readings = Mapping[str, float]
# Two readings of the level, each with its own error.
FALL_SD_M = LEVEL_SD_M * 2**0.5


def sums_of(whole: Whole, look: str, readings: Readings, position: int = 1) -> list[Sum]:
    """Every sum that a look's readings allow, of the pump in that position and its valve."""
    at_pump = whole.at_pump(position)
    if position > 1 and (at_pump.pump is None or at_pump.pump.position != position):
        at_pump = replace(whole, pumps=[])
    made = [_make(what, make, at_pump, readings) for what, make in SUMS.get(look, {}).items()]
    return [one for one in made if one is not None]


def soakage(whole: Whole, readings: Readings) -> Sum | None:
    """The sum of a drain test alone, as the trend needs it."""
    return _make("soakage", _soakage, whole, readings)


def _make(
    what: str, make: Callable[[Whole, Readings], object], whole: Whole, readings: Readings
) -> Sum | None:
    """None where the sum was not read; errors of rows and engine are said as what is missing."""
    try:
        given = make(whole, readings)
        return None if given is None else weigh(what, given)
    except ValueError as gap:
        return lack(what, dict(readings), gap)


def _has(readings: Readings, *names: str) -> bool:
    return all(name in readings for name in names)


def _flow_against_duty(whole: Whole, readings: Readings) -> PumpTestInput | None:
    """The drawdown test: is this pump, at this lift, as strong as when new?"""
    if not _has(readings, "pump_down_from_m", "pump_down_to_m", "pump_down_s"):
        return None
    high_m, low_m = readings["pump_down_from_m"], readings["pump_down_to_m"]
    duty = duty_input_of(whole)
    refills: tuple[RefillReading, ...] = ()
    if _has(readings, "refill_rise_m", "refill_s"):
        seconds = Measured(readings["refill_s"], STOPWATCH_SD_S)
        refills = (RefillReading(seconds, Measured(readings["refill_rise_m"], FALL_SD_M)),)
    test = DrawdownTest(
        area_of(whole, low_m, high_m),
        Measured(high_m - low_m, FALL_SD_M),
        Measured(readings["pump_down_s"], STOPWATCH_SD_S),
        refills,
    )
    return PumpTestInput(test, duty)


def _shared_main(whole: Whole, readings: Readings) -> object:
    """What the other pumps on the main leave of this one's flow; told beside a flow test."""
    return main_input_of(whole) if "pump_down_s" in readings else None


def _back_flow(whole: Whole, readings: Readings) -> BackFlowTest | None:
    """Did the line come back through the valve?"""
    rise_m = readings.get("rise_after_stop_m")
    if rise_m is None:
        return None
    line = whole.line
    sections = sections_of(whole)
    if line is None or not sections:
        raise Missing("The discharge line's size and length are not on record.")
    held_m3 = water_held(up_to_high_point(sections, line.high_point_m))
    return BackFlowTest(_area_above_stop(whole, rise_m), rise_m, LEVEL_SD_M, held_m3)


def _other_pit(whole: Whole, readings: Readings) -> OtherPitInput | None:
    """Does the main run back into this pit, at rest, while another pit pumps?"""
    running, resting = "rise_other_runs_{}", "rise_all_rest_{}"
    names = [name.format(unit) for name in (running, resting) for unit in ("m", "s")]
    if not any(name in readings for name in names):
        return None
    if not _has(readings, *names):
        raise Missing(
            "Read the rise and its time twice in the resting pit: while another pump on the main "
            "runs, and while all rest."
        )
    rates = [
        Measured(readings[name.format("m")] / seconds, FALL_SD_M / seconds)
        for name in (running, resting)
        for seconds in [readings[name.format("s")]]
    ]
    area_m2 = _area_above_stop(whole, readings[running.format("m")])
    return OtherPitInput(area_m2, *rates)


def _area_above_stop(whole: Whole, rise_m: float) -> float:
    off_m = whole.pump.off_level_m if whole.pump and whole.pump.off_level_m else 0.0
    return area_of(whole, off_m, off_m + max(rise_m, 0.1)).value


def _soakage(whole: Whole, readings: Readings) -> SoakageInput | ToldDrainInput | None:
    """The drain time of the full pit, or a told one, against the limit of the place."""
    if not _has(readings, "drain_from_m", "drain_to_m", "drain_s"):
        told_s = readings.get("drain_time_s")
        return None if told_s is None else ToldDrainInput(told_s, limit_of(whole))
    return SoakageInput(
        seconds=(0.0, readings["drain_s"]),
        depths_m=(readings["drain_from_m"], readings["drain_to_m"]),
        pit=soak_pit_of(whole),
        full_depth_m=full_depth_of(whole),
        limit=limit_of(whole),
        temperature_c=readings.get("water_temperature_c"),
        takes_rain_to_end_full=True,
    )


def _silt(whole: Whole, readings: Readings) -> SiltInput | None:
    """Silt against the lowest limit of the sump."""
    depth_m = readings.get("sediment_m")
    if depth_m is None:
        return None
    pit, pump = whole.pit, whole.pump
    if pit is None or pit.sump_depth_m is None:
        raise Missing("The sump's depth below the lowest inlet is not on record.")
    return SiltInput(depth_m, pit.sump_depth_m, pump.intake_level_m if pump else None)


SUMS: Mapping[str, Mapping[str, Callable[[Whole, Readings], object]]] = {
    "pump": {"flow_against_duty": _flow_against_duty, "shared_main": _shared_main},
    "valve": {"back_flow": _back_flow, "other_pit": _other_pit},
    "percolation": {"soakage": _soakage},
    "sediment": {"silt": _silt},
}
