"""Stone or valve, the pit next door, and all pits of one main, counted and said."""

from dataclasses import dataclass

from drainservice.engine.explain import Plain, Sentence
from drainservice.engine.hydraulics.after_stop import (
    RiseAfterStop,
    RiseCause,
    tell_cause_by_empty_riser,
)
from drainservice.engine.hydraulics.main_line import DutyOnMain, Main, PitOnMain, duties_on_main
from drainservice.engine.hydraulics.measured import Measured
from drainservice.engine.hydraulics.other_pit import judge_resting_pit
from drainservice.engine.results.counted import Counted, sentence


@dataclass(frozen=True, slots=True)
class RiseInput:
    """Two stops from the same level: as usual, and with the riser empty."""

    usual: RiseAfterStop
    riser_empty: RiseAfterStop


@dataclass(frozen=True, slots=True)
class OtherPitInput:
    """A resting pit's rates of level, m/s, while its neighbour pumps and while all rest."""

    area_m2: float
    while_other_runs_ms: Measured
    while_all_rest_ms: Measured


@dataclass(frozen=True, slots=True)
class MainInput:
    """A main and the pits that share it."""

    main: Main
    pits: tuple[PitOnMain, ...]


def count_rise(given: RiseInput) -> Counted:
    """Whether stone or valve gave the water back."""
    found = tell_cause_by_empty_riser(given.usual, given.riser_empty)
    through = {"through_small_m": found.through_valve_m} if found.cause is RiseCause.BOTH else {}
    said = (
        sentence(
            "rise_twice",
            usual_small_m=given.usual.rise_m,
            empty_small_m=given.riser_empty.rise_m,
        ),
        sentence(f"rise_{found.cause}", **through),
    )
    outputs = (
        ("through_valve_m", found.through_valve_m),
        ("through_valve_sd_m", found.through_valve_sd_m),
    )
    return Counted(outputs, str(found.cause), said)


def count_other_pit(given: OtherPitInput) -> Counted:
    """Whether this pit's valve holds against the main."""
    verdict, flow = judge_resting_pit(
        given.area_m2, given.while_other_runs_ms, given.while_all_rest_ms
    )
    more = sentence("other_pit", back_m3s=max(flow.value, 0.0), back_sd_m3s=flow.sd)
    key = {"valve_leaks": "leaks", "valve_holds": "holds"}.get(verdict)
    told = sentence(f"other_valve_{key}" if key else "other_cannot_tell")
    outputs = (("back_m3s", flow.value), ("back_sd_m3s", flow.sd))
    return Counted(outputs, str(verdict), (more, told))


def count_main(given: MainInput) -> Counted:
    """All duties on one main at once; the verdict says whether one pump is shut out."""
    found = duties_on_main(given.main, given.pits)
    outputs: list[tuple[str, Plain]] = []
    for one in found:
        flow_m3s = 0.0 if one.duty is None else one.duty.flow_m3s
        outputs.append((f"{one.name} duty_m3s", flow_m3s))
    verdict = "shut_out" if any(one.is_shut_out for one in found) else "runs"
    said = (*(_say_duty(one) for one in found), sentence(f"main_{verdict}"))
    return Counted(tuple(outputs), verdict, said)


def _say_duty(one: DutyOnMain) -> Sentence:
    if one.alone is None:
        level_m = one.joint.level_above_floor_m
        return sentence("on_main_rests", name=one.name, main_level_m=level_m)
    if one.duty is None:
        return sentence("on_main_shut_out", name=one.name)
    flows = {"alone_m3s": one.alone.flow_m3s, "duty_m3s": one.duty.flow_m3s}
    return sentence("on_main", name=one.name, **flows)
