"""What one row's facts are in the register's tables: fields, notes, and what cannot be kept."""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from drainservice.accounts.text import TextRefused, clean_line, clean_text
from drainservice.exchange.register_words import word_for
from drainservice.exchange.said import say_value
from drainservice.exchange.spans import read_span

# fact: table, field.  As-built fields carry beside them how they are known.
AS_BUILT: dict[str, tuple[str, str]] = {
    "pit.depth_m": ("pit", "depth_m"),
    "pit.width_m": ("pit", "width_m"),
    "pit.length_m": ("pit", "length_m"),
    "pit.plan_area_m2": ("pit", "plan_area_m2"),
    "pit.insert_diameter_m": ("pit", "insert_diameter_m"),
    "pit.insert_height_m": ("pit", "insert_height_m"),
    "pit.stone_size_m": ("pit", "stone_size_m"),
    "pit.stone_depth_m": ("pit", "stone_depth_m"),
    "pit.stone": ("pit", "stone"),
    "pit.fabric": ("pit", "fabric"),
    "pit.void_ratio": ("pit", "void_ratio"),
    "pump.power_w": ("pump", "power_w"),
    "pump.base": ("pump", "base"),
    "pump.supplied_by": ("pump", "supplied_by"),
    "pump.float": ("pump", "float_type"),
    "pump.on_level_m": ("pump", "on_level_m"),
    "pump.off_level_m": ("pump", "off_level_m"),
    "alarm.present": ("pump", "has_alarm"),
    "valve.present": ("valve", "is_present"),
    "valve.attitude": ("valve", "attitude"),
    "valve.arrow": ("valve", "arrow"),
    "valve.place": ("valve", "place"),
    "valve.size_m": ("valve", "size_m"),
    "weep_hole.present": ("valve", "has_weep_hole"),
    "weep_hole.diameter_m": ("valve", "weep_hole_m"),
    "line.end": ("line", "end"),
    "line.joint": ("line", "joint"),
    "line.lift_m": ("line", "lift_m"),
    "line.diameter_m": ("section", "diameter_m"),
    "line.length_m": ("section", "length_m"),
    "line.material": ("section", "material"),
    "access.kind": ("lid", "kind"),
    "access.covered_by": ("lid", "covered_by"),
    "access.size_m": ("lid", "size_m"),
    "backup.kind": ("backup", "kind"),
    "roof.area_m2": ("downspout", "roof_area_m2"),
}
PLAIN: dict[str, tuple[str, str, int]] = {
    "site.city": ("site", "city", 80),
    "site.region": ("site", "region", 40),
    "site.postcode": ("site", "postcode", 20),
    "site.access_note": ("site", "access_note", 5000),
    "site.gate_code": ("site", "codes", 200),
    "system.installed_by": ("system", "installed_by", 200),
    "pump.serial": ("pump", "serial", 80),
}
# Where the register keeps a narrower range than a sheet may hold (its CHECK constraints).
RANGES: dict[str, tuple[float, float]] = {
    "pit.depth_m": (0.2, 6),
    "pit.width_m": (0.2, 20),
    "pit.length_m": (0.2, 20),
    "pit.insert_height_m": (0.1, 6),
    "pit.stone_depth_m": (0, 6),
}
NOTED: dict[str, str] = {
    "system.code": "number in the list",
    "pit.volume_m3": "pit volume",
    "pump.model": "pump",
    "pump.flow_m3s": "pump's flow",
    "pump.head_m": "pump's head",
    "agreement.kind": "agreement",
    "site.downspout_count": "downspouts",
    "site.county": "county",
    "site.tenanted": "tenants live there",
    "household.channel": "reach them by",
}
HOUSEHOLD = frozenset(
    f"household.{name}" for name in ("names", "other_names", "tenant", "phones", "emails")
)
DATED = {
    "system.installed_on": ("system", "installed"),
    "pump.installed_on": ("pump", "from"),
}


@dataclass(frozen=True, slots=True)
class Field:
    """One value for one field; dates come with their span."""

    fact: str
    table: str
    name: str
    value: Any
    is_as_built: bool = True
    span: str = ""


@dataclass(frozen=True, slots=True)
class Unfit:
    """A fact the register cannot keep, with the reason class and words."""

    fact: str
    reason: str
    why: str


