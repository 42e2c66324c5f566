"""What followed from an inspection that was corrected is taken back."""

from drainservice.accounts import history
from drainservice.accounts.asker import Asker
from drainservice.inspections.models import Defect, Down, Inspection, SelfCheck


def take_back(wrong: Inspection, *, asker: Asker) -> None:
    """Downs, proofs, defects, mendings, false answers that rest on it; repeating adds nothing."""
    _take_back_downs(wrong, asker)
    _take_back_defects(wrong, asker)
    doubted = SelfCheck.objects.standing().filter(system=wrong.system_id, proved_false_on=wrong.on)
    history.keep_many(doubted, asker=asker, proved_false_on=None)


def _take_back_downs(wrong: Inspection, asker: Asker) -> None:
    for down in Down.objects.standing().filter(found_by__inspection=wrong):
        history.remove(down, asker=asker)
    for down in Down.objects.standing().filter(proven_by__inspection=wrong):
        still_down = Down.objects.standing().filter(pump=down.pump_id, proven_at__isnull=True)
        if not still_down.exists():
            history.keep(down, asker=asker, proven_at=None, proven_by=None)


def _take_back_defects(wrong: Inspection, asker: Asker) -> None:
    for defect in Defect.objects.standing().filter(inspection=wrong):
        history.remove(defect, asker=asker)
    for defect in Defect.objects.standing().filter(mended_by=wrong):
        open_now = Defect.objects.standing().filter(
            system=defect.system_id,
            kind=defect.kind,
            pump=defect.pump_id,
            mended_on__isnull=True,
        )
        if not open_now.exists():
            history.keep(defect, asker=asker, mended_on=None, mended_by=None)
