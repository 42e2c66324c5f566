"""The kinds of reading: unit, plausible range, and the look each belongs to."""

from dataclasses import dataclass

from drainservice.accounts.asker import CannotBeDone


class ReadingRefused(CannotBeDone):
    """A reading that cannot be, or of a kind nobody knows."""


@dataclass(frozen=True, slots=True)
class ReadingKind:
    """One row of the table. `quantity` names the unit (see `engine.units`); ranges are in SI."""

    kind: str
    words: str
    quantity: str
    low: float
    high: float
    look: str


# Ranges are judgement: wide enough for any yard, narrow enough to catch a slip of the thumb.
TABLE = [
    ReadingKind("arrival_level_m", "depth of water on arrival", "level", 0, 6, "pump"),
    ReadingKind("pump_down_from_m", "depth of water when it started", "level", 0, 6, "pump"),
    ReadingKind("pump_down_to_m", "depth of water when it stopped", "level", 0, 6, "pump"),
    ReadingKind("pump_down_s", "seconds from start to stop", "time", 1, 7200, "pump"),
    ReadingKind("refill_rise_m", "rise with the pump off", "small_length", 0, 3, "pump"),
    ReadingKind("refill_s", "seconds of that rise", "time", 1, 7200, "pump"),
    ReadingKind("current_a", "current", "current", 0.1, 60, "pump"),
    ReadingKind("voltage_v", "voltage", "voltage", 6, 500, "pump"),
    ReadingKind("starts_count", "starts on the counter", "count", 0, 1e7, "pump"),
    ReadingKind("run_hours_h", "hours on the counter", "count", 0, 2e5, "pump"),
    ReadingKind("outlet_flow_m3s", "flow at the outlet", "flow", 0, 0.1, "line"),
    ReadingKind(
        "rise_after_stop_m", "rise in two minutes after stop", "small_length", 0, 3, "valve"
    ),
    ReadingKind("rise_other_runs_m", "rise while another pump runs", "small_length", 0, 3, "valve"),
    ReadingKind("rise_other_runs_s", "seconds of that rise", "time", 1, 7200, "valve"),
    ReadingKind("rise_all_rest_m", "rise while all pumps rest", "small_length", 0, 3, "valve"),
    ReadingKind("rise_all_rest_s", "seconds of that rise", "time", 1, 7200, "valve"),
    ReadingKind("drain_from_m", "depth of water at the start", "level", 0.01, 6, "percolation"),
    ReadingKind("drain_to_m", "depth of water at the end", "level", 0, 6, "percolation"),
    ReadingKind("drain_s", "time between the two", "time", 60, 2_000_000, "percolation"),
    ReadingKind("drain_time_s", "time to drain, as told", "time", 60, 5_000_000, "percolation"),
    ReadingKind("drain_level_m", "depth of water", "level", 0, 6, "percolation"),
    ReadingKind(
        "water_temperature_c", "temperature of the water", "temperature", 0, 40, "percolation"
    ),
    ReadingKind("sediment_m", "silt", "small_length", 0, 3, "sediment"),
    ReadingKind("outlet_seen", "water seen at the outlet", "yes_no", 0, 1, "line"),
    ReadingKind("roots_seen", "roots in pit or line", "yes_no", 0, 1, "line"),
    ReadingKind("lid_is_sound", "lid sound and child-safe", "yes_no", 0, 1, "lid"),
    ReadingKind("fabric_is_whole", "fabric whole at the rim", "yes_no", 0, 1, "lid"),
    ReadingKind("alarm_sounds", "alarm sounds", "yes_no", 0, 1, "alarm"),
    ReadingKind("gfci_trips", "GFCI trips and resets", "yes_no", 0, 1, "battery"),
    ReadingKind("battery_v", "battery under load", "voltage", 0, 60, "battery"),
]
KINDS = {row.kind: row for row in TABLE}


def check_reading(kind: str, value: float) -> None:
    """Errors: ReadingRefused, naming what was read and the range in which it can lie."""
    row = KINDS.get(kind)
    if row is None:
        raise ReadingRefused(f"Nobody reads {kind!r} here; choose one of the page's fields.")
    if not row.low <= value <= row.high:
        raise ReadingRefused(
            f"The {row.words} cannot be {value:g} (SI); look at the number and its unit again."
        )
