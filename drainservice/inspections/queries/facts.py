"""Rows of many systems as the engine's facts, in a fixed number of statements a batch."""

from dataclasses import replace
from datetime import date, datetime
from typing import Any

from drainservice.accounts import wall
from drainservice.accounts.models import Firm
from drainservice.engine.asbuilt.facts import (
    AsBuilt,
    Cover,
    Joint,
    PumpBase,
    Stone,
    ValveAttitude,
    ValvePlace,
)
from drainservice.engine.asbuilt.known import How, Known, told, unknown
from drainservice.engine.failure_mode import FailureMode
from drainservice.engine.interval.facts import (
    AsBuiltSince,
    Consequence,
    DownNow,
    JurisdictionRule,
    LookKind,
    Origin,
    PumpFacts,
    SystemFacts,
    TypeCap,
)
from drainservice.engine.interval.settings import FirmSettings, SeasonRule, Targets
from drainservice.engine.interval.yearly import MonthDay, Span
from drainservice.engine.reliability.history import SightKind
from drainservice.engine.reliability.prior import RatePrior
from drainservice.engine.reliability.rates import (
    NO_CATALOGUE,
    Catalogue,
    FloatKind,
    PumpClass,
)
from drainservice.engine.units import YEAR_DAYS
from drainservice.inspections.models import (
    Defect,
    FleetPrior,
    Reading,
)
from drainservice.inspections.queries.evidence import (
    household_record,
    look_record,
    tests_of,
    unreachable_since,
)
from drainservice.inspections.queries.gathered import Gathered
from drainservice.inspections.queries.trends import trends_of
from drainservice.register.models import EquipmentType, Pump
from drainservice.register.queries import Whole, as_built_of

# A mended defect, as the fact that held before it was mended.
BEFORE_MENDING: dict[str, dict[str, Known[Any]]] = {
    "no_check_valve": {"valve_is_present": told(False)},
    "valve_on_side": {"valve_attitude": told(ValveAttitude.ON_SIDE)},
    "valve_upside_down": {"valve_attitude": told(ValveAttitude.UPSIDE_DOWN)},
    "valve_against_flow": {"valve_arrow_with_flow": told(False)},
    "valve_buried": {"valve_place": told(ValvePlace.BURIED)},
    "no_weep_hole": {"weep_hole_is_present": told(False)},
    "pump_on_loose_stone": {"pump_base": told(PumpBase.LOOSE_STONE)},
    "insert_not_supported": {"insert_is_supported": told(False)},
    "tee_joint": {"joint": told(Joint.TEE)},
    "fine_stone": {"stone": told(Stone.SMALL)},
    "no_access_lid": {"cover": told(Cover.NO_LID)},
    "lid_buried": {"cover": told(Cover.BURIED_LID)},
    "no_alarm": {"has_alarm": told(False)},
}
FLOATS = {"vertical": FloatKind.VERTICAL, "tethered": FloatKind.TETHERED}
CAPS = {
    "pit": [LookKind.PERCOLATION, LookKind.SEDIMENT],
    "pump": [LookKind.PUMP],
    "valve": [LookKind.VALVE],
    "line": [LookKind.LINE],
    "access": [LookKind.LID],
    "backup": [LookKind.BATTERY],
}
DAYS_PER_MONTH = 30.4375


def facts_of(
    whole: Whole,
    behind: Gathered,
    *,
    settings: FirmSettings,
    priors: dict[str, RatePrior],
    at: datetime,
) -> SystemFacts:
    """Everything the due dates of one system are counted from, by the pump that stands first in
    `whole` (see `Whole.at_pump`).

    `priors` are those the firm's own tests have taught, by class of pump.
    """
    system = whole.system
    today = wall.today_in(whole.site.zone, at)
    looks = [
        look
        for look in behind.looks.get(system.pk, [])
        if look.inspection.on <= today and _is_of(look.pump_id, look.kind, whole)
    ]
    readings = behind.readings.get(system.pk, [])
    # A household's bucket starts the lead pump; the one above it stays still.
    checks = [c for c in behind.checks.get(system.pk, []) if c.on <= today and _leads(whole)]
    downs = behind.downs.get(system.pk, [])
    handed_over_on = system.installed_on if system.origin == "ours" else None
    since = min(handed_over_on or system.entered_on, today)
    jurisdiction = whole.site.jurisdiction
    pump = _pump(whole, readings)
    if pump is not None and pump.pump_class in priors:
        settings = replace(settings, prior=priors[pump.pump_class])
    return SystemFacts(
        origin=Origin.HANDED_OVER if handed_over_on else Origin.ADOPTED,
        origin_on=since,
        consequence=Consequence(system.consequence or Consequence.NEAR_STRUCTURE),
        as_built=_as_built(whole, behind.defects.get(system.pk, []), since),
        pump=pump,
        settings=settings,
        tests=tests_of(whole.pump, looks, checks, downs, whole.site.zone),
        looks=tuple(look_record(look) for look in looks),
        trends=trends_of(whole, readings, since, today),
        wet_seasons=tuple(
            Span(_month_day(w.starts), _month_day(w.ends))
            for w in jurisdiction.wet_seasons.all()
            if w.removed_at is None
        ),
        hard_frosts=_frosts(jurisdiction),
        rules=_rules(jurisdiction),
        type_caps=_caps(whole),
        down=tuple(
            DownNow(wall.local(d.since_at, whole.site.zone).date(), "pump", d.stop_gap)
            for d in downs
            if d.proven_at is None and whole.pump is not None and d.pump_id == whole.pump.pk
        ),
        household=household_record(checks, looks),
        lid_unreachable_since=unreachable_since(looks),
    )


