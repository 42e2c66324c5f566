"""What was seen of a system, as the engine's evidence."""

from datetime import date
from uuid import UUID

from drainservice.accounts import wall
from drainservice.engine.interval.facts import (
    HouseholdRecord,
    LookKind,
    LookOutcome,
    LookRecord,
)
from drainservice.engine.reliability.history import PumpTest, SeenBy, SightKind
from drainservice.inspections.models import Down, Look, SelfCheck, SelfCheckAnswer
from drainservice.register.models import Pump

# Looks for which the lid is opened.
UNDER_THE_LID = {"first_look", "pump", "percolation", "sediment", "valve", "lid"}


def tests_of(
    pump: Pump | None,
    looks: list[Look],
    checks: list[SelfCheck],
    downs: list[Down],
    zone: str,
) -> tuple[PumpTest, ...]:
    """Every sight of the pump that is in the pit now, in order of the day."""
    if pump is None:
        return ()
    spells = [_spell(down, zone) for down in downs if down.pump_id == pump.pk]
    first_on = pump.from_on or date.min
    tests = [
        PumpTest(
            on=look.inspection.on,
            # Done in part, or a sheet's "ran", shows what a bucket shows and no more.
            kind=SightKind.PROOF if _is_full(look) else SightKind.BUCKET,
            passed=look.passed,
            tester=SeenBy.TECHNICIAN,
            mended_on=None if look.passed else _mended_on(look.inspection.on, spells),
        )
        for look in looks
        if look.kind == "pump"
        and look.passed is not None
        and look.pump_id in (None, pump.pk)
        and look.inspection.on >= first_on
    ]
    for check in checks:
        if check.answer == SelfCheckAnswer.COULD_NOT or check.proved_false_on is not None:
            continue
        if check.on < first_on:
            continue
        passed = check.answer == SelfCheckAnswer.RAN_AND_STOPPED
        mended = None if passed else _mended_on(check.on, spells)
        tests.append(
            PumpTest(check.on, SightKind.BUCKET, passed, SeenBy.HOUSEHOLD, mended_on=mended)
        )
    return tuple(sorted(tests, key=lambda test: test.on))


def _spell(down: Down, zone: str) -> tuple[date, date | None]:
    """First and last day of a pump's being down; no last day while it is."""
    proven_on = wall.local(down.proven_at, zone).date() if down.proven_at else None
    return wall.local(down.since_at, zone).date(), proven_on


def _mended_on(day: date, spells: list[tuple[date, date | None]]) -> date | None:
    """When what was found dead on a day was proven again."""
    covering = [end for start, end in spells if start <= day and (end is None or day <= end)]
    return covering[0] if covering else None


def _is_full(look: Look) -> bool:
    return look.outcome == "done" and look.inspection.origin != "sheet"


def look_record(look: Look) -> LookRecord:
    """One look as the engine counts it."""
    return LookRecord(
        LookKind(look.kind), look.inspection.on, LookOutcome(look.outcome), look.why_not
    )


def household_record(checks: list[SelfCheck], looks: list[Look]) -> HouseholdRecord:
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


def unreachable_since(looks: list[Look]) -> date | None:
    """Since when the lid could not be reached; None while it can.

    `looks` in order of the day. An outlet that was seen does not open the lid.
    """
    visits: dict[UUID, list[Look]] = {}
    for look in looks:
        visits.setdefault(look.inspection_id, []).append(look)
    since: date | None = None
    for seen in visits.values():
        if any(look.why_not == "lid_covered" for look in seen):
            since = since or seen[0].inspection.on
        elif any(look.kind in UNDER_THE_LID and look.outcome != "not_done" for look in seen):
            since = None
    return since
