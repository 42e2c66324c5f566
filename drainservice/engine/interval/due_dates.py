"""All due dates of one system, each with its reason."""

from datetime import date

from drainservice.engine.interval import MODEL_VERSION
from drainservice.engine.interval.due import DueDates, DueKind
from drainservice.engine.interval.facts import SystemFacts
from drainservice.engine.interval.frost_due import frost_dues
from drainservice.engine.interval.look_due import looks_due
from drainservice.engine.interval.mend_due import (
    access_dues,
    lid_is_unreachable,
    mend_dues,
    pump_mend_by,
)
from drainservice.engine.interval.plain import from_plain
from drainservice.engine.interval.pump_belief import believe_pump
from drainservice.engine.interval.pump_due import pump_due


class AsBuiltMissing(ValueError):
    """A system has no as-built record, not even an unknown one."""


class AsBuiltOutOfOrder(ValueError):
    """The as-built records do not run from the oldest to the newest."""


class DatedAfterToday(ValueError):
    """A look, test or entry lies in the future."""


class CountedByAnotherModel(ValueError):
    """A stored result was counted by another version of the model."""


def due_dates(facts: SystemFacts, *, today: date) -> DueDates:
    """Every due date of one system, the earliest first.

    Per kind of look the earliest of: interval from the failure rate (pump), half the time to the
    limit (percolation, sediment), the window before each wet season that needs it, the rules and
    caps; never in hard frost. Only looks that were done count as done. `today` decides only
    which household answers are from the last year and which autumn or spring is past; no date
    recedes from night to night.
    Raises AsBuiltMissing, AsBuiltOutOfOrder, DatedAfterToday, and the named errors of the values
    inside.
    """
    _refuse_impossible(facts, today)
    can_be_judged = not lid_is_unreachable(facts)
    dues = [*looks_due(facts, can_be_judged), *frost_dues(facts, today, can_be_judged)]
    dead_since: date | None = None
    if facts.pump is not None:
        known = believe_pump(facts, facts.pump, today)
        dead_since = known.dead_since
        mend_by = pump_mend_by(facts, dead_since)
        dues.append(pump_due(facts, facts.pump, known, mend_by, can_be_judged))
    dues += [*mend_dues(facts, dead_since), *access_dues(facts)]
    kinds = list(DueKind)
    ordered = sorted(dues, key=lambda due: (due.due_on, kinds.index(due.kind), due.defect))
    return DueDates(MODEL_VERSION, today, facts, tuple(ordered))


def read_stored(stored: dict[str, object]) -> DueDates:
    """What was stored, as it was, whatever version counted it."""
    return from_plain(DueDates, stored)


def replay(stored: dict[str, object]) -> DueDates:
    """Count again from the stored inputs; the same version gives the same dates and reasons.

    Raises CountedByAnotherModel where the version differs: read it with `read_stored` instead.
    """
    before = read_stored(stored)
    if before.model_version != MODEL_VERSION:
        raise CountedByAnotherModel(
            f"These dates were counted by model {before.model_version}, this is {MODEL_VERSION}. "
            "Read them as stored, or count anew and compare."
        )
    return due_dates(before.facts, today=before.today)


def _refuse_impossible(facts: SystemFacts, today: date) -> None:
    if not facts.as_built:
        raise AsBuiltMissing(
            "Give at least one as-built record for this system; all of it may be unknown."
        )
    since = [entry.since for entry in facts.as_built]
    if since != sorted(since):
        raise AsBuiltOutOfOrder(
            f"The as-built records begin on {', '.join(map(str, since))}; give the oldest first."
        )
    dated = [("came to us", facts.origin_on)]
    dated += [(f"had its {look.kind} look", look.on) for look in facts.looks]
    dated += [("was tested", test.on) for test in facts.tests]
    dated += [("went down", down.since) for down in facts.down]
    late = next(((what, on) for what, on in dated if on > today), None)
    if late is not None:
        raise DatedAfterToday(
            f"The system {late[0]} on {late[1]}, which is after {today}. Correct that date."
        )
