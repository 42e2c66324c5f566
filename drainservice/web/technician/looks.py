"""The looks of an inspection in the order the hands work, rim to outlet, and what each asks."""

from dataclasses import dataclass, replace

from drainservice.register.queries import Whole


@dataclass(frozen=True, slots=True)
class Choice:
    """What can be seen with one tap, and what it means for the record.

    `readings` are those the tap itself says; `needs` names a number that must stand with it.
    """

    word: str
    says: str
    outcome: str = "done"
    passed: bool | None = None
    readings: tuple[tuple[str, float], ...] = ()
    needs: str = ""
    defect: str = ""


@dataclass(frozen=True, slots=True)
class Number:
    """One reading that is typed or stepped; `quantity` is how it is read (see `web.amounts`)."""

    kind: str
    says: str
    quantity: str
    has_stopwatch: bool = False


@dataclass(frozen=True, slots=True)
class LookPage:
    """One look on the page. `key` begins the names of its fields."""

    kind: str
    title: str
    choices: tuple[Choice, ...]
    numbers: tuple[Number, ...] = ()
    more: tuple[Number, ...] = ()
    caution: str = ""
    has_sum: bool = False
    position: int = 0

    @property
    def key(self) -> str:
        """The look's kind, with the pump's position where there are several."""
        return f"{self.kind}{self.position or ''}"


DONE = Choice("done", "Done, nothing wrong")
UNPLUG = "Unplug before reaching in. Lift the pump by its rope or handle, never by the cord."
LOOKS = (
    LookPage(
        "lid",
        "Lid",
        (
            Choice("sound", "Sound, and it closes", readings=(("lid_is_sound", 1),)),
            Choice(
                "broken",
                "Broken, or a child could lift it",
                readings=(("lid_is_sound", 0),),
                defect="lid_not_child_safe",
            ),
        ),
        caution="Look for stings before your hand goes under it.",
    ),
    LookPage(
        "percolation",
        "Drain test",
        (Choice("measured", "Level read twice", needs="drain_s"),),
        (
            Number("drain_from_m", "Water at the start", "level"),
            Number("drain_to_m", "Water at the end", "level"),
            Number("drain_s", "Time between", "hours"),
        ),
        (Number("water_temperature_c", "Temperature of the water", "temperature"),),
        has_sum=True,
    ),
    LookPage(
        "sediment",
        "Silt",
        (Choice("measured", "Measured", needs="sediment_m"),),
        (Number("sediment_m", "Silt on the floor", "small_length"),),
        has_sum=True,
    ),
    LookPage(
        "pump",
        "Pump test",
        (
            Choice("ran", "It ran, the level fell, it stopped", passed=True),
            Choice("level_stood", "It ran, but the level stood", passed=False),
            Choice("did_not_start", "It did not start", passed=False),
            Choice("did_not_stop", "It did not stop", passed=False),
            Choice("not_reached", "The water never reached the float", outcome="in_part"),
        ),
        (
            Number("pump_down_from_m", "Water when it started", "level"),
            Number("pump_down_to_m", "Water when it stopped", "level"),
            Number("pump_down_s", "From start to stop", "time", has_stopwatch=True),
        ),
        (
            Number("arrival_level_m", "Water on arrival", "level"),
            Number("refill_rise_m", "Rise with the pump off", "small_length"),
            Number("refill_s", "Time of that rise", "time", has_stopwatch=True),
            Number("current_a", "Current", "current"),
            Number("voltage_v", "Voltage", "voltage"),
            Number("starts_count", "Starts on the counter", "count"),
            Number("run_hours_h", "Hours on the counter", "count"),
        ),
        caution=UNPLUG,
        has_sum=True,
    ),
    LookPage(
        "valve",
        "Check valve",
        (
            Choice("tight", "No rise after it stopped", readings=(("rise_after_stop_m", 0),)),
            Choice("rose", "The water rose", needs="rise_after_stop_m"),
        ),
        (Number("rise_after_stop_m", "Rise in two minutes after stop", "small_length"),),
        has_sum=True,
    ),
    LookPage(
        "alarm",
        "Alarm",
        (
            Choice("sounds", "It sounds", readings=(("alarm_sounds", 1),)),
            Choice("silent", "Silent", readings=(("alarm_sounds", 0),), defect="alarm_is_silent"),
        ),
    ),
    LookPage(
        "battery",
        "Battery and power",
        (
            Choice("trips", "GFCI trips and resets", readings=(("gfci_trips", 1),)),
            Choice(
                "does_not_trip",
                "GFCI does not trip or reset",
                readings=(("gfci_trips", 0),),
                defect="gfci_does_not_trip",
            ),
        ),
        (Number("battery_v", "Battery under load, volts", "voltage"),),
        caution="Outlet under water: stay away. Electrical work is for a licensed electrician.",
    ),
    LookPage(
        "line",
        "Line and outlet",
        (
            Choice("runs", "Water came out at the outlet", readings=(("outlet_seen", 1),)),
            Choice("no_water", "No water came out", readings=(("outlet_seen", 0),)),
        ),
        (),
        (Number("outlet_flow_m3s", "Flow at the outlet", "flow"),),
    ),
    LookPage("autumn", "Autumn look", (DONE,)),
    LookPage("spring", "Spring look", (DONE,)),
    LookPage("first_look", "First look", (DONE,)),
)
# Where the line joins a main that other pumps fill: does it come back into this pit?
ON_A_MAIN = (
    Number("rise_other_runs_m", "Rise while another pump on the main runs", "small_length"),
    Number("rise_other_runs_s", "Time of that rise", "time", has_stopwatch=True),
    Number("rise_all_rest_m", "Rise while all pumps rest", "small_length"),
    Number("rise_all_rest_s", "Time of that rise", "time", has_stopwatch=True),
)
# Seen beside a look, answered with two choices: name, look, words, yes, no.
ASIDES = {
    "lid": (("fabric_is_whole", "Fabric at the rim", "Whole", "Torn"),),
    "line": (("roots_seen", "Roots in pit or line", "Seen", "None"),),
}


def pages_of(whole: Whole, last_silt_m: float | None) -> list[LookPage]:
    """The looks of one system: a pump test for each pump, and the silt of last time to tap."""
    pages: list[LookPage] = []
    for page in LOOKS:
        if page.kind == "pump" and whole.pumps:
            many = len(whole.pumps) > 1
            pages += [
                replace(
                    page,
                    position=pump.position,
                    title=f"Test of pump {pump.position}" if many else page.title,
                )
                for pump in whole.pumps
            ]
        elif page.kind == "sediment" and last_silt_m is not None:
            same = Choice("same", "As last time", readings=(("sediment_m", last_silt_m),))
            pages.append(replace(page, choices=(same, *page.choices)))
        elif page.kind == "valve" and whole.line is not None and whole.line.main is not None:
            pages.append(replace(page, more=ON_A_MAIN))
        else:
            pages.append(page)
    return pages
