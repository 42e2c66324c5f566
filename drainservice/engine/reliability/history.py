"""What was seen of one pump: tests that show only passed or failed, storms, mends."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from drainservice.engine.failure_mode import FailureMode


class SightKind(StrEnum):
    """How the pump was seen to run or fail."""

    PROOF = "proof"
    BUCKET = "bucket"
    FLOAT_LIFTED_DRY = "float_lifted_dry"
    STORM_RUN = "storm_run"
    STORM_FAILURE = "storm_failure"


class SeenBy(StrEnum):
    """Who saw it."""

    TECHNICIAN = "technician"
    HOUSEHOLD = "household"
    ALARM = "alarm"


@dataclass(frozen=True, slots=True)
class PumpTest:
    """One sight of the pump on a day.

    `passed`: it started, the level fell and it stopped. `level_passed_on`: the water rose above the
    start level; without that it is no test, neither pass nor failure (a float lifted dry and a
    failure in a storm count as they are). `cause` is the mode found, None when not known.
    `mended_on` is the day a failed pump was proven again, None while it is not.
    """

    on: date
    kind: SightKind
    passed: bool
    tester: SeenBy
    level_passed_on: bool = True
    cause: FailureMode | None = None
    mended_on: date | None = None
