"""The battery's hours as inches of rain, counted and said."""

from dataclasses import dataclass

from drainservice.engine.hydraulics.battery import Battery, battery_life
from drainservice.engine.results.counted import Counted, sentence


@dataclass(frozen=True, slots=True)
class BatteryInput:
    """A battery, what the pump takes and moves, and the roofs that feed it."""

    battery: Battery
    pump_power_w: float
    pump_flow_m3s: float
    roof_area_m2: float
    runoff_share: float = 0.9
    running_share: float = 1.0
    idle_power_w: float = 0.0


def count_battery(given: BatteryInput) -> Counted:
    """Hours, volume and inches of rain. Raises what `battery_life` raises."""
    found = battery_life(
        given.battery, given.pump_power_w, given.pump_flow_m3s, given.roof_area_m2,
        given.runoff_share, given.running_share, given.idle_power_w,
    )  # fmt: skip
    said = [
        sentence(
            "battery",
            run_s=found.run_time_s,
            lifted_m3=found.pumped_m3,
            lasts_rain_m=found.rain_m,
            roof_m2=given.roof_area_m2,
        )
    ]
    if given.running_share < 1:
        said.append(sentence("battery_clock", clock_s=found.clock_time_s))
    outputs = (
        ("run_s", found.run_time_s),
        ("clock_s", found.clock_time_s),
        ("pumped_m3", found.pumped_m3),
        ("rain_m", found.rain_m),
    )
    return Counted(outputs, "", tuple(said))