def _is_of(pump_id: int | None, kind: str, whole: Whole) -> bool:
    """Whether a look tells of this pump, or of the system as a whole."""
    return kind != "pump" or pump_id is None or whole.pump is None or pump_id == whole.pump.pk


def _leads(whole: Whole) -> bool:
    pumps = whole.pumps
    return whole.pump is None or whole.pump.position == min(p.position for p in pumps)


def settings_of(firm: Firm) -> FirmSettings:
    """The firm's answers as the engine wants them."""
    dead = firm.dead_of_100
    return FirmSettings(
        dead_in_spring=unknown() if dead is None else Known(dead / 100, How.TOLD),
        targets=Targets(
            yard=firm.target_yard,
            near_structure=firm.target_near_structure,
            living_space=firm.target_living_space,
            flooded_before=firm.target_living_space,
        ),
        season_rule=SeasonRule(f"by_{firm.season_rule}"),
        household_test_days=firm.bucket_test_days,
    )


def priors_now() -> dict[str, RatePrior]:
    """What the firm's own tests have taught, by class of pump."""
    return {
        row.pump_class: RatePrior(row.shape, row.inverse_scale, row.scale, row.tests, row.failures)
        for row in FleetPrior.objects.all()
    }


def _as_built(whole: Whole, defects: list[Defect], since: date) -> tuple[AsBuiltSince, ...]:
    """The facts now, and before each mending the facts with what was wrong then."""
    now = as_built_of(whole)
    mended = [d for d in defects if d.mended_on is not None and d.kind in BEFORE_MENDING]
    entries: list[AsBuiltSince] = []
    for day in sorted(
        {since, *(d.mended_on for d in mended if d.mended_on and d.mended_on > since)}
    ):
        was: dict[str, Known[Any]] = {}
        for defect in mended:
            if defect.mended_on is not None and defect.mended_on > day:
                was |= BEFORE_MENDING[defect.kind]
        facts: AsBuilt = replace(now, **was)
        entries.append(AsBuiltSince(day, facts))
    return tuple(entries)


def _pump(whole: Whole, readings: list[Reading]) -> PumpFacts | None:
    pump = whole.pump
    if pump is None:
        return None
    word = pump.type.class_word if pump.type else ""
    pump_class = PumpClass(word) if word in set(PumpClass) else PumpClass.UNKNOWN
    if pump_class is PumpClass.UNKNOWN and pump.supplied_by == "customer":
        pump_class = PumpClass.CUSTOMER_SUPPLIED
    return PumpFacts(
        pump_class=pump_class,
        float_kind=FLOATS.get(pump.float_type, FloatKind.UNKNOWN),
        installed_on=Known(pump.from_on, How.TOLD) if pump.from_on else unknown(),
        starts_per_a=_per_year(pump, readings, "starts_count"),
        hours_per_a=_per_year(pump, readings, "run_hours_h"),
        catalogue=_catalogue(pump.type),
    )


def _catalogue(row: EquipmentType | None) -> Catalogue:
    """What the firm's own catalogue says of the pump's type."""
    if row is None:
        return NO_CATALOGUE
    return Catalogue(
        rates_per_a=tuple(
            (FailureMode(mode), float(rate)) for mode, rate in sorted(row.rates_per_year.items())
        ),
        shows=tuple(
            (SightKind(kind), FailureMode(mode), float(share))
            for kind, modes in sorted(row.reveals.items())
            for mode, share in sorted(modes.items())
        ),
        wear_life_a=row.wear_life_years or 0.0,
        starts_life=row.starts_life or 0.0,
    )


def _per_year(pump: Pump, readings: list[Reading], kind: str) -> float:
    """How fast a counter ran between its first and last reading on this pump; 0: no counter."""
    read = sorted(
        (r.look.inspection.on, r.value)
        for r in readings
        if r.kind == kind and r.look.pump_id in (None, pump.pk)
    )
    if len(read) < 2 or read[-1][0] == read[0][0]:
        return 0.0
    years = (read[-1][0] - read[0][0]).days / YEAR_DAYS
    return max(read[-1][1] - read[0][1], 0.0) / years


def _frosts(jurisdiction: Any) -> tuple[Span, ...]:
    if not jurisdiction.frost_from:
        return ()
    return (Span(_month_day(jurisdiction.frost_from), _month_day(jurisdiction.frost_until)),)


def _rules(jurisdiction: Any) -> tuple[JurisdictionRule, ...]:
    source = jurisdiction.rule_source or jurisdiction.name
    return tuple(
        JurisdictionRule(LookKind(kind), source, every_days=int(months * DAYS_PER_MONTH))
        for kind, months in sorted(jurisdiction.rule_months.items())
    )


def _caps(whole: Whole) -> tuple[TypeCap, ...]:
    parts = {
        "pit": whole.pit,
        "pump": whole.pump,
        "valve": whole.valve,
        "line": whole.line,
        "access": whole.access_point,
        "backup": whole.backups[0] if whole.backups else None,
    }
    return tuple(
        TypeCap(kind, part, row.type.shortest_days, row.type.longest_days)
        for part, row in parts.items()
        if row is not None and row.type is not None
        for kind in CAPS[part]
    )


def _month_day(text: str) -> MonthDay:
    month, day = text.split("-")
    return MonthDay(int(month), int(day))
