"""How much longer the firm's own drives take than the model says, by distance and hour."""

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median

# Bands of the way as the crow flies, and of the local hour in which the drive began; judgement.
FROM_KM = (0.0, 3.0, 10.0, 30.0)
FROM_HOUR = (0, 9, 15, 19)
LEAST_DRIVES = 30
LEAST_FACTOR, MOST_FACTOR = 0.7, 1.6
# A drive outside of these is a lunch, an errand or a stamp set late, not a drive; judgement.
LEAST_RATIO, MOST_RATIO = 0.2, 5.0
LONGEST_S = 3 * 3600


class DriveCannotBe(ValueError):
    """A drive of no time or no model; the text says what to mend."""


@dataclass(frozen=True, slots=True)
class Driven:
    """One drive as it was: the way as the crow flies, the local hour (0-23) in which it began,
    what the model says without any factor, and what it took."""

    km: float
    hour: int
    model_s: int
    actual_s: int

    def __post_init__(self) -> None:
        if self.model_s <= 0 or self.km < 0 or not 0 <= self.hour <= 23:
            raise DriveCannotBe(
                f"A drive of {self.km:g} km at {self.hour} h with a model of {self.model_s} s "
                "cannot be learned from; give a way, an hour from 0 to 23 and a model above 0."
            )


@dataclass(frozen=True, slots=True)
class Factor:
    """What one band was found to take against the model. `hour_band` None: at all hours."""

    distance_band: int
    hour_band: int | None
    value: float
    drives: int


@dataclass(frozen=True, slots=True)
class Factors:
    """All that was learned. Without any, the model stands as it is."""

    found: tuple[Factor, ...] = ()

    def of(self, band: int, hour: int | None = None) -> float:
        """The factor of a distance band: that of the hour, else of all hours, else 1."""
        values = {(one.distance_band, one.hour_band): one.value for one in self.found}
        of_all_hours = values.get((band, None), 1.0)
        if hour is None:
            return of_all_hours
        return values.get((band, hour_band(hour)), of_all_hours)


def distance_band(km: float) -> int:
    """The number of the band in which a way lies."""
    return bisect_right(FROM_KM, km) - 1


def hour_band(hour: int) -> int:
    """The number of the band in which a local hour lies."""
    return bisect_right(FROM_HOUR, hour) - 1


def is_plausible(model_s: int, actual_s: float) -> bool:
    """Whether what lay between two visits can have been the drive alone."""
    if not 0 < actual_s < LONGEST_S:
        return False
    return LEAST_RATIO * model_s <= actual_s <= MOST_RATIO * model_s


def learn_factors(drives: Iterable[Driven]) -> Factors:
    """The median of actual over model of each band that has 30 drives, between 0.7 and 1.6.

    A median, since a lunch or a detour among the drives hardly moves it; the bounds keep a firm
    whose stamps are set late from planning nonsense (judgement). Implausible drives are left out.
    """
    ratios: dict[tuple[int, int | None], list[float]] = {}
    for drive in drives:
        if not is_plausible(drive.model_s, drive.actual_s):
            continue
        band, ratio = distance_band(drive.km), drive.actual_s / drive.model_s
        for key in ((band, None), (band, hour_band(drive.hour))):
            ratios.setdefault(key, []).append(ratio)
    learned = sorted(
        (band, -1 if hours is None else hours, found)
        for (band, hours), found in ratios.items()
        if len(found) >= LEAST_DRIVES
    )
    return Factors(
        tuple(
            Factor(band, None if hours < 0 else hours, _clamped(median(found)), len(found))
            for band, hours, found in learned
        )
    )


def _clamped(ratio: float) -> float:
    return min(MOST_FACTOR, max(LEAST_FACTOR, ratio))
