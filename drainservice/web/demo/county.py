"""The invented firm, its people, the rules of its county, and its catalogue of parts."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from drainservice.accounts import actions as accounts
from drainservice.accounts.models import Account, Role
from drainservice.engine.units import FOOT_M, GPM_M3S
from drainservice.register import actions as register
from drainservice.register.models import EquipmentType, Jurisdiction
from drainservice.web.demo.days import machine

ZONE = "America/Los_Angeles"
REGION = "Tarn County"
TELEPHONE = "541-555-0100"
STAFF = [
    ("Maren Holloway", "maren", Role.OWNER),
    ("Dora Finch", "dora", Role.DISPATCHER),
    ("Andrea Quill", "andrea", Role.TECHNICIAN),
    ("Basil Thorne", "basil", Role.TECHNICIAN),
    ("Cleo Marsh", "cleo", Role.TECHNICIAN),
    ("Dmitri Vale", "dmitri", Role.TECHNICIAN),
]
# Each technician has a town of their own: name, postcode that no office has, middle, rules.
TOWNS = [
    ("Alder Bend", "00011", (43.735, -123.905), "county"),
    ("Tarnmouth", "00012", (43.690, -123.965), "county"),
    ("Quill Harbor", "00013", (43.650, -123.880), "harbor"),
    ("Upper Tarn", "00014", (43.760, -123.780), "hills"),
]
JURISDICTIONS: dict[str, dict[str, Any]] = {
    "county": {
        "name": "Tarn County",
        "wet_seasons": [("10-15", "04-15")],
        "drain_limit_h": 72,
        "drain_source": "Tarn County drainage rules, 72 h (invented)",
    },
    "harbor": {
        "name": "Town of Quill Harbor",
        "wet_seasons": [("10-15", "04-15")],
        "drain_limit_h": 48,
        "drain_source": "Quill Harbor stormwater code, 48 h (invented)",
        "rule_months": {"percolation": 6},
        "rule_source": "Quill Harbor stormwater code (invented)",
        "rule_form": "Yearly drain record",
        "signer": "the firm that tested",
    },
    "hills": {
        "name": "Tarn Hills District",
        "wet_seasons": [("09-25", "11-25"), ("03-20", "05-31")],
        "drain_limit_h": 72,
        "drain_source": "Tarn County drainage rules, 72 h (invented)",
        "frost_from": "12-05",
        "frost_until": "02-25",
    },
}
# Heads in feet at flows in gpm, of pumps nobody sells.
CURVES = {
    "third": [(0, 25), (25, 18), (45, 6)],
    "half": [(0, 30), (30, 23), (55, 9)],
    "quarter": [(0, 20), (20, 14), (36, 4)],
    "pedestal": [(0, 21), (25, 15), (42, 5)],
}
TYPES: dict[str, dict[str, Any]] = {
    "third": {
        "part": "pump",
        "name": "Submersible 1/3 hp, vertical float",
        "class_word": "good_submersible",
        "wear_life_years": 10,
        "longest_days": 730,
    },
    "half": {
        "part": "pump",
        "name": "Submersible 1/2 hp, tethered float",
        "class_word": "good_submersible",
        "wear_life_years": 10,
        "longest_days": 730,
    },
    "quarter": {
        "part": "pump",
        "name": "Light 1/4 hp, tethered float",
        "class_word": "budget",
        "wear_life_years": 6,
        "longest_days": 730,
    },
    "pedestal": {
        "part": "pump",
        "name": "Pedestal 1/3 hp",
        "class_word": "pedestal",
        "longest_days": 240,
    },
    "dry_well": {"part": "pit", "name": "Dry well with large clean stone", "longest_days": 730},
    "small_stone": {"part": "pit", "name": "Dry well with small stone", "longest_days": 200},
    "swing": {
        "part": "valve",
        "name": "Swing check, 1 1/2 in",
        "longest_days": 730,
        "checklist": "Unplug. Lift by the rope. Look at the flap, the seat and the weep hole.",
    },
    "main_line": {"part": "line", "name": "Discharge line, PVC", "longest_days": 1100},
    "lid": {"part": "access", "name": "Plastic lid, 24 in", "longest_days": 730},
    "battery": {"part": "backup", "name": "Battery, 75 Ah", "longest_days": 183},
}


@dataclass(frozen=True, slots=True)
class County:
    """What every home of the demonstration stands on."""

    owner: Account
    dispatcher: Account
    technicians: list[Account]
    jurisdictions: dict[str, Jurisdiction]
    types: dict[str, EquipmentType]


def found_firm(at: datetime) -> County:
    """The firm, its people without passwords, its rules and its catalogue, three years ago."""
    asker = machine(at)
    accounts.set_up_firm(
        asker=asker,
        name="Tarn Valley Yard Drains",
        address="2 Quill Street, Alder Bend, Tarn County",
        telephone=TELEPHONE,
        zone=ZONE,
        is_demo=True,
    )
    people = []
    for name, handle, role in STAFF:
        person = accounts.enter_person(asker=asker, name=name)
        account = accounts.enter_account(
            asker=asker, person=person, name=handle, role=role, handle=handle
        )
        people.append(account)
    return County(
        owner=people[0],
        dispatcher=people[1],
        technicians=people[2:],
        jurisdictions={
            key: register.enter_jurisdiction(asker=asker, **told)
            for key, told in JURISDICTIONS.items()
        },
        types={
            key: register.enter_equipment_type(asker=asker, **told) for key, told in TYPES.items()
        },
    )


def curve_of(kind: str) -> list[tuple[float, float]]:
    """A pump's points as (m3/s, m)."""
    return [(gpm * GPM_M3S, feet * FOOT_M) for gpm, feet in CURVES[kind]]
