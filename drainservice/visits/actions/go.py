"""The day itself: setting out, at the pit, made, not reached."""

import uuid

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts.asker import Asker
from drainservice.accounts.text import clean_line
from drainservice.inspections.actions import record_inspection
from drainservice.inspections.models import Inspection, LookKind
from drainservice.inspections.models.record import InspectionRecord, LookRecord
from drainservice.register.queries import today_at
from drainservice.visits.actions.book import announce, need_state
from drainservice.visits.actions.drives import note_drive
from drainservice.visits.actions.rounds import raise_versions, round_of_visit
from drainservice.visits.models import State, Visit, VisitSystem


@transaction.atomic
def set_out(visit: Visit, *, asker: Asker) -> Visit:
    """On the way; the household is told once."""
    need_state(visit, State.AGREED)
    if visit.set_out_at is not None:
        return visit
    raise_versions([round_of_visit(visit)])
    history.keep(visit, asker=asker, set_out_at=asker.at)
    announce("visit.set_out", visit, asker)
    return visit


@transaction.atomic
def arrive(visit: Visit, *, asker: Asker) -> Visit:
    """At the pit. How long the drive took is learned from."""
    need_state(visit, State.AGREED, State.AT_PIT)
    if visit.state == State.AT_PIT:
        return visit
    raise_versions([round_of_visit(visit)])
    history.keep(visit, asker=asker, state=State.AT_PIT, arrived_at=asker.at)
    note_drive(visit)
    return visit


@transaction.atomic
def tie_inspection(visit: Visit, inspection: Inspection, *, asker: Asker) -> VisitSystem:
    """The inspection this visit produced at one of its systems; a system found there is added."""
    wanted = VisitSystem.objects.standing().filter(visit=visit, system=inspection.system).first()
    if wanted is None:
        wanted = history.enter(VisitSystem(visit=visit, system=inspection.system), asker=asker)
    return history.keep(wanted, asker=asker, inspection=inspection)


@transaction.atomic
def make_visit(visit: Visit, *, asker: Asker) -> Visit:
    """The visit was made; what was found stands in its inspections."""
    need_state(visit, State.AGREED, State.AT_PIT, State.MADE)
    if visit.state == State.MADE:
        return visit
    raise_versions([round_of_visit(visit)])
    return history.keep(
        visit,
        asker=asker,
        state=State.MADE,
        arrived_at=visit.arrived_at or asker.at,
        left_at=asker.at,
        needs_person_since=None,
    )


@transaction.atomic
def miss_visit(visit: Visit, *, asker: Asker, because: str, why_not: str = "") -> Visit:
    """We came and could not reach the lid. Coming again is a new visit.

    With `why_not` each look that was wanted is recorded as not done, so that its date stays and,
    where the lid is covered, making it reachable becomes due.
    """
    need_state(visit, State.AGREED, State.AT_PIT)
    raise_versions([round_of_visit(visit)])
    if why_not:
        _record_not_done(visit, asker, why_not)
    history.keep(
        visit,
        asker=asker,
        state=State.NOT_REACHED,
        not_reached_because=clean_line(because, most=200, what="The reason"),
        arrived_at=visit.arrived_at or asker.at,
        left_at=asker.at,
        needs_person_since=None,
    )
    announce("visit.not_reached", visit, asker)
    return visit


def _record_not_done(visit: Visit, asker: Asker, why_not: str) -> None:
    rows = VisitSystem.objects.standing().filter(visit=visit, inspection__isnull=True)
    for row in rows.select_related("system__site"):
        kinds = [k for k in dict.fromkeys(row.looks_wanted) if k in LookKind.values]
        looks = [LookRecord(k, "not_done", why_not=why_not) for k in kinds or [LookKind.LID.value]]
        on = today_at(visit.site, asker.at)
        record = InspectionRecord(id=uuid.uuid4(), on=on, looks=tuple(looks))
        tie_inspection(
            visit, record_inspection(row.system, asker=asker, record=record), asker=asker
        )