@dataclass(slots=True)
class Wanted:
    """One row as the register would hold it."""

    fields: list[Field] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)  # of the system
    unfit: list[Unfit] = field(default_factory=list)
    curve: tuple[float, float] | None = None
    pump_count: int = 1
    has_no_pump: bool = False
    agreement: dict[str, Any] = field(default_factory=dict)
    remark: str = ""
    place: str = ""
    has_pump: bool = False
    has_visit: bool = False
    pump_facts: tuple[str, ...] = ()

    @property
    def is_visit(self) -> bool:
        """It tells of a visit and of nothing in the ground: its remark is the visit's."""
        return self.has_visit and not self.tables - {"site"}

    @property
    def tables(self) -> set[str]:
        """Every table that gets a value."""
        return {each.table for each in self.fields}


def translate(facts: dict[str, Any], *, firm_name: str = "", units: str = "trade") -> Wanted:
    """The fields and notes of a row's facts."""
    wanted = Wanted(
        has_pump=bool(facts.get("pump.present"))
        or facts.get("pump.count", 1) > 1
        or "inspection.pump_ran" in facts,
        has_visit="inspection.on" in facts,
        pump_facts=tuple(fact for fact in ("pump.present", "pump.count") if fact in facts),
    )
    for fact, value in facts.items():
        if fact in AS_BUILT:
            _add_as_built(wanted, fact, value)
        elif fact in PLAIN:
            _add_plain(wanted, fact, str(value))
        elif fact in DATED:
            table, name = DATED[fact]
            day, span = read_span(value)
            wanted.fields.append(Field(fact, table, f"{name}_on", day, False, span))
    _add_system_place(wanted, str(facts.get("system.place", "")))
    _add_place(wanted, facts)
    _add_system_words(wanted, facts, firm_name)
    _add_pump(wanted, facts)
    _add_notes(wanted, facts, units)
    _add_agreement(wanted, facts)
    return wanted


def _add_as_built(wanted: Wanted, fact: str, value: Any) -> None:
    table, name = AS_BUILT[fact]
    if isinstance(value, str):
        word = word_for(fact, value)
        if not word:
            wanted.notes.append(f"{fact.replace('.', ' ').replace('_', ' ')}: {value}")
            return
        value = word
    low, high = RANGES.get(fact, (float("-inf"), float("inf")))
    if isinstance(value, float) and not low <= value <= high:
        why = f"the register keeps {low:g} to {high:g} m; look at the number and its unit again"
        wanted.unfit.append(Unfit(fact, "impossible_value", why))
        return
    wanted.fields.append(Field(fact, table, name, value))


def _add_plain(wanted: Wanted, fact: str, value: str) -> None:
    table, name, most = PLAIN[fact]
    try:
        clean = clean_line(value, most=most, what="The text")
    except TextRefused as refused:
        wanted.unfit.append(Unfit(fact, "too_long", because(refused)))
        return
    wanted.fields.append(Field(fact, table, name, clean, False))


def because(refused: TextRefused) -> str:
    """A refusal's sentence as the end of another."""
    words = str(refused).rstrip(".")
    return words[:1].lower() + words[1:]


def _add_system_place(wanted: Wanted, told: str) -> None:
    try:
        wanted.place = clean_line(told, most=200, what="The place")
    except TextRefused as refused:
        wanted.unfit.append(Unfit("system.place", "too_long", because(refused)))


def _add_place(wanted: Wanted, facts: dict[str, Any]) -> None:
    lat, lon = facts.get("site.lat"), facts.get("site.lon")
    if lat is not None and lon is not None:
        wanted.fields.append(Field("site.lat", "site", "latitude", lat, False))
        wanted.fields.append(Field("site.lon", "site", "longitude", lon, False))
    elif lat is not None or lon is not None:
        wanted.notes.append(f"one coordinate alone: {lat if lat is not None else lon}")
    if facts.get("site.has_dog"):
        wanted.fields.append(Field("site.has_dog", "site", "dog_note", "dog", False))
    elif "site.has_dog" in facts:
        wanted.notes.append("no dog")


