"""What was seen of a system, as the engine's evidence."""

from datetime import date

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
    """Since when the lid could not be reached; None while it can."""
    since: date | None = None
    for look in looks:
        if look.why_not == "lid_covered":
            since = since or look.inspection.on
        elif look.outcome == "done":
            since = None
    return since
