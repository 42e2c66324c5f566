"""One way for every result: count it, keep it as plain JSON, tell it, count it again later."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from drainservice.engine.explain import Sentence, tell_all
from drainservice.engine.hydraulics.back_flow import BackFlowTest
from drainservice.engine.interval import MODEL_VERSION
from drainservice.engine.interval.due_dates import CountedByAnotherModel
from drainservice.engine.interval.plain import StoredFormUnreadable, from_plain, to_plain
from drainservice.engine.results import neighbours, pit, pump, storm, supply, trend, warning
from drainservice.engine.results.counted import Counted, Values
from drainservice.engine.units import UnitSystem


class ResultUnknown(ValueError):
    """No result of that name is counted here."""


@dataclass(frozen=True, slots=True)
class Kind:
    """What one kind of result takes, and how it is counted."""

    takes: type
    count: Callable[[Any], Counted]


KINDS: Mapping[str, Kind] = {
    "pump_test": Kind(pump.PumpTestInput, pump.count_pump_test),
    "back_flow": Kind(BackFlowTest, pump.count_back_flow),
    "rise": Kind(neighbours.RiseInput, neighbours.count_rise),
    "other_pit": Kind(neighbours.OtherPitInput, neighbours.count_other_pit),
    "main": Kind(neighbours.MainInput, neighbours.count_main),
    "soakage": Kind(pit.SoakageInput, pit.count_soakage),
    "told_drain": Kind(pit.ToldDrainInput, pit.count_told_drain),
    "silt": Kind(pit.SiltInput, pit.count_silt),
    "drain_trend": Kind(trend.DrainTrendInput, trend.count_drain_trend),
    "silt_trend": Kind(trend.SiltTrendInput, trend.count_silt_trend),
    "capacity": Kind(storm.CapacityInput, storm.count_capacity),
    "storm": Kind(storm.StormInput, storm.count_storm),
    "demand": Kind(storm.DemandInput, storm.count_demand),
    "battery": Kind(supply.BatteryInput, supply.count_battery),
    "warning": Kind(warning.WarningInput, warning.count_warning),
}


@dataclass(frozen=True, slots=True)
class Kept:
    """A result with everything to tell it as it was, and to count it again."""

    what: str
    model_version: str
    inputs: Any
    outputs: Values
    verdict: str
    said: tuple[Sentence, ...]

    def tell(self, system: UnitSystem = UnitSystem.TRADE) -> str:
        """What it used, what came out and what follows, in words and the reader's units."""
        return tell_all(self.said, system)

    def as_stored(self) -> dict[str, Any]:
        """Plain JSON values."""
        stored: dict[str, Any] = to_plain(self)
        return stored


def keep_result(what: str, inputs: Any) -> Kept:
    """Count a result of that kind. Raises ResultUnknown, and the named errors of its sum."""
    kind = _kind(what)
    if not isinstance(inputs, kind.takes):
        raise ResultUnknown(f"A {what} result takes {kind.takes.__name__}; give it that.")
    counted = kind.count(inputs)
    return Kept(what, MODEL_VERSION, inputs, counted.outputs, counted.verdict, counted.said)


def read_result(stored: dict[str, Any]) -> Kept:
    """What was stored, as it was, whatever version counted it.

    Raises ResultUnknown, StoredFormUnreadable.
    """
    if "what" not in stored:
        raise StoredFormUnreadable("A stored result does not say what it is; count it anew.")
    inputs: Any = from_plain(_kind(stored["what"]).takes, stored.get("inputs"))
    read = from_plain(Kept, {**stored, "inputs": None})
    return Kept(read.what, read.model_version, inputs, read.outputs, read.verdict, read.said)


def replay_result(stored: dict[str, Any]) -> Kept:
    """Count again from the stored inputs; the same version gives the same numbers and words.

    Raises CountedByAnotherModel where the version differs: read it with `read_result` instead.
    """
    before = read_result(stored)
    if before.model_version != MODEL_VERSION:
        raise CountedByAnotherModel(
            f"This result was counted by model {before.model_version}, this is {MODEL_VERSION}. "
            "Read it as stored, or count it anew and compare."
        )
    return keep_result(before.what, before.inputs)


def _kind(what: str) -> Kind:
    if what not in KINDS:
        raise ResultUnknown(f"No result is called {what!r}; use one of {', '.join(KINDS)}.")
    return KINDS[what]
