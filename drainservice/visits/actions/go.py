"""The day itself: setting out, at the pit, made, not reached."""

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts.asker import Asker
from drainservice.inspections.models import Inspection
from drainservice.visits.actions.book import announce, need_state
from drainservice.visits.models import State, Visit, VisitSystem


@transaction.atomic
def set_out(visit: Visit, *, asker: Asker) -> Visit:
    """On the way; the household is told once."""
    need_state(visit, State.AGREED)
    if visit.set_out_at is not None:
        return visit
    history.keep(visit, asker=asker, set_out_at=asker.at)
    announce("visit.set_out", visit, asker)
    return visit


@transaction.atomic
def arrive(visit: Visit, *, asker: Asker) -> Visit:
    """At the pit."""
    need_state(visit, State.AGREED, State.AT_PIT)
    if visit.state == State.AT_PIT:
        return visit
    return history.keep(visit, asker=asker, state=State.AT_PIT, arrived_at=asker.at)


@transaction.atomic
def tie_inspection(visit: Visit, inspection: Inspection, *, asker: Asker) -> VisitSystem:
    """The inspection this visit produced at one of its systems; a system found there is added."""
    wanted = VisitSystem.objects.standing().filter(visit=visit, system=inspection.system).first()
    if wanted is None:
        wanted = history.enter(VisitSystem(visit=visit, system=inspection.system), asker=asker)
    return history.keep(wanted, asker=asker, inspection=inspection)  # type: ignore[no-any-return]


@transaction.atomic
def make_visit(visit: Visit, *, asker: Asker) -> Visit:
    """The visit was made; what was found stands in its inspections."""
    need_state(visit, State.AGREED, State.AT_PIT, State.MADE)
    if visit.state == State.MADE:
        return visit
    return history.keep(
        visit,
        asker=asker,
        state=State.MADE,
        arrived_at=visit.arrived_at or asker.at,
        left_at=asker.at,
        needs_person_since=None,
    )


@transaction.atomic
def miss_visit(visit: Visit, *, asker: Asker, because: str) -> Visit:
    """We came and could not reach the lid. Coming again is a new visit."""
    need_state(visit, State.AGREED, State.AT_PIT)
    history.keep(
        visit,
        asker=asker,
        state=State.NOT_REACHED,
        not_reached_because=because,
        left_at=asker.at,
        needs_person_since=None,
    )
    announce("visit.not_reached", visit, asker)
    return visit
