"""What lies in the ground at one place, drawn at random as crews build."""

import random
from dataclasses import dataclass
from datetime import date

from drainservice.engine.units import FOOT_M, INCH_M

PLACES = [
    "by the driveway",
    "behind the garage",
    "below the patio",
    "at the back fence",
    "under the front lawn",
    "beside the kitchen steps",
]


@dataclass(frozen=True, slots=True)
class Build:
    """One system as it truly is; `pump` names a type, empty where soil alone takes the water.

    Rates are those of the ground and the pump, a year each: ln(drain time), metres of silt, share
    of the pump's strength. `is_known` False: nobody has written anything down yet.
    """

    place: str
    installed_on: date
    consequence: str = "near_structure"
    side_m: float = 4 * FOOT_M
    depth_m: float = 4 * FOOT_M
    insert_m: float = 24 * INCH_M
    invert_m: float = 14 * INCH_M
    stone: str = "large_clean"
    fabric: str = "non_woven"
    pump: str = "third"
    on_m: float = 24 * INCH_M
    off_m: float = 10 * INCH_M
    base: str = "flat_solid"
    supplied_by: str = "firm"
    has_alarm: bool = True
    has_battery: bool = False
    has_weep_hole: bool = True
    attitude: str = "upright"
    arrow: str = "with_flow"
    valve_place: str = "in_pit"
    joint: str = ""
    cover: str = "nothing"
    holds_water: bool = False
    roofs: int = 2
    has_leaf_trap: bool = True
    tree_m: float = 0.0
    line_m: float = 90 * FOOT_M
    lift_m: float = 7 * FOOT_M
    # Up to the street without a high point between: all its water can come back.
    rises_all_along: bool = True
    is_adopted: bool = False
    is_known: bool = True
    drain_h: float = 20.0
    clogs_per_a: float = 0.05
    silts_m_per_a: float = 0.5 * INCH_M
    strength: float = 1.0
    weakens_per_a: float = 0.01
    leaks_back: float = 0.01


def draw_build(rng: random.Random, installed_on: date, limit_h: float) -> Build:
    """An ordinary system: mostly sound, with the mistakes that are made."""
    pump = rng.choices(["third", "half", "quarter", "pedestal", ""], [48, 20, 14, 6, 12])[0]
    tree_m = rng.choice([0.0, 0.0, 0.0, 4.5, 9.0])
    is_fine_stone = rng.random() < 0.08
    return Build(
        place=rng.choice(PLACES),
        installed_on=installed_on,
        consequence=rng.choices(
            ["yard", "near_structure", "living_space", "flooded_before"], [34, 38, 20, 8]
        )[0],
        side_m=rng.choice([3, 4, 4, 4, 5]) * FOOT_M,
        depth_m=rng.choice([3.5, 4, 4, 4.5]) * FOOT_M,
        stone="small" if is_fine_stone else "large_clean",
        fabric="landscape" if rng.random() < 0.05 else "non_woven",
        pump=pump,
        base="loose_stone" if rng.random() < 0.05 else "flat_solid",
        supplied_by="customer" if pump == "quarter" and rng.random() < 0.4 else "firm",
        has_alarm=rng.random() < 0.88,
        has_battery=bool(pump) and rng.random() < 0.15,
        has_weep_hole=rng.random() > 0.05,
        roofs=rng.choice([1, 2, 2, 3]),
        has_leaf_trap=rng.random() < 0.85,
        tree_m=tree_m,
        line_m=rng.uniform(40, 120) * FOOT_M,
        rises_all_along=rng.random() < 0.7,
        lift_m=rng.choice([5.5, 6, 6.5, 7, 8]) * FOOT_M,
        drain_h=limit_h * rng.uniform(0.12, 0.4),
        clogs_per_a=rng.uniform(0.01, 0.06) + (0.04 if is_fine_stone else 0),
        silts_m_per_a=rng.uniform(0.2, 0.9) * INCH_M,
        weakens_per_a=rng.uniform(0.0, 0.02),
        leaks_back=0.15 if rng.random() < 0.06 else 0.01,
    )
