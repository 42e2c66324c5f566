"""A computed result as sentences: what was measured, against what, and what follows."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from drainservice.engine.units import UnitSystem, show
from drainservice.inspections.models import Verdict

TITLES = {
    "flow_against_duty": "Flow against duty",
    "back_flow": "Back through the check valve",
    "soakage": "Time to drain",
    "silt": "Silt against its limit",
}
SOAKAGE_VERDICTS = {
    "good": "Well within the limit.",
    "watch": "Near the limit; look again this season.",
    "act": "Over the limit; the pit is clogging.",
}
SILT_VERDICTS = {
    "good": "Room left in the sump.",
    "watch": "Nearly full; clean it out at the next visit.",
    "act": "Over the limit; clean it out now.",
}


@dataclass(frozen=True, slots=True)
class Said:
    """One result as it is read: a title, the sum in words, the verdict, or what is missing."""

    title: str
    sum: str
    verdict: str
    word: str
    missing: str = ""


def say_result(
    what: str,
    inputs: Mapping[str, Any],
    outputs: Mapping[str, Any],
    verdict: str,
    system: UnitSystem,
    missing: str = "",
) -> Said:
    """A stored or previewed result in the reader's units."""
    title = TITLES.get(what, what.replace("_", " "))
    missing = missing or str(outputs.get("missing", ""))
    if missing:
        return Said(title, "", "", "", missing)
    words, judged = SAYERS[what](inputs, outputs, verdict, system)
    return Said(title, words, judged, verdict)


def _flow(
    inputs: Mapping[str, Any], outputs: Mapping[str, Any], verdict: str, system: UnitSystem
) -> tuple[str, str]:
    words = (
        f"It moved {show(outputs['test_m3s'], 'flow', system)}, give or take "
        f"{show(2 * outputs['test_sd_m3s'], 'flow', system)}. New, at this lift, it moves "
        f"{show(outputs['duty_m3s'], 'flow', system)}: "
        f"{show(outputs['ratio'], 'percent', system)} of that."
    )
    return words, str(Verdict(verdict).label) if verdict else ""


def _back_flow(
    inputs: Mapping[str, Any], outputs: Mapping[str, Any], verdict: str, system: UnitSystem
) -> tuple[str, str]:
    words = (
        f"{show(max(outputs['returned_m3'], 0.0), 'volume', system)} came back, of "
        f"{show(inputs['line_volume_m3'], 'volume', system)} that the line holds."
    )
    return words, str(outputs["advice"])


def _soakage(
    inputs: Mapping[str, Any], outputs: Mapping[str, Any], verdict: str, system: UnitSystem
) -> tuple[str, str]:
    words = (
        f"Full, the pit drains in {show(outputs['drain_time_s'], 'time', system)}; the limit is "
        f"{show(inputs['limit_s'], 'hours', system)}."
    )
    return words, SOAKAGE_VERDICTS.get(verdict, "")


def _silt(
    inputs: Mapping[str, Any], outputs: Mapping[str, Any], verdict: str, system: UnitSystem
) -> tuple[str, str]:
    words = (
        f"{show(inputs['sediment_m'], 'small_length', system)} of silt; it is cleaned out at "
        f"{show(outputs['limit_m'], 'small_length', system)}."
    )
    return words, SILT_VERDICTS.get(verdict, "")


SAYERS = {"flow_against_duty": _flow, "back_flow": _back_flow, "soakage": _soakage, "silt": _silt}
