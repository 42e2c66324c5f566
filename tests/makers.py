"""Ordinary things with ordinary values, built through actions: say only what a test is about."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

from drainservice.accounts import actions as accounts
from drainservice.accounts import asker as askers
from drainservice.accounts.asker import Asker
from drainservice.accounts.models import Account, Firm, Household, Person
from drainservice.engine.units import FOOT_M, GPM_M3S, HORSEPOWER_W, INCH_M, SQUARE_FOOT_M2
from drainservice.register import actions as register
from drainservice.register.actions import known
from drainservice.register.models import Jurisdiction, Pump, Site, System

# A Monday at 8:00 in the firm's zone, America/Los_Angeles.
MONDAY = datetime(2027, 5, 10, 15, 0, tzinfo=UTC)
ZONE = "America/Los_Angeles"


def clock(at: datetime = MONDAY) -> Asker:
    """The server itself."""
    return askers.clock(at)


def make_firm(**values: Any) -> Firm:
    """The firm, once."""
    standing = Firm.objects.first()
    if standing is not None:
        return standing
    told = {"name": "Fernhill Drains", "telephone": "555-0100", "zone": ZONE} | values
    return accounts.set_up_firm(asker=clock(), **told)


def make_person(name: str = "Juno Greenlaw", *, mail: str = "", telephone: str = "") -> Person:
    """A person, reachable as told."""
    person = accounts.enter_person(asker=clock(), name=name)
    for kind, address in (("mail", mail), ("telephone", telephone)):
        if address:
            accounts.enter_channel(person, asker=clock(), kind=kind, address=address)
    return person


def make_household(*people: Person, name: str = "Greenlaw") -> Household:
    """A household of these people since 2020."""
    household = accounts.enter_household(asker=clock(), name=name)
    for person in people:
        accounts.join_household(person, household, asker=clock(), starts_on=date(2020, 1, 1))
    return household


def make_account(handle: str = "andrea", role: str = "technician", **values: Any) -> Account:
    """Someone of the firm who can sign in."""
    make_firm()
    person = accounts.enter_person(asker=clock(), name=handle.title())
    return accounts.enter_account(
        asker=clock(), person=person, name=handle, role=role, handle=handle, **values
    )


def make_jurisdiction(**values: Any) -> Jurisdiction:
    """A county with one wet season, 15 October to 15 April, and a 72 h drain limit."""
    told = {
        "name": "Tarn County",
        "wet_seasons": [("10-15", "04-15")],
        "drain_limit_h": 72,
        "drain_source": "common practice, no source",
    } | values
    return register.enter_jurisdiction(asker=clock(), **told)  # type: ignore[arg-type]


def make_site(address: str = "114 Maple Ridge Rd", **values: Any) -> Site:
    """A property in the county."""
    make_firm()
    told = {"zone": ZONE, "latitude": 47.25, "longitude": -122.44} | values
    told.setdefault("jurisdiction", Jurisdiction.objects.first() or make_jurisdiction())
    return register.enter_site(asker=clock(), address=address, **told)


def make_home(
    person: Person | None = None, site: Site | None = None, *parts: str
) -> tuple[Person, Household, Site]:
    """A person who decides, lives there, gives access and pays, with household and site."""
    person = person or make_person(mail="juno@example.com", telephone="360-555-0137")
    membership = person.memberships.first()
    household = membership.household if membership else make_household(person)
    site = site or make_site()
    for part in parts or ("decides", "lives", "access", "pays"):
        register.give_part(person, site, asker=clock(), part=part, starts_on=date(2020, 1, 1))
    return person, household, site


def make_system(site: Site | None = None, *, parts: bool = True, **values: Any) -> System:
    """A sound system of 2021: 4 ft square pit 4 ft deep, 1/3 hp pump, upright valve, wye.

    downspouts -> pit -> pump -> check valve (upright, weep hole below) -> line -> daylight
    """
    site = site or make_site()
    told = {
        "place": "by the driveway",
        "installed_on": date(2021, 6, 1),
        "installed_span": "day",
        "entered_on": date(2021, 6, 1),
        "status_since": date(2021, 6, 1),
        "consequence": "near_structure",
    } | values
    system = register.enter_system(site, asker=clock(), **told)
    if parts:
        add_parts(system)
    return system


def add_parts(system: System, **changed: dict[str, Any]) -> Pump:
    """All parts of a sound system; `pit=`, `pump=`, `valve=`, `line=`, `lid=` change some."""
    asker = clock()
    register.add_pit(
        system,
        asker=asker,
        **known(
            "measured",
            shape="box",
            length_m=4 * FOOT_M,
            width_m=4 * FOOT_M,
            depth_m=4 * FOOT_M,
            insert_diameter_m=24 * INCH_M,
            insert_height_m=3.5 * FOOT_M,
            insert_is_supported=True,
            stone="large_clean",
            stone_size_m=1.5 * INCH_M,
            void_ratio=0.40,
            fabric="non_woven",
            plan_area_m2=8.3 * SQUARE_FOOT_M2,
            sump_depth_m=12 * INCH_M,
        )
        | changed.get("pit", {}),
    )
    register.add_access_point(
        system,
        asker=asker,
        **known("measured", kind="plastic", size_m=24 * INCH_M, covered_by="nothing")
        | changed.get("lid", {}),
    )
    register.add_downspout(
        system, asker=asker, name="A", **known("measured", roof_area_m2=1000 * SQUARE_FOOT_M2)
    )
    pump = register.add_pump(
        system,
        asker=asker,
        curve=[(0.0, 25 * FOOT_M), (25 * GPM_M3S, 18 * FOOT_M), (45 * GPM_M3S, 6 * FOOT_M)],
        **{"from_on": date(2021, 6, 1), "from_span": "day"}
        | known(
            "drawn",
            power_w=HORSEPOWER_W / 3,
            float_type="vertical",
            on_level_m=2.0 * FOOT_M,
            off_level_m=1.0 * FOOT_M,
            base="flat_solid",
            supplied_by="firm",
            has_gfci=True,
            has_alarm=True,
        )
        | changed.get("pump", {}),
    )
    register.add_check_valve(
        pump,
        asker=asker,
        **known(
            "drawn",
            is_present=True,
            kind="swing",
            size_m=1.5 * INCH_M,
            place="in_pit",
            attitude="upright",
            arrow="with_flow",
            has_weep_hole=True,
            weep_hole_m=0.1875 * INCH_M,
        )
        | changed.get("valve", {}),
    )
    register.add_line(
        system,
        asker=asker,
        sections=[
            known("drawn", diameter_m=1.61 * INCH_M, length_m=12 * FOOT_M, material="pvc")
            | {"fittings": {"elbow_90": 2}},
            known("drawn", diameter_m=2.067 * INCH_M, length_m=90 * FOOT_M, material="pvc")
            | {"fittings": {"exit": 1}},
        ],
        **known("drawn", lift_m=8 * FOOT_M, end="daylight", high_point_m=12 * FOOT_M)
        | changed.get("line", {}),
    )
    return pump


def as_account(account: Account, at: datetime = MONDAY) -> Asker:
    """The asker a signed-in account makes."""
    return Asker(
        at=at,
        kind="account",
        account_id=account.pk,
        person_id=account.person_id,
        role=account.role,
        door="test",
    )


def as_household(person: Person, household: Household, at: datetime = MONDAY) -> Asker:
    """The asker a household's link makes."""
    return Asker(
        at=at, kind="household", person_id=person.pk, household_id=household.pk, door="test"
    )


def later(days: float = 0, hours: float = 0, minutes: float = 0) -> datetime:
    """A while after Monday."""
    return MONDAY + timedelta(days=days, hours=hours, minutes=minutes)
