"""How long a battery keeps the pump going, in hours and in inches of rain on the roofs."""

from dataclasses import dataclass

from drainservice.engine.hydraulics.amounts import (
    ImpossibleAmount,
    require_not_negative,
    require_positive,
    require_share,
)
from drainservice.engine.units import HOUR_S


@dataclass(frozen=True, slots=True)
class Battery:
    """A battery by its plate. Capacity in ampere-hours at the plate's discharge time.

    `usable_share`: what may be taken out (about 0.5 lead, 0.9 lithium), less for age;
    `exponent`: Peukert's, about 1.2 lead, 1.05 lithium, 1 none; `converter_efficiency`: 1 for a
    direct-current pump, about 0.85 through an inverter (all: common practice, no source).
    """

    capacity_ah: float
    volts: float
    usable_share: float = 0.5
    exponent: float = 1.2
    rated_time_s: float = 20 * HOUR_S
    converter_efficiency: float = 0.85


@dataclass(frozen=True, slots=True)
class BatteryLife:
    """What the battery gives: running time, water lifted, and that as rain on the roofs."""

    current_a: float
    run_time_s: float
    clock_time_s: float
    pumped_m3: float
    rain_m: float


def battery_life(
    battery: Battery,
    pump_power_w: float,
    pump_flow_m3s: float,
    roof_area_m2: float,
    runoff_share: float = 0.9,
    running_share: float = 1.0,
    idle_power_w: float = 0.0,
) -> BatteryLife:
    """Running time t = s T (C / (I T))^k with I = P / (efficiency V), and what it lifts.

    Peukert's law for the mean current of the running pump; `running_share` of the clock the pump
    runs, and `idle_power_w` (controller, inverter) is drawn all the time. Rain is
    Q t / (runoff_share * roof). The least current the law is used at is the rated one, since a
    battery does not gain by a slower draw. `pump_power_w` is what the pump takes from the supply.
    Source: Peukert (1897), as handbooks carry it; from memory. Raises ImpossibleAmount.
    """
    _require_battery(battery)
    require_positive("power of the pump", pump_power_w)
    require_positive("flow of the pump", pump_flow_m3s)
    require_positive("roof area", roof_area_m2)
    require_positive("runoff share", runoff_share)
    require_positive("running share", running_share)
    require_share("running share", running_share)
    require_not_negative("idle power", idle_power_w)
    per_volt = battery.converter_efficiency * battery.volts
    running_a = (pump_power_w + idle_power_w) / per_volt
    idle_a = idle_power_w / per_volt
    used_per_s = running_share * _drain(battery, running_a) + (1 - running_share) * _drain(
        battery, idle_a
    )
    clock_time_s = battery.usable_share / used_per_s
    run_time_s = running_share * clock_time_s
    pumped_m3 = pump_flow_m3s * run_time_s
    rain_m = pumped_m3 / (runoff_share * roof_area_m2)
    return BatteryLife(running_a, run_time_s, clock_time_s, pumped_m3, rain_m)


def _drain(battery: Battery, current_a: float) -> float:
    """Part of the whole charge used each second at that current, 1/s."""
    rated_a = battery.capacity_ah * HOUR_S / battery.rated_time_s
    relative = current_a / rated_a
    return float(relative ** (battery.exponent if relative > 1 else 1.0)) / battery.rated_time_s


def _require_battery(battery: Battery) -> None:
    require_positive("battery's capacity", battery.capacity_ah)
    require_positive("battery's voltage", battery.volts)
    require_positive("usable share", battery.usable_share)
    require_share("usable share", battery.usable_share)
    require_positive("discharge time on the plate", battery.rated_time_s)
    require_positive("converter's efficiency", battery.converter_efficiency)
    require_share("converter's efficiency", battery.converter_efficiency)
    if battery.exponent < 1:
        raise ImpossibleAmount("Peukert's exponent is 1 or more; use 1.2 for a lead battery.")
