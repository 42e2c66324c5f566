"""The drain time of the full pit, foretold from levels read over a part of its depth."""

from collections.abc import Sequence
from dataclasses import dataclass

from drainservice.engine.soakage.drain_time import FULL_TO_EMPTY, DrainTime
from drainservice.engine.soakage.falling_head import find_drain_time
from drainservice.engine.soakage.pit import Pit
from drainservice.engine.soakage.rate import LEVEL_ERROR_M, SoakageRate, find_rate_from_readings


@dataclass(frozen=True, slots=True)
class ForetoldDrainTime:
    """Drain time from full to empty, its uncertainty from the levels alone, and what was seen.

    lowest_seen_m: the level under which nothing was seen. The lowest part of a real pit may drain
    several times more slowly than the part above it (silt on the bottom): a time foretold from
    the upper part is a shortest time, and a limit it keeps may still be broken.
    """

    drain_time: DrainTime
    time_sd_s: float
    rate: SoakageRate
    lowest_seen_m: float

    @property
    def was_seen_to_the_end(self) -> bool:
        """Whether the pit was seen to run dry."""
        return self.lowest_seen_m == 0.0


def foretell_full_drain_time(
    seconds: Sequence[float],
    depths_m: Sequence[float],
    pit: Pit,
    full_depth_m: float,
    level_error_m: float = LEVEL_ERROR_M,
) -> ForetoldDrainTime:
    """Drain time of the pit from its full depth, by the one rate that fits the levels.

    t = g(full) / f, u(t) = t u(f) / f; g and f as in falling_head and rate.
    seconds, depths_m: shape (n,), n >= 2. Raises what find_rate_from_readings and find_drain_time
    raise. Source: Ontario LID planning and design guide (falling head); the caution is from the
    public record of a stone-filled pit in the tests.
    """
    rate = find_rate_from_readings(seconds, depths_m, pit, level_error_m)
    time = find_drain_time(full_depth_m, rate.rate_ms, pit)
    drain_time = DrainTime(time, FULL_TO_EMPTY)
    return ForetoldDrainTime(drain_time, time * rate.rate_sd_ms / rate.rate_ms, rate, min(depths_m))
