"""Soakage and silt, counted and said."""

import math
from dataclasses import dataclass, replace

from drainservice.engine.explain import Sentence
from drainservice.engine.fouling.sediment import (
    SedimentReading,
    Sump,
    SumpWithPump,
    find_sediment_limit,
)
from drainservice.engine.fouling.sediment_rules import WASHINGTON, SedimentRule
from drainservice.engine.results.counted import Counted, sentence
from drainservice.engine.soakage.drain_time import (
    UNSTATED,
    CountsFrom,
    CountsTo,
    Definition,
    DrainTime,
)
from drainservice.engine.soakage.falling_head import find_drain_time
from drainservice.engine.soakage.foretell import ForetoldDrainTime, foretell_full_drain_time
from drainservice.engine.soakage.limits import PublishedLimit, judge_drain_time
from drainservice.engine.soakage.pit import Pit
from drainservice.engine.soakage.viscosity import reduce_time_to_20c

# Judgement, no source: above three quarters of a limit it is near.
NEAR_SHARE = 0.75
# A sump too shallow for any silt has a limit of zero; shares end here, so that they can be stored.
MOST_SHARE = 1000.0
AS_IF_FULL = "the rain is taken to end, and the level to stand highest, with the pit full"
AS_TOLD = "nobody wrote down how the told time counts, so it is taken to count as the limit does"


@dataclass(frozen=True, slots=True)
class LimitInput:
    """A drain-time limit as the jurisdiction sets it, how it counts, and its source."""

    limit_s: float
    definition: Definition
    source: str


@dataclass(frozen=True, slots=True)
class SoakageInput:
    """Levels read while the pit drained; temperature_c is empty (None) where it was not read.

    takes_rain_to_end_full: a limit that counts from the end of rain, or from the highest level,
    is compared on the assumption that the pit then stood full; without it such a limit is refused.
    """

    seconds: tuple[float, ...]
    depths_m: tuple[float, ...]
    pit: Pit
    full_depth_m: float
    limit: LimitInput
    temperature_c: float | None = None
    takes_rain_to_end_full: bool = False


@dataclass(frozen=True, slots=True)
class ToldDrainInput:
    """A drain time that somebody told, s, without the levels it counts from and to."""

    told_s: float
    limit: LimitInput


@dataclass(frozen=True, slots=True)
class SiltInput:
    """Depth of silt; intake_height_m is empty (None) where no pump stands in the sump."""

    silt_m: float
    sump_depth_m: float
    intake_height_m: float | None = None
    rule: SedimentRule = WASHINGTON


def count_soakage(given: SoakageInput) -> Counted:
    """Rate, drain time of the full pit, and the verdict against the limit as the limit counts.

    The verdict takes the time as it was, since limits are kept in cold water too. Raises what
    `foretell_full_drain_time` and `judge_drain_time` raise.
    """
    found = foretell_full_drain_time(given.seconds, given.depths_m, given.pit, given.full_depth_m)
    limit = given.limit
    judged, assumed = _count_like(limit.definition, found, given)
    verdict, share = _judge(judged, limit)
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
            drain_s=found.drain_time.time_s,
            drain_sd_s=found.time_sd_s,
        ),
    ]
    outputs = [
        ("rate_ms", found.rate.rate_ms),
        ("drain_s", found.drain_time.time_s),
        ("drain_sd_s", found.time_sd_s),
        ("judged_s", judged.time_s),
        ("share_of_limit", share),
    ]
    if given.temperature_c is not None:
        at_20c_s = reduce_time_to_20c(found.drain_time.time_s, given.temperature_c)
        said.append(sentence("soakage_at_20c", drain_s=at_20c_s))
        outputs.append(("drain_at_20c_s", at_20c_s))
    said += [_say_limit(limit), *assumed]
    if found.lowest_seen_m > limit.definition.to_level_m:
        said.append(sentence("soakage_unseen", lowest_level_m=found.lowest_seen_m))
    said.append(sentence(f"soakage_{verdict}"))
    return Counted(tuple(outputs), verdict, tuple(said))


def count_told_drain(given: ToldDrainInput) -> Counted:
    """A told time against the limit, on the assumption that it counts as the limit does.

    Raises DrainTimeIsImpossible.
    """
    limit = given.limit
    told = DrainTime(given.told_s, UNSTATED).restate(limit.definition, AS_TOLD)
    verdict, share = _judge(told, limit)
    said = (
        sentence("soakage_told", drain_s=given.told_s),
        _say_limit(limit),
        sentence("soakage_taken_as_limit"),
        sentence(f"soakage_{verdict}"),
    )
    return Counted((("judged_s", told.time_s), ("share_of_limit", share)), verdict, said)


def _count_like(
    definition: Definition, found: ForetoldDrainTime, given: SoakageInput
) -> tuple[DrainTime, list[Sentence]]:
    """The foretold time counted as the limit counts, and what had to be assumed for it."""
    if not definition.is_stated:
        return found.drain_time, [sentence("soakage_unstated")]
    time, said = found.drain_time, []
    if definition.counts_to is CountsTo.LEVEL:
        end_m = min(definition.to_level_m, given.full_depth_m)
        down_s = find_drain_time(given.full_depth_m, found.rate.rate_ms, given.pit, end_m)
        time = DrainTime(down_s, replace(definition, counts_from=CountsFrom.FULL))
        said.append(
            sentence("soakage_to_level", stands_level_m=definition.to_level_m, down_s=down_s)
        )
    may_restate = definition.counts_from in (CountsFrom.END_OF_RAIN, CountsFrom.PEAK)
    if given.takes_rain_to_end_full and may_restate:
        like_ours = replace(definition, counts_from=CountsFrom.FULL)
        if like_ours == time.definition:
            time = time.restate(definition, AS_IF_FULL)
            said.append(sentence("soakage_as_if_full"))
    return time, said


def _judge(time: DrainTime, limit: LimitInput) -> tuple[str, float]:
    published = PublishedLimit(
        "", "", limit.limit_s, limit.definition, 1.0, 0.0, math.inf, limit.source, ""
    )
    share = time.time_s / limit.limit_s
    return _verdict(judge_drain_time(time, published).is_within, share), share


def _say_limit(limit: LimitInput) -> Sentence:
    counts = limit.definition
    means = f"{counts.counts_from}>{counts.counts_to}"
    return sentence("soakage_limit", drain_limit_s=limit.limit_s, means=means, source=limit.source)


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
    outputs = (("limit_m", limit.depth_m), ("share_of_limit", min(share, MOST_SHARE)))
    return Counted(outputs, verdict, said)


def _verdict(is_within: bool, share: float) -> str:
    return "act" if not is_within else "watch" if share > NEAR_SHARE else "good"
