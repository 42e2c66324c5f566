"""The sums of a look: rows of the register and readings into the engine, and its answer back.

Each sum is either an answer or a sentence that says what is missing; nothing is guessed.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from drainservice.engine.hydraulics.back_flow import BackFlowTest, judge_back_flow
from drainservice.engine.hydraulics.drawdown import DrawdownTest, RefillReading, measure_flow
from drainservice.engine.hydraulics.flow_against_duty import judge_flow
from drainservice.engine.hydraulics.line import water_held
from drainservice.engine.hydraulics.measured import Measured
from drainservice.engine.hydraulics.system_duty import (
    average_duty,
    duty_input_from,
)
from drainservice.engine.interval import MODEL_VERSION
from drainservice.engine.soakage.foretell import foretell_full_drain_time
from drainservice.engine.soakage.pit import Pit as SoakPit
from drainservice.inspections.queries.parts import (
    LEVEL_SD_M,
    STOPWATCH_SD_S,
    Missing,
    area_of,
    duty_input_of,
    full_depth_of,
    sections_of,
    soak_pit_of,
    up_to_high_point,
)
from drainservice.register.queries import Whole


@dataclass(frozen=True, slots=True)
class Sum:
    """One computed result: what went in, what came out, the verdict, and what is missing."""

    what: str
    inputs: dict[str, Any]
    outputs: dict[str, Any]
    verdict: str
    missing: str = ""
    model_version: str = MODEL_VERSION


def flow_against_duty(whole: Whole, readings: Mapping[str, float]) -> Sum | None:
    """The drawdown test: is this pump, at this lift, as strong as when new?

    None where the test was not read. Errors of the engine are sentences in `missing`.
    """
    needed = ("pump_down_from_m", "pump_down_to_m", "pump_down_s")
    if not all(name in readings for name in needed):
        return None
    high_m, low_m, seconds = (readings[name] for name in needed)
    try:
        duty_input = duty_input_of(whole)
        test = _drawdown_test(whole, readings, high_m, low_m, seconds)
        return weigh_flow({"duty": asdict(duty_input), "test": asdict(test)})
    except ValueError as gap:
        return Sum("flow_against_duty", dict(readings), {}, "", missing=str(gap))


def weigh_flow(inputs: dict[str, Any]) -> Sum:
    """The sum itself from stored inputs, now or years later."""
    duty = average_duty(duty_input_from(inputs["duty"]))
    flow = measure_flow(_test_from(inputs["test"]))
    judged = judge_flow(flow.flow, duty.flow)
    outputs = {
        "test_m3s": flow.flow.value,
        "test_sd_m3s": flow.flow.sd,
        "inflow_m3s": flow.inflow.value,
        "duty_m3s": duty.flow.value,
        "duty_sd_m3s": duty.flow.sd,
        "duty_head_m": duty.at_middle.head_m,
        "ratio": judged.ratio,
        "ratio_sd": judged.ratio_sd,
        "chance_below": judged.chance_below_limit,
        "largest_cause": flow.largest_cause,
        "is_valve_fully_open": duty.is_valve_fully_open,
    }
    return Sum("flow_against_duty", inputs, outputs, str(judged.verdict))


def back_flow(whole: Whole, readings: Mapping[str, float]) -> Sum | None:
    """Did the line come back through the valve? None where the rise was not read."""
    rise_m = readings.get("rise_after_stop_m")
    if rise_m is None:
        return None
    try:
        line = whole.line
        sections = sections_of(whole)
        if line is None or not sections:
            raise Missing("The discharge line's size and length are not on record.")
        off_m = whole.pump.off_level_m if whole.pump and whole.pump.off_level_m else 0.0
        inputs = {
            "area_m2": area_of(whole, off_m, off_m + max(rise_m, 0.1)).value,
            "rise_m": rise_m,
            "level_error_m": LEVEL_SD_M,
            "line_volume_m3": water_held(up_to_high_point(sections, line.high_point_m)),
        }
        return weigh_back_flow(inputs)
    except ValueError as gap:
        return Sum("back_flow", dict(readings), {}, "", missing=str(gap))


def weigh_back_flow(inputs: dict[str, Any]) -> Sum:
    """The back-flow sum from stored inputs."""
    judged = judge_back_flow(BackFlowTest(**inputs))
    verdicts = {"tight": "good", "weeps": "watch", "stuck_open": "act"}
    outputs = {
        "returned_m3": judged.returned_m3,
        "share": judged.returned_share.value,
        "says": str(judged.verdict),
        "advice": judged.advice,
    }
    verdict = verdicts.get(str(judged.verdict), "repeat")
    return Sum("back_flow", inputs, outputs, verdict)


def soakage(whole: Whole, readings: Mapping[str, float]) -> Sum | None:
    """Rate from two levels, and the drain time of the full pit against the jurisdiction's limit."""
    needed = ("drain_from_m", "drain_to_m", "drain_s")
    limit_h = whole.site.jurisdiction.drain_limit_h
    if not all(name in readings for name in needed):
        told_s = readings.get("drain_time_s")
        if told_s is None:
            return None
        return weigh_soakage({"told_s": told_s, "limit_s": limit_h * 3600})
    from_m, to_m, seconds = (readings[name] for name in needed)
    try:
        pit = soak_pit_of(whole)
        inputs: dict[str, Any] = {
            "seconds": [0.0, seconds],
            "depths_m": [from_m, to_m],
            "pit": asdict(pit),
            "full_depth_m": full_depth_of(whole),
            "temperature_c": readings.get("water_temperature_c"),
            "limit_s": limit_h * 3600,
        }
        return weigh_soakage(inputs)
    except ValueError as gap:
        return Sum("soakage", dict(readings), {}, "", missing=str(gap))


