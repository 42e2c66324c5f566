"""What lies in the ground at one place: drawn at random as crews build, then told to the record."""

import random
from dataclasses import dataclass
from datetime import date
from typing import Any

from drainservice.accounts.asker import Asker
from drainservice.engine.soakage.pit import find_circle_area, find_effective_area
from drainservice.engine.units import FOOT_M, HORSEPOWER_W, INCH_M, SQUARE_FOOT_M2
from drainservice.register import actions as register
from drainservice.register.actions import known
from drainservice.register.models import Pump, SharedMain, Site, System
from drainservice.web.demo.county import County, curve_of

PLACES = [
    "by the driveway",
    "behind the garage",
    "below the patio",
    "at the back fence",
    "under the front lawn",
    "beside the kitchen steps",
]
POWER_HP = {"third": 1 / 3, "half": 1 / 2, "quarter": 1 / 4, "pedestal": 1 / 3}
FLOATS = {
    "third": "vertical",
    "half": "tethered",
    "quarter": "tethered",
    "pedestal": "vertical",
}


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


def put_in_ground(
    site: Site,
    build: Build,
    county: County,
    *,
    asker: Asker,
    main: SharedMain | None,
    lid_code: str,
) -> tuple[System, Pump | None]:
    """Enter the system and, where it is known, each of its parts."""
    how = "told" if build.is_adopted else "measured"
    system = register.enter_system(
        site,
        asker=asker,
        lid_code=lid_code,
        place=build.place,
        installed_on=build.installed_on if build.is_known else None,
        installed_span=("month" if build.is_adopted else "day") if build.is_known else "",
        installed_by="" if build.is_adopted else "Tarn Valley Yard Drains",
        origin="adopted" if build.is_adopted else "ours",
        consequence=build.consequence,
        overflow_path="over the lawn to the street" if build.is_known else "",
    )
    _add_lid(system, build, county, asker)
    if not build.is_known:
        return system, None
    _add_pit(system, build, county, asker, how)
    for number in range(build.roofs):
        register.add_downspout(
            system,
            asker=asker,
            name="ABC"[number],
            has_leaf_trap=build.has_leaf_trap,
            **known(
                how,
                roof_area_m2=(400 + 150 * number) * SQUARE_FOOT_M2,
                inlet_diameter_m=4 * INCH_M,
                invert_depth_m=build.invert_m,
            ),
        )
    if not build.pump:
        return system, None
    pump = register.add_pump(
        system,
        asker=asker,
        curve=curve_of(build.pump),
        from_on=build.installed_on,
        from_span="month" if build.is_adopted else "day",
        **pump_values(build, county, how),
    )
    _add_valve(pump, build, county, asker, how)
    _add_line(system, build, county, asker, how, main)
    if build.has_battery:
        register.add_backup(
            system,
            asker=asker,
            type=county.types["battery"],
            from_on=build.installed_on,
            **known(how, kind="battery", capacity_wh=900.0, hours=6.0),
        )
    return system, pump


def pump_values(build: Build, county: County, how: str) -> dict[str, Any]:
    """A pump's fields, curve and days aside."""
    day = build.installed_on
    serial = f"TV{day:%y%m}-{round(build.line_m * 100):05d}"
    return {
        "type": county.types[build.pump],
        "serial": serial,
        "feed": "GFCI outlet on the house wall",
        "warranty_giver": "the maker" if build.supplied_by == "firm" else "",
        "warranty_until": day.replace(year=day.year + 3, day=min(day.day, 28)),
    } | known(
        how,
        power_w=POWER_HP[build.pump] * HORSEPOWER_W,
        float_type=FLOATS[build.pump],
        on_level_m=build.on_m,
        off_level_m=build.off_m,
        alarm_level_m=build.on_m + 4 * INCH_M if build.has_alarm else None,
        intake_level_m=6 * INCH_M,
        base=build.base,
        supplied_by=build.supplied_by,
        has_gfci=True,
        has_alarm=build.has_alarm,
    )


def _add_pit(system: System, build: Build, county: County, asker: Asker, how: str) -> None:
    area_m2 = find_effective_area(build.side_m**2, 0.40, find_circle_area(build.insert_m))
    register.add_pit(
        system,
        asker=asker,
        type=county.types["small_stone" if build.stone == "small" else "dry_well"],
        soil="silty loam",
        **known(
            how,
            shape="box",
            length_m=build.side_m,
            width_m=build.side_m,
            depth_m=build.depth_m,
            insert_diameter_m=build.insert_m,
            insert_height_m=build.depth_m - 6 * INCH_M,
            insert_is_supported=True,
            stone=build.stone,
            stone_size_m=(0.5 if build.stone == "small" else 1.25) * INCH_M,
            fabric=build.fabric,
            # Poured and read at handover; nobody poured where others built.
            plan_area_m2=None if build.is_adopted else area_m2,
            sump_depth_m=build.depth_m - build.invert_m,
        ),
        **known("assumed", void_ratio=0.40),
    )


def _add_lid(system: System, build: Build, county: County, asker: Asker) -> None:
    register.add_access_point(
        system,
        asker=asker,
        type=county.types["lid"],
        corner_a="north-west corner of the house" if build.is_known else "",
        corner_b="north-east corner of the house" if build.is_known else "",
        **known("told", kind="plastic", size_m=24 * INCH_M, covered_by=build.cover),
        **known(
            "measured",
            corner_a_m=round(2.4 + build.line_m / 20, 2) if build.is_known else None,
            corner_b_m=round(3.1 + build.line_m / 15, 2) if build.is_known else None,
        ),
    )


def _add_valve(pump: Pump, build: Build, county: County, asker: Asker, how: str) -> None:
    register.add_check_valve(
        pump,
        asker=asker,
        type=county.types["swing"],
        from_on=build.installed_on,
        **known(
            how,
            is_present=True,
            kind="swing",
            size_m=1.5 * INCH_M,
            place=build.valve_place,
            attitude=build.attitude,
            arrow=build.arrow,
            has_weep_hole=build.has_weep_hole,
            weep_hole_m=0.1875 * INCH_M if build.has_weep_hole else None,
        ),
    )


def _add_line(
    system: System,
    build: Build,
    county: County,
    asker: Asker,
    how: str,
    main: SharedMain | None,
) -> None:
    riser_m = 6 * FOOT_M
    register.add_line(
        system,
        asker=asker,
        type=county.types["main_line"],
        main=main,
        end_place="" if main else "at the street, on the household's own land",
        sections=[
            known(how, diameter_m=1.61 * INCH_M, length_m=riser_m, material="pvc")
            | {"fittings": {"elbow_90": 2}},
            known(how, diameter_m=2.067 * INCH_M, length_m=build.line_m, material="pvc")
            | {"fittings": {"elbow_45": 2, "exit": 1}},
        ],
        **known(
            how,
            lift_m=build.lift_m,
            high_point_m=riser_m + (build.line_m if build.rises_all_along else 0.0),
            end="shared_main" if main else "daylight",
            joint=build.joint,
            holds_water=build.holds_water,
        ),
    )
