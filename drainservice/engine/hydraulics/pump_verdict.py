"""The whole pump test in one call: what was measured, what was due, and the verdict."""

from dataclasses import dataclass

from drainservice.engine.hydraulics.drawdown import DrawdownFlow, DrawdownTest, measure_flow
from drainservice.engine.hydraulics.flow_against_duty import FlowAgainstDuty, judge_flow
from drainservice.engine.hydraulics.system_duty import DutyInput, DutyResult, average_duty


@dataclass(frozen=True, slots=True)
class PumpTestResult:
    """Inputs and outputs of one drawdown test of one system, to be stored and replayed."""

    test: DrawdownTest
    system: DutyInput
    drawdown: DrawdownFlow
    duty: DutyResult
    judged: FlowAgainstDuty


def judge_pump_test(test: DrawdownTest, system: DutyInput) -> PumpTestResult:
    """Measure the flow, compute the duty averaged over the band, compare the two.

    Both are the flow into the line: the weep hole's share has come back to the pit in the test
    and is taken off in the duty, so it is not booked as wear. Raises what `measure_flow`,
    `average_duty` and `judge_flow` raise.
    """
    drawdown, duty = measure_flow(test), average_duty(system)
    return PumpTestResult(test, system, drawdown, duty, judge_flow(drawdown.flow, duty.flow))
