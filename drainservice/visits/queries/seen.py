"""Visits as an asker may see them, and when a technician is free."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.core.exceptions import ObjectDoesNotExist
from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from drainservice.accounts.asker import Asker, NotFound
from drainservice.accounts.models import Account
from drainservice.inspections.models import Inspection
from drainservice.register.models import Site, System
from drainservice.register.queries import parts_of_household, sites_for
from drainservice.visits.models import BOOKED, OPEN, Answer, State, Visit, VisitSystem

LINK_OUTLIVES_VISIT = timedelta(days=30)


def visits_for(asker: Asker) -> QuerySet[Visit]:
    """Visits this asker may see: the office all; a technician those on sites that are open to
    them; a household those on its sites that it was told of."""
    visits: QuerySet[Visit] = (
        Visit.objects.standing()
        .select_related("site", "technician__person")
        .prefetch_related(
            Prefetch(
                "visit_systems",
                queryset=VisitSystem.objects.standing().select_related("system"),
                to_attr="wanted",
            )
        )
    )
    if asker.is_office:
        return visits
    visits = visits.filter(site__in=sites_for(asker))
    if asker.is_household:
        # What was agreed with those who lived there before is not theirs to read.
        theirs = parts_of_household(asker).filter(
            site=OuterRef("site"), starts_on__lte=OuterRef("day")
        )
        return visits.filter(Exists(theirs)).exclude(state__in=[State.PLANNED, State.HELD])
    return visits


def visit_for(asker: Asker, visit_id: int) -> Visit:
    """One visit. Errors: NotFound, the same for missing and foreign."""
    try:
        return visits_for(asker).get(pk=visit_id)
    except (ObjectDoesNotExist, ValueError, OverflowError):
        raise NotFound from None


def round_of(asker: Asker, technician: Account, day: date) -> list[Visit]:
    """One technician's visits of a day, in order. A technician sees only their own."""
    if asker.is_technician and asker.account_id != technician.pk:
        raise NotFound
    visits = (
        visits_for(asker).filter(technician=technician, day=day).exclude(state=State.CALLED_OFF)
    )
    return list(visits.order_by("slot_starts_at", "pk"))


def visits_on(asker: Asker, day: date) -> list[Visit]:
    """All visits of a day in order of technician and time."""
    visits = visits_for(asker).filter(day=day).exclude(state=State.CALLED_OFF)
    return list(visits.order_by("technician__handle", "slot_starts_at", "pk"))


def open_visits_of(system: System) -> QuerySet[Visit]:
    """Visits that still lie ahead of a system."""
    found: QuerySet[Visit] = Visit.objects.standing().filter(
        visit_systems__system=system, visit_systems__removed_at__isnull=True, state__in=OPEN
    )
    return found.order_by("day", "pk")


def visits_of_site(asker: Asker, site: Site) -> QuerySet[Visit]:
    """All visits to a site, newest first."""
    return visits_for(asker).filter(site=site).order_by("-day", "-pk")


def latest_answers(visit: Visit) -> list[Answer]:
    """Each person's last answer to the visit as it stands now."""
    last: dict[int | None, Answer] = {}
    rows = Answer.objects.filter(visit=visit, sequence=visit.sequence).select_related("person")
    for answer in rows.order_by("at", "pk"):
        last[answer.person_id] = answer
    return list(last.values())


def answers_to_deal_with(asker: Asker) -> list[Visit]:
    """Visits that wait for a person to settle an answer, oldest first."""
    return list(
        visits_for(asker)
        .filter(needs_person_since__isnull=False, state__in=OPEN)
        .order_by("needs_person_since", "pk")
    )


def unanswered(asker: Asker, *, today: date) -> list[Visit]:
    """Offers to which nobody has said anything, nearest first."""
    offers = visits_for(asker).filter(
        state=State.OFFERED, day__gte=today, needs_person_since__isnull=True
    )
    return list(offers.order_by("day", "pk"))


def visit_under_way(asker: Asker, system: System, *, day: date) -> Visit | None:
    """The asker's own visit to a system on that day, agreed or at the pit."""
    own = visits_for(asker).filter(
        technician_id=asker.account_id or 0,
        day=day,
        state__in=[State.AGREED, State.AT_PIT],
        visit_systems__system=system,
        visit_systems__removed_at__isnull=True,
    )
    return own.order_by("slot_starts_at", "pk").first()


@dataclass(frozen=True, slots=True)
class Beside:
    """What stands beside a system in a list: the visit ahead, the last answer, the last look."""

    visit: Visit | None
    answer: Answer | None
    inspection: Inspection | None


def beside_systems(asker: Asker, system_ids: Iterable[int]) -> dict[int, Beside]:
    """The next open visit, last answer and last inspection of each, in a fixed number of
    statements."""
    ids = list(system_ids)
    rows = VisitSystem.objects.standing().filter(system__in=ids)
    systems_of: dict[int, list[int]] = {}
    for visit_id, system_id in rows.values_list("visit_id", "system_id"):
        systems_of.setdefault(visit_id, []).append(system_id)
    visits: dict[int, Visit] = {}
    ahead = visits_for(asker).filter(pk__in=systems_of, state__in=OPEN)
    for visit in ahead.order_by("-day", "-pk"):
        visits |= dict.fromkeys(systems_of[visit.pk], visit)
    answers: dict[int, Answer] = {}
    said = Answer.objects.filter(visit__in=systems_of).select_related("person", "visit")
    for answer in said.order_by("at", "pk"):
        answers |= dict.fromkeys(systems_of[answer.visit_id], answer)
    closed = Inspection.objects.standing().filter(system__in=ids, closed_at__isnull=False)
    looked = closed.filter(corrected_by__isnull=True).prefetch_related("looks__results")
    last = {row.system_id: row for row in looked.order_by("on", "pk")}
    return {pk: Beside(visits.get(pk), answers.get(pk), last.get(pk)) for pk in ids}


def last_words(visit: Visit) -> list[Answer]:
    """Each person's last answer to a visit, at whatever time it was offered, newest first."""
    last: dict[int | None, Answer] = {}
    for answer in Answer.objects.filter(visit=visit).select_related("person").order_by("at", "pk"):
        last[answer.person_id] = answer
    return sorted(last.values(), key=lambda answer: (answer.at, answer.pk), reverse=True)


def visits_ahead_of(technician: Account, *, at: datetime) -> QuerySet[Visit]:
    """Booked visits whose promised window is not over, to which this technician goes."""
    ahead: QuerySet[Visit] = Visit.objects.standing().filter(
        technician=technician, state__in=BOOKED, window_ends_at__gt=at
    )
    return ahead


def is_long_over(visit_id: int | None, *, at: datetime) -> bool:
    """Whether the visit of a mail's link ended so long ago that the link ends, too."""
    if visit_id is None:
        return False
    over = Visit.objects.filter(pk=visit_id, window_ends_at__lt=at - LINK_OUTLIVES_VISIT)
    return over.exists()


def to_book_until(asker: Asker, last: date) -> QuerySet[Visit]:
    """Planned visits meant for a week that has begun by that day, which stand in no offer: whom to
    book next, what is past due soonest first."""
    rows = visits_for(asker).filter(state=State.PLANNED, meant_for__lte=last)
    return rows.order_by("meant_for", "wanted_by", "pk")


def end_of_next_week(day: date) -> date:
    """The Sunday of the week after the one a day lies in."""
    return day + timedelta(days=13 - day.weekday())
