"""Entering one system and its parts into the register, each value with how it is known."""

from typing import Any

from drainservice.accounts.asker import Asker
from drainservice.engine.soakage.pit import find_circle_area, find_effective_area
from drainservice.engine.units import FOOT_M, HORSEPOWER_W, INCH_M, SQUARE_FOOT_M2
from drainservice.register import actions as register
from drainservice.register.actions import known
from drainservice.register.models import Pump, SharedMain, Site, System
from drainservice.web.demo.builds import Build
from drainservice.web.demo.county import County, curve_of

POWER_HP = {"third": 1 / 3, "half": 1 / 2, "quarter": 1 / 4, "pedestal": 1 / 3}
FLOATS = {
    "third": "vertical",
    "half": "tethered",
    "quarter": "tethered",
    "pedestal": "vertical",
}


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
