"""What was measured, mended and said at a system, and its trends."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal
from uuid import UUID

from django.db.models import Exists, OuterRef

from drainservice.accounts import wall
from drainservice.accounts.asker import Asker, NotFound
from drainservice.inspections.models import (
    Defect,
    Down,
    Inspection,
    LookKind,
    Recommendation,
    Result,
    SelfCheck,
    SelfCheckAnswer,
    WhyNot,
)
from drainservice.inspections.queries.gathered import gather
from drainservice.inspections.queries.trends import Course, courses_of
from drainservice.register import queries as register
from drainservice.register.models import System
from drainservice.register.queries import systems_for


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a system's bore log."""

    on: date
    sort: Literal["measured", "mended", "said"]
    words: str
    inspection_id: UUID | None = None


def inspection_for(asker: Asker, inspection_id: UUID) -> Inspection:
    """One inspection of a system the asker may see; a household sees none from before its time.

    Errors: NotFound.
    """
    rows = Inspection.objects.standing().filter(system__in=systems_for(asker))
    if asker.is_household:
        theirs = register.parts_of_household(asker).filter(
            site=OuterRef("system__site"), starts_on__lte=OuterRef("on")
        )
        rows = rows.filter(Exists(theirs))
    found = rows.filter(pk=inspection_id).select_related("system__site", "person__person").first()
    if found is None:
        raise NotFound
    return found  # type: ignore[no-any-return]


def inspections_of(system: System) -> list[Inspection]:
    """All inspections of a system, newest first, with looks, readings and results."""
    rows = (
        Inspection.objects.standing()
        .filter(system=system)
        .select_related("person__person", "corrected_by")
        .prefetch_related("looks__readings", "looks__results", "photos")
    )
    return list(rows.order_by("-on", "-closed_at"))


def defects_of(system: System) -> list[Defect]:
    """Open defects, oldest first."""
    return list(
        Defect.objects.standing().filter(system=system, mended_on__isnull=True).order_by("found_on")
    )


def recommendations_of(system: System) -> list[Recommendation]:
    """What we advised, newest first."""
    return list(Recommendation.objects.standing().filter(system=system).order_by("-told_on", "-pk"))


def downs_for(asker: Asker) -> list[Down]:
    """Pumps found dead and not proven again, longest first."""
    rows = Down.objects.standing().filter(
        proven_at__isnull=True,
        pump__until_on__isnull=True,
        pump__system__in=systems_for(asker),
    )
    return list(rows.select_related("pump__system__site").order_by("since_at"))


def last_result(system: System, what: str) -> Result | None:
    """The newest result of a sum at a system."""
    return (
        Result.objects.standing()
        .filter(
            look__inspection__system=system,
            look__inspection__corrected_by__isnull=True,
            look__inspection__removed_at__isnull=True,
            what=what,
        )
        .exclude(verdict="")
        .select_related("look__inspection")
        .order_by("-look__inspection__on", "-pk")
        .first()
    )


def courses_for(system: System, *, today: date) -> list[Course]:
    """Trends of drain time and silt, where they can be counted."""
    whole = register.whole(system, day=today)
    readings = gather([system.pk]).readings.get(system.pk, [])
    is_ours = system.origin == "ours" and system.installed_on is not None
    since = system.installed_on if is_ours and system.installed_on else system.entered_on
    return courses_of(whole, readings, min(since, today), today)


def history_of(system: System, *, since: date | None = None) -> list[Entry]:
    """The bore log, newest on top. `since`: what a household may see of its own tenure."""
    entries = [*_measured(system), *_mended(system), *_said(system)]
    kept = [e for e in entries if since is None or e.on >= since]
    return sorted(kept, key=lambda e: e.on, reverse=True)


def _measured(system: System) -> list[Entry]:
    entries = []
    for inspection in inspections_of(system):
        entries.append(Entry(inspection.on, "measured", _look_words(inspection), inspection.pk))
    return entries


def _look_words(inspection: Inspection) -> str:
    done, not_done = [], []
    for look in inspection.looks.all():
        name = LookKind(look.kind).label
        if look.outcome == "not_done":
            not_done.append(f"{name}: not done, {WhyNot(look.why_not).label}")
            continue
        says = [r.verdict_words for r in look.results.all() if r.verdict]
        if look.kind == "pump" and look.passed is not None:
            says.insert(0, "it ran and stopped" if look.passed else "it did not pump")
        done.append(f"{name}: {'; '.join(says)}" if says else name)
    told = [words[0].upper() + words[1:] for words in [*done, *not_done]]
    words = ". ".join(told) or "Nothing was looked at"
    was = " (corrected later)" if hasattr(inspection, "corrected_by") else ""
    return f"{words}.{was}"


def _mended(system: System) -> list[Entry]:
    entries = []
    for defect in Defect.objects.standing().filter(system=system):
        name = defect.kind.replace("_", " ")
        entries.append(Entry(defect.found_on, "said", f"Found: {name}."))
        if defect.mended_on is not None:
            entries.append(Entry(defect.mended_on, "mended", f"Mended: {name}."))
    for down in Down.objects.standing().filter(pump__system=system).select_related("pump"):
        zone = system.site.zone
        entries.append(Entry(_day(down.since_at, zone), "said", "The pump was found dead."))
        if down.proven_at is not None:
            entries.append(
                Entry(_day(down.proven_at, zone), "mended", "The pump was proven to run again.")
            )
    for pump in system.pumps.filter(removed_at__isnull=True, until_on__isnull=False):
        because = f" ({pump.until_because})" if pump.until_because else ""
        entries.append(Entry(pump.until_on, "mended", f"The pump was replaced{because}."))
    return entries


def _said(system: System) -> list[Entry]:
    entries = []
    for check in SelfCheck.objects.standing().filter(system=system):
        says = SelfCheckAnswer(check.answer).label
        false = " It proved false." if check.proved_false_on else ""
        entries.append(Entry(check.on, "said", f"Bucket test by the household: {says}.{false}"))
    for advice in recommendations_of(system):
        if advice.told_on is not None:
            answer = f" They {advice.get_answer_display()}." if advice.answer else ""
            entries.append(Entry(advice.told_on, "said", f"We advised: {advice.what}.{answer}"))
    return entries


def _day(at: datetime, zone: str) -> date:
    return wall.local(at, zone).date()
