"""The pump test and the back-flow test, counted and said."""

from dataclasses import dataclass

from drainservice.engine.explain import Sentence
from drainservice.engine.hydraulics.back_flow import BackFlowTest, ValveVerdict, judge_back_flow
from drainservice.engine.hydraulics.drawdown import DrawdownTest
from drainservice.engine.hydraulics.pump_verdict import PumpTestResult, judge_pump_test
from drainservice.engine.hydraulics.shared_main import SharedMain
from drainservice.engine.hydraulics.system_duty import DutyInput
from drainservice.engine.results.counted import Counted, sentence


@dataclass(frozen=True, slots=True)
class PumpTestInput:
    """One drawdown test and the system it was made in."""

    test: DrawdownTest
    system: DutyInput


def count_pump_test(given: PumpTestInput) -> Counted:
    """Flow of the test against the duty. Raises what `judge_pump_test` raises."""
    found = judge_pump_test(given.test, given.system)
    judged = found.judged
    outputs = (
        ("flow_m3s", judged.test.value),
        ("flow_sd_m3s", judged.test.sd),
        ("inflow_m3s", found.drawdown.inflow.value),
        ("duty_m3s", judged.duty.value),
        ("duty_sd_m3s", judged.duty.sd),
        ("duty_head_m", found.duty.at_middle.head_m),
        ("ratio", judged.ratio),
        ("ratio_sd", judged.ratio_sd),
        ("chance_below_limit", judged.chance_below_limit),
    )
    return Counted(outputs, str(judged.verdict), tuple(_say_pump_test(found)))


def _say_pump_test(found: PumpTestResult) -> list[Sentence]:
    test, duty, judged = found.test, found.duty, found.judged
    weep_m3s = duty.at_middle.weep_flow_m3s
    said = [
        sentence(
            "pump_flow",
            water_m2=test.area_m2.value,
            fall_small_m=test.drop_m.value,
            pump_s=test.pump_time_s.value,
            inflow_m3s=found.drawdown.inflow.value,
            flow_m3s=judged.test.value,
            flow_sd_m3s=judged.test.sd,
        ),
        sentence(
            "pump_duty",
            lift_head_m=duty.at_middle.static_head_m,
            duty_m3s=judged.duty.value,
            duty_sd_m3s=judged.duty.sd,
        ),
        sentence(
            "pump_ratio",
            ratio_percent=judged.ratio,
            limit_percent=judged.limit,
            below_share=judged.chance_below_limit,
        ),
        sentence(f"pump_{judged.verdict}"),
        sentence("pump_uncertain", cause=found.drawdown.largest_cause),
    ]
    if isinstance(found.system.joint, SharedMain) and found.system.joint.other_flow_m3s == 0:
        said.append(sentence("pump_alone_on_main"))
    if weep_m3s > 0:
        said.append(sentence("pump_weep", weep_m3s=weep_m3s))
    if not duty.is_valve_fully_open:
        said.append(sentence("valve_chatters"))
    if duty.is_beyond_curve:
        said.append(sentence("duty_is_guess"))
    return said


def count_back_flow(given: BackFlowTest) -> Counted:
    """The valve's verdict. Raises what `judge_back_flow` raises."""
    found = judge_back_flow(given)
    said = [
        sentence(
            "back_flow",
            rise_small_m=given.rise_m,
            returned_m3=found.returned_m3,
            line_m3=given.line_volume_m3,
        )
    ]
    if found.verdict is ValveVerdict.CANNOT_TELL:
        coarse = {
            "full_rise_small_m": found.full_line_rise_m,
            "error_small_m": given.level_error_m,
        }
        said.append(sentence("back_cannot_tell", **coarse))
    else:
        said.append(sentence(f"back_{found.verdict}"))
    said += [sentence("back_could_be", means=str(other)) for other in found.could_also_be]
    outputs = (
        ("returned_m3", found.returned_m3),
        ("full_line_rise_m", found.full_line_rise_m),
        ("returned_share", found.returned_share.value),
        ("returned_share_sd", found.returned_share.sd),
    )
    return Counted(outputs, str(found.verdict), tuple(said))
