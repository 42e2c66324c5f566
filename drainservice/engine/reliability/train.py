"""How a train's expected failures add up over its life, as its build and its age change."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from drainservice.engine.failure_mode import FailureMode
from drainservice.engine.reliability.ageing import PUMP_SCALE_A, exposure_of_pump
from drainservice.engine.reliability.rates import (
    NO_CATALOGUE,
    Catalogue,
    FloatKind,
    PumpClass,
    Rates,
    rates_with,
)
from drainservice.engine.units import YEAR_DAYS


class BuildIsMissing(ValueError):
    """A pump train needs at least one as-built period to count from."""


@dataclass(frozen=True, slots=True)
class Build:
    """The factors on failure rates that held from a day on, and what a proof test then showed.

    `proof_coverage` lists modes of which a technician's test shows less than all.
    """

    since: date
    factors: tuple[tuple[FailureMode, float], ...] = ()
    proof_coverage: tuple[tuple[FailureMode, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Train:
    """One pump train over time: builds (oldest first), pump, the firm's scale and catalogue.

    `installed_on` None: the pump's age is not known and does not count.
    """

    builds: tuple[Build, ...]
    pump_class: PumpClass = PumpClass.UNKNOWN
    float_kind: FloatKind = FloatKind.UNKNOWN
    installed_on: date | None = None
    scale: float = 1.0
    catalogue: Catalogue = NO_CATALOGUE

    def __post_init__(self) -> None:
        if not self.builds:
            raise BuildIsMissing("Give the as-built facts with the day from which they hold.")


def build_on(train: Train, day: date) -> Build:
    """The build that held on a day; before the first, the first."""
    starts = [build.since for build in train.builds]
    return train.builds[max(0, bisect_right(starts, day) - 1)]


def rates_on(train: Train, day: date) -> dict[FailureMode, float]:
    """Nominal rate per mode and year under the build of that day, without ageing."""
    return _rates(train, build_on(train, day))


def _rates(train: Train, build: Build) -> dict[FailureMode, float]:
    return rates_with(
        build.factors, train.pump_class, train.float_kind, train.scale, train.catalogue
    )


def nominal_per_a(train: Train, day: date, years: float = 1.0) -> float:
    """L0: nominal failures per year over the `years` after a day, age of the pump included."""
    return sum(aged_rates(train, day, years).values())


def aged_rates(train: Train, day: date, years: float = 1.0) -> dict[FailureMode, float]:
    """Nominal rate per mode over the `years` after a day, age of the pump included."""
    rates = rates_on(train, day)
    if train.installed_on is not None:
        age = max(0.0, (day - train.installed_on).days / YEAR_DAYS)
        scale_a = train.catalogue.wear_life_a or PUMP_SCALE_A
        aged = exposure_of_pump(age, age + years, rates[FailureMode.PUMP], scale_a)
        rates[FailureMode.PUMP] = aged / years
    return rates


def exposures_until(train: Train, start: date, days: Sequence[date]) -> list[Rates]:
    """Expected nominal failures per mode from `start` to each of `days` (rising order)."""
    marks = sorted({start, *days, *(b.since for b in train.builds if b.since > start)})
    total = dict.fromkeys(FailureMode, 0.0)
    by_day = {start: dict(total)}
    for begin, end in pairwise(marks):
        for mode, exposure in _exposure(train, begin, end).items():
            total[mode] += exposure
        by_day[end] = dict(total)
    return [by_day[max(day, start)] for day in days]


def _exposure(train: Train, begin: date, end: date) -> dict[FailureMode, float]:
    years = (end - begin).days / YEAR_DAYS
    rates = aged_rates(train, begin, years) if years > 0 else rates_on(train, begin)
    return {mode: rate * years for mode, rate in rates.items()}