def _add_system_words(wanted: Wanted, facts: dict[str, Any], firm_name: str) -> None:
    for fact, name in (("system.consequence", "consequence"), ("system.status", "status")):
        told = facts.get(fact)
        if told is None:
            continue
        word = word_for(fact, str(told))
        if word:
            wanted.fields.append(Field(fact, "system", name, word, False))
        else:
            wanted.notes.append(f"protects: {told}")
    builder = str(facts.get("system.installed_by", "")).lower().strip(" .")
    ours = {"us", "we", "ours", "our crew", "own crew", firm_name.lower()} - {""}
    if builder in ours:
        wanted.fields.append(Field("system.installed_by", "system", "origin", "ours", False))


def _add_pump(wanted: Wanted, facts: dict[str, Any]) -> None:
    flow, head = facts.get("pump.flow_m3s"), facts.get("pump.head_m")
    if flow is not None and head is not None:
        wanted.curve = (flow, head)
    wanted.pump_count = min(9, int(facts.get("pump.count", 1)))
    wanted.has_no_pump = facts.get("pump.present") is False
    warranty = facts.get("pump.warranty_ends_on")
    if warranty:
        day, span = read_span(warranty)
        if span == "day":
            wanted.fields.append(
                Field("pump.warranty_ends_on", "pump", "warranty_until", day, False)
            )
        else:
            wanted.notes.append(f"pump's warranty ends: {warranty}")
    levels = {each.name: each for each in wanted.fields if each.name in _LEVELS}
    if len(levels) == 2 and levels["off_level_m"].value >= levels["on_level_m"].value:
        wanted.fields = [each for each in wanted.fields if each.name not in _LEVELS]
        why = "a pump stops below the level it starts at; the two may be exchanged"
        wanted.unfit.extend(Unfit(each.fact, "impossible_value", why) for each in levels.values())


_LEVELS = frozenset({"on_level_m", "off_level_m"})


def _add_notes(wanted: Wanted, facts: dict[str, Any], units: str) -> None:
    for fact, words in NOTED.items():
        if fact in facts and not (wanted.curve and fact in {"pump.flow_m3s", "pump.head_m"}):
            value = facts[fact]
            said = say_value(fact, value, units)
            wanted.notes.append(words if value is True else f"{words}: {said}")
    backup = facts.get("backup.installed_on")
    if backup:
        day, span = read_span(backup)
        if span == "day":
            wanted.fields.append(Field("backup.installed_on", "backup", "from_on", day, False))
        else:
            wanted.notes.append(f"battery put in: {backup}")
    language = facts.get("household.language")
    if language and not word_for("household.language", str(language)):
        wanted.notes.append(f"speaks: {language}")
    if wanted.has_no_pump:
        wanted.notes.append("no pump")
        _note_pumpless(wanted, units)
    if facts.get("notes"):
        try:
            wanted.remark = clean_text(str(facts["notes"]), most=5000, what="The remark")
        except TextRefused as refused:
            wanted.unfit.append(Unfit("notes", "control_characters", because(refused)))


def _note_pumpless(wanted: Wanted, units: str) -> None:
    """Where there is no pump, what is told of its valve has no row to stand in."""
    gone = [each for each in wanted.fields if each.table in {"pump", "valve"}]
    wanted.fields = [each for each in wanted.fields if each not in gone]
    for each in gone:
        words = each.fact.replace(".", " ").replace("_", " ")
        wanted.notes.append(f"{words}: {say_value(each.fact, each.value, units)}")


def _add_agreement(wanted: Wanted, facts: dict[str, Any]) -> None:
    looks = facts.get("agreement.looks_per_year")
    starts, ends = facts.get("agreement.starts_on"), facts.get("agreement.ends_on")
    if looks is None and starts is None and ends is None:
        return
    starts_on = _exact(starts)
    if starts_on is None or (looks is not None and looks > 52):
        told = {"looks a year": looks, "from": starts, "until": ends}
        words = ", ".join(f"{name} {value}" for name, value in told.items() if value is not None)
        wanted.notes.append(f"agreement: {words}")
        return
    ends_on = _exact(ends)
    if ends_on is not None and ends_on < starts_on:
        wanted.unfit.append(
            Unfit("agreement.ends_on", "impossible_value", "it ends before it starts")
        )
        ends_on = None
    wanted.agreement = {"starts_on": starts_on, "ends_on": ends_on}
    if looks is not None:
        wanted.agreement["looks_a_year"] = looks


def _exact(vague: str | None) -> date | None:
    """The day itself, or the first of what a vaguer date covers."""
    return read_span(vague)[0] if vague else None
