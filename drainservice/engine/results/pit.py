"""Soakage and silt, counted and said."""

import math
from dataclasses import dataclass

from drainservice.engine.fouling.sediment import (
    SedimentReading,
    Sump,
    SumpWithPump,
    find_sediment_limit,
)
from drainservice.engine.fouling.sediment_rules import WASHINGTON, SedimentRule
from drainservice.engine.results.counted import Counted, sentence
from drainservice.engine.soakage.drain_time import Definition
from drainservice.engine.soakage.foretell import foretell_full_drain_time
from drainservice.engine.soakage.limits import PublishedLimit, judge_drain_time
from drainservice.engine.soakage.pit import Pit
from drainservice.engine.soakage.viscosity import reduce_time_to_20c

# Judgement, no source: above three quarters of a limit it is near.
NEAR_SHARE = 0.75


@dataclass(frozen=True, slots=True)
class LimitInput:
    """A drain-time limit as the jurisdiction sets it, how it counts, and its source."""

    limit_s: float
    definition: Definition
    source: str


@dataclass(frozen=True, slots=True)
class SoakageInput:
    """Levels read while the pit drained; temperature_c is empty (None) where it was not read."""

    seconds: tuple[float, ...]
    depths_m: tuple[float, ...]
    pit: Pit
    full_depth_m: float
    limit: LimitInput
    temperature_c: float | None = None


@dataclass(frozen=True, slots=True)
class SiltInput:
    """Depth of silt; intake_height_m is empty (None) where no pump stands in the sump."""

    silt_m: float
    sump_depth_m: float
    intake_height_m: float | None = None
    rule: SedimentRule = WASHINGTON


def count_soakage(given: SoakageInput) -> Counted:
    """Rate, drain time of the full pit, and the verdict against the limit.

    The verdict takes the time as it was, since limits are kept in cold water too. Raises what
    `foretell_full_drain_time` and `judge_drain_time` raise.
    """
    found = foretell_full_drain_time(given.seconds, given.depths_m, given.pit, given.full_depth_m)
    time_s = found.drain_time.time_s
    limit = given.limit
    published = PublishedLimit(
        "", "", limit.limit_s, limit.definition, 1.0, 0.0, math.inf, limit.source, ""
    )
    is_within = judge_drain_time(found.drain_time, published).is_within
    verdict = _verdict(is_within, time_s / limit.limit_s)
    said = [
        sentence(
            "soakage_rate",
            from_level_m=given.depths_m[0],
            to_level_m=given.depths_m[-1],
            fall_s=given.seconds[-1] - given.seconds[0],
            rate_ms=found.rate.rate_ms,
        ),
        sentence(
            "soakage_full",
            full_level_m=given.full_depth_m,
            drain_s=time_s,
            drain_sd_s=found.time_sd_s,
        ),
    ]
    outputs = [
        ("rate_ms", found.rate.rate_ms),
        ("drain_s", time_s),
        ("drain_sd_s", found.time_sd_s),
    ]
    if given.temperature_c is not None:
        at_20c_s = reduce_time_to_20c(time_s, given.temperature_c)
        said.append(sentence("soakage_at_20c", drain_s=at_20c_s))
        outputs.append(("drain_at_20c_s", at_20c_s))
    said.append(
        sentence(
            "soakage_limit",
            drain_limit_s=limit.limit_s,
            means=limit.definition.code,
            source=limit.source,
        )
    )
    if not found.was_seen_to_the_end:
        said.append(sentence("soakage_unseen", lowest_level_m=found.lowest_seen_m))
    said.append(sentence(f"soakage_{verdict}"))
    return Counted(tuple(outputs), verdict, tuple(said))


def count_silt(given: SiltInput) -> Counted:
    """Silt against the limit of the sump. Raises what `find_sediment_limit` raises."""
    reading = SedimentReading(0.0, given.silt_m)
    intake_m = given.intake_height_m
    depth_m = given.sump_depth_m
    sump = Sump(depth_m) if intake_m is None else SumpWithPump(depth_m, intake_m)
    limit = find_sediment_limit(sump, given.rule)
    share = reading.depth_m / limit.depth_m if limit.depth_m > 0 else math.inf
    verdict = _verdict(share <= 1 + 1e-9, share)
    said = (
        sentence(
            "silt_depth",
            silt_small_m=reading.depth_m,
            limit_small_m=limit.depth_m,
            means=str(limit.limit_by),
            source=given.rule.source,
        ),
        sentence(f"silt_{verdict}"),
    )
    return Counted((("limit_m", limit.depth_m),), verdict, said)


def _verdict(is_within: bool, share: float) -> str:
    return "act" if not is_within else "watch" if share > NEAR_SHARE else "good"