def weigh_soakage(inputs: dict[str, Any]) -> Sum:
    """The drain-time sum from stored inputs. A told time carries no definition of its own."""
    from drainservice.engine.soakage.viscosity import reduce_time_to_20c

    if "told_s" in inputs:
        time_s = inputs["told_s"]
        outputs: dict[str, Any] = {"drain_time_s": time_s, "counts": "unstated>unstated"}
    else:
        foretold = foretell_full_drain_time(
            inputs["seconds"],
            inputs["depths_m"],
            SoakPit(**inputs["pit"]),
            inputs["full_depth_m"],
        )
        time_s = foretold.drain_time.time_s
        outputs = {
            "drain_time_s": time_s,
            "drain_time_sd_s": foretold.time_sd_s,
            "rate_ms": foretold.rate.rate_ms,
            "lowest_seen_m": foretold.lowest_seen_m,
            "counts": foretold.drain_time.definition.code,
        }
        if inputs["temperature_c"] is not None:
            outputs["drain_time_20c_s"] = reduce_time_to_20c(time_s, inputs["temperature_c"])
    share = time_s / inputs["limit_s"]
    outputs["share_of_limit"] = share
    verdict = "act" if share > 1 else "watch" if share > 0.75 else "good"
    return Sum("soakage", inputs, outputs, verdict)


def silt(whole: Whole, readings: Mapping[str, float]) -> Sum | None:
    """Silt against the limit: 60 % of the sump, 6 in below the invert, 1 in below the intake."""
    depth_m = readings.get("sediment_m")
    if depth_m is None:
        return None
    pit, pump = whole.pit, whole.pump
    if pit is None or pit.sump_depth_m is None:
        gap = "The sump's depth below the lowest inlet is not on record."
        return Sum("silt", dict(readings), {}, "", missing=gap)
    try:
        return weigh_silt(
            {
                "sediment_m": depth_m,
                "sump_m": pit.sump_depth_m,
                "intake_m": pump.intake_level_m if pump else None,
            }
        )
    except ValueError as gap_:
        return Sum("silt", dict(readings), {}, "", missing=str(gap_))


def weigh_silt(inputs: dict[str, Any]) -> Sum:
    """The silt sum from stored inputs."""
    from drainservice.engine.fouling.sediment import Sump, SumpWithPump, find_sediment_limit

    intake_m = inputs["intake_m"]
    sump = Sump(inputs["sump_m"]) if intake_m is None else SumpWithPump(inputs["sump_m"], intake_m)
    limit = find_sediment_limit(sump)
    share = inputs["sediment_m"] / limit.depth_m if limit.depth_m > 0 else float("inf")
    outputs = {"limit_m": limit.depth_m, "limit_by": str(limit.limit_by), "share_of_limit": share}
    return Sum("silt", inputs, outputs, "act" if share > 1 else "watch" if share > 0.75 else "good")


SUMS = {
    "pump": [flow_against_duty],
    "valve": [back_flow],
    "percolation": [soakage],
    "sediment": [silt],
}
WEIGHED = {
    "flow_against_duty": weigh_flow,
    "back_flow": weigh_back_flow,
    "soakage": weigh_soakage,
    "silt": weigh_silt,
}


def sums_of(whole: Whole, look: str, readings: Mapping[str, float]) -> list[Sum]:
    """Every sum that a look's readings allow."""
    made = [make(whole, readings) for make in SUMS.get(look, [])]
    return [one for one in made if one is not None]


def _drawdown_test(
    whole: Whole, readings: Mapping[str, float], high_m: float, low_m: float, seconds: float
) -> DrawdownTest:
    drop_sd_m = LEVEL_SD_M * 2**0.5
    refills: tuple[RefillReading, ...] = ()
    if "refill_rise_m" in readings and "refill_s" in readings:
        refill = RefillReading(
            time_s=Measured(readings["refill_s"], STOPWATCH_SD_S),
            rise_m=Measured(readings["refill_rise_m"], drop_sd_m),
        )
        refills = (refill,)
    return DrawdownTest(
        area_of(whole, low_m, high_m),
        Measured(high_m - low_m, drop_sd_m),
        Measured(seconds, STOPWATCH_SD_S),
        refills,
    )


def _test_from(stored: dict[str, Any]) -> DrawdownTest:
    refills = tuple(
        RefillReading(
            time_s=Measured(**r["time_s"]),
            rise_m=Measured(**r["rise_m"]),
            between_same_marks=r["between_same_marks"],
        )
        for r in stored["refills"]
    )
    fields = {k: Measured(**v) for k, v in stored.items() if k != "refills"}
    return DrawdownTest(**fields, refills=refills)
