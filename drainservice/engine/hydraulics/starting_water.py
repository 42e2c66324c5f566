"""Water to pour until the pump starts, in buckets and in minutes of the garden hose."""

import math
from dataclasses import dataclass
from typing import Final

from drainservice.engine.hydraulics.amounts import (
    ImpossibleAmount,
    require_depth,
    require_not_negative,
    require_positive,
)
from drainservice.engine.units import GALLON_M3, GPM_M3S

# Common practice, no source: a pail, and a garden hose.
BUCKET_M3: Final = 5 * GALLON_M3
HOSE_M3S: Final = 8 * GPM_M3S


class HoseTooWeak(ValueError):
    """The ground takes the water as fast as the hose gives it."""


@dataclass(frozen=True, slots=True)
class StartingWater:
    """What to pour; whole buckets, rounded up, since the level must pass the on level."""

    area_m2: float
    now_m: float
    on_m: float
    volume_m3: float
    buckets: int
    hose_time_s: float


def water_to_start(
    area_m2: float,
    now_m: float,
    on_m: float,
    soakage_m3s: float = 0.0,
    bucket_m3: float = BUCKET_M3,
    hose_m3s: float = HOSE_M3S,
) -> StartingWater:
    """V = A (h_on - h_now), m3; hose time V / (hose - soakage), s. Nothing if already above.

    Raises NegativeDepth, HoseTooWeak, ImpossibleAmount.
    """
    require_positive("area", area_m2)
    require_depth("water level", now_m)
    require_depth("on level", on_m)
    require_not_negative("soakage", soakage_m3s)
    require_positive("bucket", bucket_m3)
    if hose_m3s <= soakage_m3s:
        raise HoseTooWeak("The pit drains as fast as this hose fills it; use two hoses or a tank.")
    volume_m3 = area_m2 * max(on_m - now_m, 0.0)
    # A millionth of a bucket is rounding, not another bucket.
    buckets = math.ceil(volume_m3 / bucket_m3 - 1e-6)
    return StartingWater(
        area_m2, now_m, on_m, volume_m3, buckets, volume_m3 / (hose_m3s - soakage_m3s)
    )


def is_start_test(highest_level_m: float, on_m: float) -> bool:
    """Whether the water passed the on level; if not, it was no test: neither passed nor failed.

    Raises NegativeDepth.
    """
    require_depth("highest level", highest_level_m)
    require_depth("on level", on_m)
    return highest_level_m >= on_m


def area_from_start(poured_m3: float, now_m: float, on_m: float) -> float:
    """Area that the water poured at the handover until the start tells, m2: V / (h_on - h_now).

    Raises ImpossibleAmount.
    """
    require_positive("water poured", poured_m3)
    if on_m <= now_m:
        raise ImpossibleAmount("The pit stood at the on level already; pour from lower down.")
    return poured_m3 / (on_m - now_m)
