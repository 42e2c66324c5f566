"""What the firm decides: its answer at set-up, its targets, its windows, its usual cadences."""

from dataclasses import dataclass, field
from enum import StrEnum

from drainservice.engine.asbuilt.known import Known, unknown
from drainservice.engine.reliability.prior import RatePrior


class WindowsDoNotFit(ValueError):
    """A window closes before it opens, or a number of days is below zero."""


class SeasonRule(StrEnum):
    """When a wet season asks for a look before it: by the chance of a dead pump, or by the gap."""

    BY_CHANCE = "by_chance"
    BY_GAP = "by_gap"


@dataclass(frozen=True, slots=True)
class Targets:
    """Accepted mean share of time dead, per consequence; judgement, no source."""

    yard: float = 0.20
    near_structure: float = 0.10
    living_space: float = 0.05
    flooded_before: float = 0.05


@dataclass(frozen=True, slots=True)
class Cadence:
    """Longest days between looks where nothing else asks earlier; judgement, no source.

    `line_days` is halved to `line_days_with_trees` where trees or a tee stand in the line's way.
    """

    pump_days: int = 365
    percolation_days: int = 365
    sediment_days: int = 365
    valve_days: int = 365
    line_days: int = 730
    line_days_with_trees: int = 365
    lid_days: int = 365
    alarm_days: int = 365
    battery_days: int = 365


@dataclass(frozen=True, slots=True)
class MendDays:
    """Days in which a part found failed is to be proven again; judgement, no source."""

    yard: int = 14
    near_structure: int = 7
    living_space: int = 2
    flooded_before: int = 2


@dataclass(frozen=True, slots=True)
class FirmSettings:
    """The firm's own answers; days before a wet season by which a look is due and may begin.

    `dead_in_spring`: of all pumps opened in spring, the share that do not pump (unknown: the rates
    of judgement stand). `prior` is that of this pump's class; refitted on the firm's own tests, it
    stands above the answer. `gap_days` serves the gap rule for pumps; looks without a rate that
    were done within `gap_days_other` before a season count for it.
    """

    dead_in_spring: Known[float] = field(default_factory=unknown)
    prior: RatePrior = field(default_factory=RatePrior)
    targets: Targets = Targets()
    season_rule: SeasonRule = SeasonRule.BY_CHANCE
    due_before_season_days: int = 7
    opens_before_season_days: int = 45
    opens_before_season_days_yard: int = 60
    gap_days: int = 60
    gap_days_other: int = 120
    spacing_days: int = 30
    household_test_days: int = 91
    cadence: Cadence = Cadence()
    mend_days: MendDays = MendDays()
    access_days: int = 30

    def __post_init__(self) -> None:
        opens = min(self.opens_before_season_days, self.opens_before_season_days_yard)
        if not 0 <= self.due_before_season_days <= opens or self.spacing_days < 0:
            raise WindowsDoNotFit(
                f"Looks open {opens} and are due {self.due_before_season_days} days before a wet "
                f"season, {self.spacing_days} days apart; the first must be the larger, none below "
                "zero."
            )
