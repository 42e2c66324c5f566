"""How much rain a pit can take: with its pump dead, and with its pump running."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from drainservice.engine.rainfall.filling import begin_filling, time_to_fill_s
from drainservice.engine.rainfall.pit import OnOffPump, Pit, PitImpossible, seepage_m3s, stored_m3
from drainservice.engine.units import HOUR_S, MINUTE_S

SIX_HOURS_S = 6 * HOUR_S
DEAD_PUMP_HOURS = (6, 24)
LIVE_PUMP_MINUTES = (5, 10, 15, 30, 60)
# Enough halvings to bring any depth of rain down to the last bit of a double.
HALVINGS = 80
# No hour or day on record comes near: 30 m of rain stands for "any rain at all".
ANY_RAIN_M = 30.0


class StormVerdict(StrEnum):
    """What a rain means for a pit with a sound pump; the value is the sentence to show."""

    PIT_ALONE = "The pit alone takes this rain; the pump is not needed."
    PUMP_KEEPS_UP = "The pit needs its pump in this rain, and a sound pump keeps up."
    STORM_LARGER = "Pump sound, storm larger than pit and pump."


@dataclass(frozen=True, slots=True)
class RainCapacity:
    """Depths of rain in m: by hours of rain with the pump dead, by minutes with it running."""

    without_pump_m: dict[int, float]
    with_pump_m: dict[int, float]


def rain_survived_without_pump_m(
    pit: Pit,
    roof_area_m2: float,
    coefficient: float,
    duration_s: float,
    limit_level_m: float,
    start_level_m: float = 0.0,
) -> float:
    """Deepest steady rain of a duration that a pit with a dead pump holds below a level, in m.

    Solves time_to_fill(q) = duration for q, then P = q duration / (C A). With soil at the
    bottom only this is P = (V + f A_soil duration) / (C A). limit_level_m: the harm level, or
    the rim. Raises PitImpossible.
    """
    _need_roof(roof_area_m2, coefficient, duration_s)
    rain_m_per_flow = duration_s / (coefficient * roof_area_m2)
    gain_m3 = stored_m3(pit, limit_level_m) - stored_m3(pit, start_level_m)
    least_m3s = gain_m3 / duration_s
    most_m3s = least_m3s + seepage_m3s(pit, limit_level_m)

    def holds(flow_m3s: float) -> bool:
        return time_to_fill_s(pit, flow_m3s, start_level_m, limit_level_m) >= duration_s

    return _largest(holds, least_m3s, most_m3s) * rain_m_per_flow


def critical_rain_m(
    pit: Pit,
    roof_area_m2: float,
    coefficient: float,
    limit_level_m: float,
    block_s: float = SIX_HOURS_S,
) -> float:
    """P_crit = (V_storage + infiltration in six hours) / (C A), in m, for an empty pit.

    The rain above which a day needs the pump (limit: the on level) or floods without it
    (limit: the harm level). Six hours for a day's rain: judgement, no source.
    """
    return rain_survived_without_pump_m(pit, roof_area_m2, coefficient, block_s, limit_level_m)


def rain_kept_up_with_m(
    pit: Pit,
    pumps: Sequence[OnOffPump],
    roof_area_m2: float,
    coefficient: float,
    duration_s: float,
    limit_level_m: float,
    start_level_m: float = 0.0,
) -> float:
    """Deepest steady rain of a duration that the running pumps keep below a level, in m.

    Ask it for 5 to 60 minutes: a live pump is beaten by a cloudburst, not by a day's sum. Start
    just below the on level for the worst case. 30 m stands for any rain. Raises PitImpossible.
    """
    _need_roof(roof_area_m2, coefficient, duration_s)

    def holds(rain_m: float) -> bool:
        flow_m3s = coefficient * roof_area_m2 * rain_m / duration_s
        filling = begin_filling(pit, pumps, start_level_m)
        filling.run_on(flow_m3s, duration_s)
        is_below_rim = filling.spilt_m3 == 0.0
        return is_below_rim and filling.top_level_m <= limit_level_m

    return _largest(holds, 0.0, ANY_RAIN_M)


def judge_storm(
    pit: Pit,
    sound_pumps: Sequence[OnOffPump],
    roof_area_m2: float,
    coefficient: float,
    rain_m: float,
    duration_s: float,
    limit_level_m: float,
) -> StormVerdict:
    """Whether a rain should have been held: by the pit, by its sound pump, or by neither.

    Water over the limit in a rain that a sound pump keeps up with points to the pump, its
    float, valve, line or power; in a larger one it does not. Starts with an empty pit.
    """
    if rain_m <= rain_survived_without_pump_m(
        pit, roof_area_m2, coefficient, duration_s, limit_level_m
    ):
        return StormVerdict.PIT_ALONE
    if rain_m <= rain_kept_up_with_m(
        pit, sound_pumps, roof_area_m2, coefficient, duration_s, limit_level_m
    ):
        return StormVerdict.PUMP_KEEPS_UP
    return StormVerdict.STORM_LARGER


def capacity_in_rain(
    pit: Pit,
    pumps: Sequence[OnOffPump],
    roof_area_m2: float,
    coefficient: float,
    limit_level_m: float,
    start_level_m: float = 0.0,
) -> RainCapacity:
    """The depths to show for a system: with its pump dead and with its pumps running."""
    roof = roof_area_m2, coefficient
    return RainCapacity(
        without_pump_m={
            hours: rain_survived_without_pump_m(
                pit, *roof, hours * HOUR_S, limit_level_m, start_level_m
            )
            for hours in DEAD_PUMP_HOURS
        },
        with_pump_m={
            minutes: rain_kept_up_with_m(
                pit, pumps, *roof, minutes * MINUTE_S, limit_level_m, start_level_m
            )
            for minutes in LIVE_PUMP_MINUTES
        },
    )


def _need_roof(roof_area_m2: float, coefficient: float, duration_s: float) -> None:
    if not (roof_area_m2 > 0.0 and 0.0 < coefficient <= 1.0 and duration_s > 0.0):
        raise PitImpossible(
            "Give a roof area, a duration above zero and a runoff coefficient within 0 to 1."
        )


def _largest(holds: Callable[[float], bool], low: float, high: float) -> float:
    """The largest value that still holds, by halving; low holds, above high nothing new."""
    if holds(high):
        return high
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low
