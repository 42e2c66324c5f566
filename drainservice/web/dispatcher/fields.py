"""The fields of a part as people read and type them: label, quantity, how it is known."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, time
from typing import Any

from django.db import models

from drainservice.accounts.models import Kept
from drainservice.engine.units import UnitSystem, number, show, unit_name
from drainservice.register.models import Agreement, Pump, Section
from drainservice.register.models.asbuilt import How

LABELS = {
    "shape": "shape of the hole",
    "pit.length_m": "length, or width across if round",
    "depth_m": "depth below grade",
    "insert_is_supported": "insert stands level and supported",
    "void_ratio": "voids between the stones",
    "plan_area_m2": "area of water, measured by pouring",
    "water_to_start_m3": "water that starts the pump",
    "sump_depth_m": "sump below the lowest inlet",
    "design_rate_ms": "soakage it was designed for",
    "on_level_m": "starts at, above the hole's floor",
    "off_level_m": "stops at, above the hole's floor",
    "alarm_level_m": "alarm at, above the hole's floor",
    "intake_level_m": "intake, above the hole's floor",
    "has_gfci": "GFCI-protected outlet",
    "has_alarm": "alarm",
    "feed": "where the wire goes",
    "from_on": "in since",
    "from_span": "as precise as",
    "base": "the pump stands on",
    "is_present": "there is a check valve",
    "attitude": "it lies",
    "arrow": "its arrow points",
    "height_m": "height above the hole's floor",
    "has_weep_hole": "weep hole below it",
    "weep_hole_m": "weep hole size",
    "lift_m": "lift, from the hole's floor to where it ends",
    "high_point_m": "pipe to the first high point",
    "end": "it ends at",
    "end_place": "where, on whose land",
    "holds_water": "holds water when it stands",
    "is_flush": "flush with the ground",
    "covered_by": "covered by",
    "is_locked": "locked",
    "lifting": "to lift it: two people, or which tool",
    "corner_a": "first house corner",
    "corner_a_m": "from the first corner",
    "corner_b": "second house corner",
    "corner_b_m": "from the second corner",
    "roof_area_m2": "roof it drains",
    "invert_depth_m": "enters below grade at",
    "has_leaf_trap": "leaf trap",
    "harm_rain_m": "rain in a day that does harm",
    "consequence": "a dead pump would reach",
    "origin": "built by",
    "installed_span": "installed, as precise as",
    "system.place": "place name",
    "checkvalve.place": "it sits",
    "checkvalve.kind": "kind of valve",
    "accesspoint.kind": "kind of lid",
    "capacity_wh": "battery capacity in Wh",
    "hours": "hours it runs",
    "rank": "place in the line, 1 is nearest the pump",
    "surrounding.kind": "what it is",
    "surrounding.what": "more of it",
    "surrounding.distance_m": "distance from the pit",
    "permit.giver": "given by",
    "permit.given_on": "given on",
    "locateticket.number": "number of the ticket",
    "locateticket.valid_from": "no digging before",
    "locateticket.valid_until": "nor after",
    "agreement.looks_a_year": "looks a year",
    "agreement.covers_parts": "parts are covered",
    "agreement.covers_storm_calls": "storm calls are covered",
    "agreement.fix_limit": "what we may fix without asking",
    "agreement.starts_on": "from",
    "agreement.ends_on": "until; empty runs on",
    "sharedmain.end": "the main ends at",
    "sharedmain.slope": "fall",
    "sharedmain.surcharges": "it fills up and pushes back",
    "sharedmain.surcharge_head_m": "then it stands above the outlets by",
    "joint": "it joins the main by a",
    "channel.kind": "way",
    "channel.rank": "rank, 1 is tried first",
    "channel.consent_how": "they agreed to it how; a text message needs it",
    "household.name": "name of the household",
    "household.quiet_from": "no messages from; empty takes the firm's hours",
    "household.quiet_until": "until",
    "away.starts_on": "away from",
    "away.ends_on": "until",
    "away.key_holder": "who holds the key",
    "away.pump_is_powered": "the pump keeps its power",
}
SMALL = {
    "insert_diameter_m",
    "stone_size_m",
    "size_m",
    "weep_hole_m",
    "diameter_m",
    "inlet_diameter_m",
}
QUANTITIES = {
    "roof_area_m2": "area",
    "plan_area_m2": "area",
    "water_to_start_m3": "volume",
    "design_rate_ms": "rate",
    "void_ratio": "percent",
    "power_w": "power",
    "weight_kg": "mass",
    "harm_rain_m": "rain",
    "slope": "percent",
    "capacity_wh": "count",
    "hours": "count",
}
# Words a field may hold where the record itself names no choices.
WORDS = {"household.language": [("en", "English"), ("es", "Spanish")]}
# What a part points at, and how that is read.
POINTS_AT = {"type": "type", "main": "joins the main", "agreement": "agreement"}
NOT_KNOWN = "not known"
NOT_SHOWN = {
    "id",
    "version",
    "removed_at",
    "until_on",
    "until_because",
    "position",
    "lid_code",
    "entered_on",
    "status",
    "status_since",
}


@dataclass(frozen=True, slots=True)
class Field:
    """One value of a part."""

    name: str
    label: str
    of: "models.Field[Any, Any]"
    quantity: str
    has_how: bool

    @property
    def choices(self) -> list[tuple[str, str]]:
        """The words it may be."""
        own = WORDS.get(f"{self.of.model._meta.model_name}.{self.name}")
        return own or [(str(value), str(words)) for value, words in self.of.choices or []]

    @property
    def is_claim(self) -> bool:
        """Yes, no, or not known."""
        return isinstance(self.of, models.BooleanField)

    def unit(self, units: UnitSystem) -> str:
        """The unit beside the field."""
        return unit_name(self.quantity, units) if self.quantity not in {"", "count"} else ""

    def typed(self, value: Any, units: UnitSystem) -> str:
        """The value as one would type it."""
        if value is None or value == "":
            return ""
        if self.is_claim:
            return "yes" if value else "no"
        if isinstance(value, time):
            return f"{value:%H:%M}"
        if self.quantity in {"length", "level"}:
            return show(value, self.quantity, units)
        if self.quantity == "count":
            return f"{value:g}"
        if self.quantity:
            return f"{number(value, self.quantity, units):.4g}"
        return str(value)

    def read(self, value: Any, units: UnitSystem) -> str:
        """The value as it is read on a page; empty where it is not known."""
        if self.choices and value:
            return dict(self.choices).get(value, str(value))
        if isinstance(value, date):
            return f"{value.day} {value:%B %Y}"
        typed = self.typed(value, units)
        if not typed or self.quantity in {"", "count", "length", "level"}:
            return typed
        return show(value, self.quantity, units)


def fields_of(model: type[Kept]) -> Iterator[Field]:
    """What a person may read and change of a part, in the order of the record."""
    names = {field.name for field in model._meta.concrete_fields}
    for field in model._meta.concrete_fields:
        name = field.name
        if name in NOT_SHOWN or name.removesuffix("_how") in names - {name} or field.is_relation:
            continue
        yield Field(
            name=name,
            label=LABELS.get(f"{model._meta.model_name}.{name}")
            or LABELS.get(name)
            or _plainly(name),
            of=field,
            quantity=_quantity(field),
            has_how=f"{name}_how" in names,
        )


def read_fields(row: Kept, units: UnitSystem) -> list[tuple[str, str, str]]:
    """Label, value and how it is known, of everything that is known or ought to be."""
    lines = _points_at(row)
    for field in fields_of(type(row)):
        words = field.read(getattr(row, field.name), units)
        if field.has_how:
            how = str(How(getattr(row, f"{field.name}_how")).label)
            lines.append((field.label, words or NOT_KNOWN, how if words else ""))
        elif words:
            lines.append((field.label, words, ""))
    return lines + _pieces(row, units)


def _points_at(row: Kept) -> list[tuple[str, str, str]]:
    """The type of a part, the main a line joins, the agreement of a system."""
    names = [name for name in POINTS_AT if getattr(row, f"{name}_id", None)]
    return [(POINTS_AT[name], name_of(getattr(row, name)), "") for name in names]


def name_of(row: Any) -> str:
    """How a row is called where it is chosen."""
    if isinstance(row, Agreement):
        until = f" until {row.ends_on}" if row.ends_on else ""
        return f"{row.payer.name}, from {row.starts_on}{until}"
    return str(row.name)


def _pieces(row: Kept, units: UnitSystem) -> list[tuple[str, str, str]]:
    """Fittings of a section, points of a pump's curve."""
    if isinstance(row, Section):
        words = [f"{f.count} of {f.get_kind_display()}" for f in row.fittings.all()]
        return [("fittings", ", ".join(words), "")] if words else []
    if isinstance(row, Pump):
        points = sorted(row.curve_points.all(), key=lambda point: point.flow_m3s)
        words = [
            f"{show(p.flow_m3s, 'flow', units)} at {show(p.head_m, 'head', units)}" for p in points
        ]
        return [("points of its curve", ", ".join(words), "")] if words else []
    return []


def _quantity(field: "models.Field[Any, Any]") -> str:
    if not isinstance(field, models.FloatField):
        return ""
    if field.name in SMALL:
        return "small_length"
    if field.name.endswith("level_m"):
        return "level"
    return QUANTITIES.get(field.name, "length")


def _plainly(name: str) -> str:
    for ending in ("_m", "_w", "_kg"):
        name = name.removesuffix(ending)
    return name.replace("_", " ")
