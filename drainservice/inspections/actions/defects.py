"""Opening and mending defects: what the rules find, and what was found on site."""

from datetime import date

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts.asker import Asker
from drainservice.engine.asbuilt.check import defects_of
from drainservice.inspections.models import Defect, Inspection, Recommendation
from drainservice.register import queries as register
from drainservice.register.models import Status, System


@transaction.atomic
def check_as_built(*, asker: Asker, system_id: int) -> list[Defect]:
    """Run the as-built rules over one system: open what they find, mend what no longer holds.

    A defect that was found on site stays until someone mends it, whatever the rules say.
    """
    system = System.objects.standing().select_related("site").filter(pk=system_id).first()
    if system is None or system.status == Status.DUG_OUT:
        return []
    today = register.today_at(system.site, asker.at)
    whole = register.whole(system, day=today)
    found = {
        (str(f.kind), str(f.part)): f
        for f in defects_of(register.as_built_of(whole))
        if f.is_defect
    }
    kinds = {kind for kind, _ in found}
    standing = list(Defect.objects.standing().filter(system=system, mended_on__isnull=True))
    for defect in standing:
        if defect.by_rule and defect.kind not in kinds:
            history.keep(defect, asker=asker, mended_on=max(today, defect.found_on))
    open_kinds = {d.kind for d in standing}
    made = []
    for (kind, part), finding in found.items():
        if kind in open_kinds:
            continue
        row = Defect(
            system=system,
            kind=kind,
            part=part,
            by_rule=True,
            found_on=today,
            note=finding.consequence[:1000],
        )
        made.append(history.enter(row, asker=asker))
    return made


@transaction.atomic
def find_defect(
    system: System,
    *,
    asker: Asker,
    kind: str,
    part: str,
    note: str,
    found_on: date,
    inspection: Inspection | None = None,
) -> Defect:
    """Something found wrong on site; one open defect of a kind is enough."""
    standing = Defect.objects.standing().filter(system=system, kind=kind, mended_on__isnull=True)
    found = standing.first()
    if found is not None:
        return found  # type: ignore[no-any-return]
    row = Defect(
        system=system, kind=kind, part=part, note=note, found_on=found_on, inspection=inspection
    )
    return history.enter(row, asker=asker)


@transaction.atomic
def mend_defect(
    defect: Defect, *, asker: Asker, on: date, inspection: Inspection | None = None
) -> Defect:
    """It was mended on that day."""
    return history.keep(defect, asker=asker, mended_on=on, mended_by=inspection)


@transaction.atomic
def recommend(
    system: System, *, asker: Asker, what: str, why: str, defect: Defect | None = None
) -> Recommendation:
    """What we advise, and that we told it today."""
    row = Recommendation(
        system=system,
        what=what,
        why=why,
        defect=defect,
        told_on=register.today_at(system.site, asker.at),
    )
    return history.enter(row, asker=asker)


@transaction.atomic
def answer_recommendation(
    recommendation: Recommendation, *, asker: Asker, answer: str, on: date
) -> Recommendation:
    """Agreed, declined, or no answer."""
    return history.keep(recommendation, asker=asker, answer=answer, answered_on=on)
