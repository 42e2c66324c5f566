"""Rows of many systems as the engine's facts, in a fixed number of statements a batch."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
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
from drainservice.engine.interval.facts import (
    AsBuiltSince,
    Consequence,
    DownNow,
    HouseholdRecord,
    JurisdictionRule,
    LookKind,
    LookOutcome,
    LookRecord,
    Origin,
    PumpFacts,
    SystemFacts,
    TypeCap,
)
from drainservice.engine.interval.settings import FirmSettings, SeasonRule, Targets
from drainservice.engine.interval.yearly import MonthDay, Span
from drainservice.engine.reliability.history import PumpTest, SeenBy, SightKind
from drainservice.engine.reliability.prior import RatePrior
from drainservice.engine.reliability.rates import FloatKind, PumpClass
from drainservice.engine.units import YEAR_DAYS
from drainservice.inspections.models import (
    Defect,
    Down,
    FleetPrior,
    Look,
    Reading,
    SelfCheck,
    SelfCheckAnswer,
)
from drainservice.inspections.queries.trends import trends_of
from drainservice.register.models import Pump
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


@dataclass(frozen=True, slots=True)
class Gathered:
    """What a batch of systems has behind it, by system."""

    looks: dict[int, list[Look]]
    readings: dict[int, list[Reading]]
    checks: dict[int, list[SelfCheck]]
    downs: dict[int, list[Down]]
    defects: dict[int, list[Defect]]


def gather(system_ids: list[int]) -> Gathered:
    """Looks, readings, bucket tests, downs and defects of a batch, each in one statement.

    An inspection that was corrected counts no more; its correction does.
    """
    looks = (
        Look.objects.standing()
        .filter(
            inspection__system__in=system_ids,
            inspection__removed_at__isnull=True,
            inspection__closed_at__isnull=False,
            inspection__corrected_by__isnull=True,
        )
        .select_related("inspection", "pump")
        .order_by("inspection__on", "pk")
    )
    kept = list(looks)
    readings = Reading.objects.standing().filter(look__in=[look.pk for look in kept])
    by_look = {look.pk: look for look in kept}
    checks = SelfCheck.objects.standing().filter(system__in=system_ids).order_by("on", "pk")
    downs = (
        Down.objects.standing()
        .filter(pump__system__in=system_ids)
        .select_related("pump")
        .order_by("since_at")
    )
    defects = Defect.objects.standing().filter(system__in=system_ids).order_by("found_on", "pk")
    grouped_readings = defaultdict(list)
    for reading in readings:
        reading.look = by_look[reading.look_id]
        grouped_readings[reading.look.inspection.system_id].append(reading)
    return Gathered(
        looks=_grouped(kept, lambda look: look.inspection.system_id),
        readings=grouped_readings,
        checks=_grouped(checks, lambda check: check.system_id),
        downs=_grouped(downs, lambda down: down.pump.system_id),
        defects=_grouped(defects, lambda defect: defect.system_id),
    )


def facts_of(
    whole: Whole,
    behind: Gathered,
    *,
    settings: FirmSettings,
    priors: dict[str, RatePrior],
    at: datetime,
) -> SystemFacts:
    """Everything the due dates of one system are counted from.

    `priors` are those the firm's own tests have taught, by class of pump.
    """
    system = whole.system
    today = wall.today_in(whole.site.zone, at)
    looks = [look for look in behind.looks.get(system.pk, []) if look.inspection.on <= today]
    readings = behind.readings.get(system.pk, [])
    checks = [c for c in behind.checks.get(system.pk, []) if c.on <= today]
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
        tests=_tests(whole.pump, looks, checks, downs, whole.site.zone),
        looks=tuple(_look(look) for look in looks),
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
            if d.proven_at is None and d.pump.until_on is None
        ),
        household=_household(checks, looks),
        lid_unreachable_since=_unreachable_since(looks),
    )


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


def _grouped(rows: Iterable[Any], key: Any) -> dict[int, list[Any]]:
    groups: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        groups[key(row)].append(row)
    return groups


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


def _tests(
    pump: Pump | None,
    looks: list[Look],
    checks: list[SelfCheck],
    downs: list[Down],
    zone: str,
) -> tuple[PumpTest, ...]:
    """Every sight of the pump that is in the pit now, in order of the day."""
    if pump is None:
        return ()
    proven = {
        wall.local(d.since_at, zone).date(): (
            wall.local(d.proven_at, zone).date() if d.proven_at else None
        )
        for d in downs
        if d.pump_id == pump.pk
    }
    tests = [
        PumpTest(
            on=look.inspection.on,
            # Done in part, or a sheet's "ran", shows what a bucket shows and no more.
            kind=SightKind.PROOF if _is_full(look) else SightKind.BUCKET,
            passed=look.passed,
            tester=SeenBy.TECHNICIAN,
            mended_on=None if look.passed else proven.get(look.inspection.on),
        )
        for look in looks
        if look.kind == "pump"
        and look.passed is not None
        and look.pump_id in (None, pump.pk)
        and (pump.from_on is None or look.inspection.on >= pump.from_on)
    ]
    for check in checks:
        if check.answer == SelfCheckAnswer.COULD_NOT or check.proved_false_on is not None:
            continue
        passed = check.answer == SelfCheckAnswer.RAN_AND_STOPPED
        mended = None if passed else proven.get(check.on)
        tests.append(
            PumpTest(check.on, SightKind.BUCKET, passed, SeenBy.HOUSEHOLD, mended_on=mended)
        )
    return tuple(sorted(tests, key=lambda test: test.on))


def _is_full(look: Look) -> bool:
    return look.outcome == "done" and look.inspection.origin != "sheet"


def _look(look: Look) -> LookRecord:
    return LookRecord(
        LookKind(look.kind), look.inspection.on, LookOutcome(look.outcome), look.why_not
    )


def _household(checks: list[SelfCheck], looks: list[Look]) -> HouseholdRecord:
    """How the household's "it ran" stood up when somebody looked next."""
    right = wrong = 0
    seen = [x for x in looks if x.kind == "pump" and x.passed is not None]
    for check in checks:
        if check.answer != SelfCheckAnswer.RAN_AND_STOPPED:
            continue
        if check.proved_false_on is not None:
            wrong += 1
        elif any(look.passed and look.inspection.on >= check.on for look in seen):
            right += 1
    return HouseholdRecord(right, wrong)


def _unreachable_since(looks: list[Look]) -> date | None:
    since: date | None = None
    for look in looks:
        if look.why_not == "lid_covered":
            since = since or look.inspection.on
        elif look.outcome == "done":
            since = None
    return since


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
