"""A result of a look as its row keeps it: counted, read back, and counted again by the engine."""

from dataclasses import dataclass
from typing import Any

from drainservice.engine.interval import MODEL_VERSION
from drainservice.engine.interval.plain import StoredFormUnreadable, to_plain
from drainservice.engine.results.kept import Kept, keep_result, read_result
from drainservice.inspections.models import Result

# What a row calls its sum, and what the engine calls it.
KINDS = {
    "flow_against_duty": "pump_test",
    "shared_main": "main",
    "back_flow": "back_flow",
    "other_pit": "other_pit",
    "soakage": "soakage",
    "silt": "silt",
}
# What the engine found, as one of the four words that every list understands.
VERDICTS = {
    "tight": "good",
    "weeps": "watch",
    "stuck_open": "act",
    "more_than_line": "repeat",
    "cannot_tell": "repeat",
    "valve_holds": "good",
    "valve_leaks": "act",
    "runs": "good",
    "shut_out": "watch",
}


@dataclass(frozen=True, slots=True)
class Sum:
    """One computed result in the form of its row: what went in, what came out, the verdict."""

    what: str
    inputs: dict[str, Any]
    outputs: dict[str, Any]
    verdict: str
    model_version: str = MODEL_VERSION

    @property
    def missing(self) -> str:
        """The sentence that says what is missing; empty where the sum was made."""
        return str(self.outputs.get("missing", ""))


def weigh(what: str, given: Any) -> Sum:
    """Count it. Errors: the named ones of its sum."""
    return _as_sum(what, keep_result(_kind_of(what, to_plain(given)), given))


def lack(what: str, readings: dict[str, float], gap: Exception) -> Sum:
    """A sum that could not be made, with its readings and the reason."""
    return Sum(what, readings, {"missing": str(gap)}, "")


def read_kept(row: Result | Sum) -> Kept:
    """The engine's result as it was stored, whatever version counted it, to be told.

    Errors: StoredFormUnreadable.
    """
    if "said" not in row.outputs:
        raise StoredFormUnreadable("This result was stored in another form; count it anew.")
    aside = {"said", "found"}
    return read_result(
        {
            "what": _kind_of(row.what, row.inputs),
            "model_version": row.model_version,
            "inputs": row.inputs,
            "outputs": [[name, v] for name, v in row.outputs.items() if name not in aside],
            "verdict": row.outputs["found"],
            "said": row.outputs["said"],
        }
    )


def weigh_again(row: Result | Sum) -> Sum:
    """Counted by this model from the stored inputs.

    Errors: StoredFormUnreadable, and the named ones of its sum.
    """
    kept = read_kept(row)
    return _as_sum(row.what, keep_result(kept.what, kept.inputs))


def _as_sum(what: str, kept: Kept) -> Sum:
    said = {"found": kept.verdict, "said": to_plain(kept.said)}
    verdict = VERDICTS.get(kept.verdict, kept.verdict)
    return Sum(what, to_plain(kept.inputs), dict(kept.outputs) | said, verdict, kept.model_version)


def _kind_of(what: str, inputs: dict[str, Any]) -> str:
    if what == "soakage" and "told_s" in inputs:
        return "told_drain"
    return KINDS.get(what, what)
