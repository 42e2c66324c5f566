"""An inspection recorded on a visit: stored once, tied to the visit, the visit made when whole."""

from django.db import transaction

from drainservice.accounts.asker import Asker
from drainservice.inspections.actions import record_inspection
from drainservice.inspections.models import Inspection
from drainservice.inspections.models.record import InspectionRecord
from drainservice.register.models import System
from drainservice.visits.actions.go import make_visit, tie_inspection
from drainservice.visits.models import State, Visit, VisitSystem

UNDER_WAY = {State.AGREED, State.AT_PIT, State.MADE}


@transaction.atomic
def record_at_visit(
    system: System, *, asker: Asker, record: InspectionRecord, visit: Visit | None
) -> Inspection:
    """Record what was found; when every system of the visit has its inspection, the visit is made.

    The same record again changes nothing. A correction, and what was found without a visit or at
    one that is not under way, is stored and tied to none.
    """
    inspection = record_inspection(system, asker=asker, record=record)
    if visit is None or record.corrects is not None or visit.state not in UNDER_WAY:
        return inspection
    rows = VisitSystem.objects.standing().filter(visit=visit)
    if rows.filter(system=system, inspection__isnull=False).exists():
        return inspection
    tie_inspection(visit, inspection, asker=asker)
    if not rows.filter(inspection__isnull=True).exists():
        make_visit(visit, asker=asker)
    return inspection
