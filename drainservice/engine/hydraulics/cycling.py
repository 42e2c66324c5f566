"""How often the pump starts: from inflow, from a leaking valve, and from a season's rain."""

from dataclasses import dataclass
from typing import Final

from drainservice.engine.hydraulics.amounts import require_not_negative, require_positive
from drainservice.engine.units import HOUR_S

# Judgement, no source; the pump's own data sheet stands above it.
MOST_STARTS_PER_HOUR: Final = 10.0


class PumpNeverStarts(ValueError):
    """Nothing runs in, so there is no cycle."""


class PumpNeverStops(ValueError):
    """As much runs in as the pump takes out, so it never comes down to the off level."""


class PumpNeverRests(ValueError):
    """The line that drains back fills the whole band: the pump starts itself again for ever."""


@dataclass(frozen=True, slots=True)
class Cycle:
    """One cycle of an on-off pump under steady inflow."""

    volume_m3: float
    pump_flow_m3s: float
    inflow_m3s: float
    run_time_s: float
    rest_time_s: float
    cycle_time_s: float
    starts_per_hour: float
    is_short: bool


@dataclass(frozen=True, slots=True)
class StartsFromRain:
    """Running time and starts for a volume of rain that the pump had to lift."""

    pumped_m3: float
    run_time_s: float
    starts: float


def cycle_pump(
    volume_m3: float,
    pump_flow_m3s: float,
    inflow_m3s: float,
    most_starts_per_hour: float = MOST_STARTS_PER_HOUR,
) -> Cycle:
    """Cycle of a band of that volume: t = (V/D) [1/(1 - Q/D) + 1/(Q/D)], shortest at Q = D/2.

    A leak back through the valve is an inflow too. Source: MIL-HDBK-1005/9A 2.5.3.6 eq. (1).
    Raises PumpNeverStarts, PumpNeverStops, ImpossibleAmount.
    """
    require_positive("volume between off and on", volume_m3)
    require_positive("flow of the pump", pump_flow_m3s)
    require_not_negative("inflow", inflow_m3s)
    if inflow_m3s == 0:
        raise PumpNeverStarts("Nothing runs in, so the pump does not cycle.")
    if inflow_m3s >= pump_flow_m3s:
        raise PumpNeverStops(
            "As much runs in as the pump takes out, so it never stops; a sound pump, and a larger "
            "storm or a weaker pump than the pit was built for."
        )
    run_time_s = volume_m3 / (pump_flow_m3s - inflow_m3s)
    rest_time_s = volume_m3 / inflow_m3s
    starts_per_hour = HOUR_S / (run_time_s + rest_time_s)
    return Cycle(
        volume_m3=volume_m3,
        pump_flow_m3s=pump_flow_m3s,
        inflow_m3s=inflow_m3s,
        run_time_s=run_time_s,
        rest_time_s=rest_time_s,
        cycle_time_s=run_time_s + rest_time_s,
        starts_per_hour=starts_per_hour,
        is_short=starts_per_hour > most_starts_per_hour,
    )


def smallest_volume(pump_flow_m3s: float, cycle_time_s: float) -> float:
    """Least volume between off and on for that shortest cycle, m3: V = t D / 4.

    Source: MIL-HDBK-1005/9A 2.5.3.6 eq. (2); UFC 3-240-04A. Raises ImpossibleAmount.
    """
    require_positive("flow of the pump", pump_flow_m3s)
    require_positive("cycle time", cycle_time_s)
    return cycle_time_s * pump_flow_m3s / 4


def shortest_cycle(volume_m3: float, pump_flow_m3s: float) -> float:
    """The shortest cycle that volume can give, s: t = 4 V / D, at half the pump's flow."""
    require_positive("volume between off and on", volume_m3)
    require_positive("flow of the pump", pump_flow_m3s)
    return 4 * volume_m3 / pump_flow_m3s


def starts_from_rain(
    pumped_m3: float, pump_flow_m3s: float, active_volume_m3: float, inflow_m3s: float = 0.0
) -> StartsFromRain:
    """Running time V/Q and starts V (1 - q_in/Q) / V_active for a volume lifted.

    Each cycle lifts V_active Q/(Q - q_in). Source: mass balance. Raises PumpNeverStops,
    ImpossibleAmount.
    """
    require_not_negative("pumped volume", pumped_m3)
    require_positive("flow of the pump", pump_flow_m3s)
    require_positive("volume between off and on", active_volume_m3)
    require_not_negative("inflow", inflow_m3s)
    if inflow_m3s >= pump_flow_m3s:
        raise PumpNeverStops("As much runs in as the pump takes out; it ran without a stop.")
    starts = pumped_m3 * (1 - inflow_m3s / pump_flow_m3s) / active_volume_m3
    return StartsFromRain(pumped_m3, pumped_m3 / pump_flow_m3s, starts)


def drain_back_factor(returned_m3: float, active_volume_m3: float) -> float:
    """How many times more starts the same rain takes when the line drains back after each.

    Of the band only V_active - V_b is new water, so the factor is 1 / (1 - V_b/V_active); for a
    small part that is 1 + V_b/V_active. Source: mass balance. Raises PumpNeverRests,
    ImpossibleAmount.
    """
    require_not_negative("water that comes back", returned_m3)
    require_positive("volume between off and on", active_volume_m3)
    if returned_m3 >= active_volume_m3:
        raise PumpNeverRests(
            "The line holds as much as the band between off and on: without a check valve the "
            "pump starts itself for ever. Fit one."
        )
    return 1 / (1 - returned_m3 / active_volume_m3)
