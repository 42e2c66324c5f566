"""Published rules of when a sump is to be cleaned; all were written for basins without a pump."""

from dataclasses import dataclass

from drainservice.engine.units import INCH_M


class RuleIsImpossible(ValueError):
    """A rule whose share or clearance cannot be."""


@dataclass(frozen=True, slots=True)
class SedimentRule:
    """When a sump is to be cleaned: above a share of its depth, or nearer than that to a pipe.

    `clearance_m` 0: the rule names none.
    """

    name: str
    share_of_sump: float
    clearance_m: float
    source: str

    def __post_init__(self) -> None:
        if not (0.0 < self.share_of_sump <= 1.0 and self.clearance_m >= 0.0):
            raise RuleIsImpossible(
                "A rule for sediment takes a share of the sump above 0 and up to 1, and a "
                "clearance of zero or more; enter 60 % as 0.60."
            )


WASHINGTON = SedimentRule(
    "washington",
    0.60,
    6.0 * INCH_M,
    "Washington State Department of Ecology, catch-basin maintenance standard",
)
HALF_FULL = SedimentRule(
    "half_full", 0.50, 0.0, "Municipal stormwater permits, as practitioners state them: never "
    "above 50 %"
)  # fmt: skip
CALIFORNIA = SedimentRule(
    "california", 0.40, 0.0, "California municipal guidance: clean before 40 %"
)
MICHIGAN = SedimentRule(
    "michigan", 0.50, 12.0 * INCH_M, "Michigan manual quoting a 2006 study: 30 to 50 %, or 1 ft "
    "below the invert"
)  # fmt: skip
SEDIMENT_RULES = (WASHINGTON, HALF_FULL, CALIFORNIA, MICHIGAN)
