"""What a pit holds, what a storm was to it, how often it needs its pump, counted and said."""

from dataclasses import dataclass
from datetime import date

from drainservice.engine.explain import Sentence
from drainservice.engine.rainfall.capacity import (
    ANY_RAIN_M,
    StormVerdict,
    capacity_in_rain,
    judge_storm,
)
from drainservice.engine.rainfall.demand import demand_and_harm
from drainservice.engine.rainfall.pit import OnOffPump, Pit
from drainservice.engine.results.counted import Counted, sentence

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
VERDICTS = {
    StormVerdict.PIT_ALONE: "pit_alone",
    StormVerdict.PUMP_KEEPS_UP: "pump_keeps_up",
    StormVerdict.STORM_LARGER: "larger",
}


@dataclass(frozen=True, slots=True)
class Catchment:
    """A pit, its sound pumps, the roofs that feed it, and the level that must not be passed."""

    pit: Pit
    pumps: tuple[OnOffPump, ...]
    roof_area_m2: float
    coefficient: float
    limit_level_m: float


@dataclass(frozen=True, slots=True)
class CapacityInput:
    """A catchment with the level it starts from."""

    catchment: Catchment
    start_level_m: float = 0.0


@dataclass(frozen=True, slots=True)
class StormInput:
    """A rain that fell on a catchment."""

    catchment: Catchment
    rain_m: float
    duration_s: float


@dataclass(frozen=True, slots=True)
class DemandInput:
    """Years of daily rain on a catchment; harm above its limit level."""

    catchment: Catchment
    on_level_m: float
    off_level_m: float
    rain: tuple[tuple[date, float], ...]


def count_capacity(given: CapacityInput) -> Counted:
    """Inches held with the pump dead and kept up with by it. Raises PitImpossible."""
    one = given.catchment
    found = capacity_in_rain(
        one.pit, one.pumps, one.roof_area_m2, one.coefficient, one.limit_level_m,
        given.start_level_m,
    )  # fmt: skip
    dead, live = found.without_pump_m, found.with_pump_m
    said = [
        sentence(
            "storm_dead_pump", six_rain_m=dead[6], day_rain_m=dead[24], roof_m2=one.roof_area_m2
        )
    ]
    if one.pumps:
        said.append(_say_live(live[5], live[60]))
    outputs = [(f"dead_{hours}_h_rain_m", depth_m) for hours, depth_m in dead.items()]
    outputs += [(f"live_{minutes}_min_rain_m", depth_m) for minutes, depth_m in live.items()]
    return Counted(tuple(outputs), "", tuple(said))


def _say_live(five_m: float, hour_m: float) -> Sentence:
    if five_m >= ANY_RAIN_M:
        return sentence("storm_live_any")
    return sentence("storm_live_pump", five_rain_m=five_m, hour_rain_m=hour_m)


def count_storm(given: StormInput) -> Counted:
    """What a rain was to this pit with a sound pump. Raises PitImpossible."""
    one = given.catchment
    found = judge_storm(
        one.pit, one.pumps, one.roof_area_m2, one.coefficient, given.rain_m, given.duration_s,
        one.limit_level_m,
    )  # fmt: skip
    verdict = VERDICTS[found]
    was = sentence("storm_was", fell_rain_m=given.rain_m, duration_s=given.duration_s)
    return Counted((), verdict, (was, sentence(f"storm_{verdict}")))


def count_demand(given: DemandInput) -> Counted:
    """Times a year the pump is needed, and storms a year that do harm when it is dead.

    Raises TooFewRainDays, PitImpossible.
    """
    one = given.catchment
    needs, harms = demand_and_harm(
        one.pit, one.roof_area_m2, one.coefficient, given.rain, given.on_level_m,
        one.limit_level_m, given.off_level_m,
    )  # fmt: skip
    said = [
        sentence(
            "demand",
            record_years=round(harms.years),
            needs=_tenths(needs.storms_per_year),
            harms=_tenths(harms.storms_per_year),
        )
    ]
    if harms.storms_per_year > 0:
        worst = max(range(12), key=lambda month: harms.month_weights[month])
        said.append(sentence("demand_month", month=MONTHS[worst]))
    else:
        said.append(sentence("demand_none"))
    if harms.is_short:
        said.append(sentence("demand_short"))
    outputs = (("needs_per_a", needs.storms_per_year), ("harms_per_a", harms.storms_per_year))
    return Counted(outputs, "", tuple(said))


def _tenths(number: float) -> str:
    return f"{number:.1f}"
