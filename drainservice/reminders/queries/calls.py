"""The call list: whom no mail reaches, who never answered, whose address must be mended."""

from dataclasses import dataclass

from django.db.models import F, QuerySet

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker, NotFound
from drainservice.accounts.models import Person
from drainservice.reminders.models import Reminder, Use
from drainservice.reminders.queries.addresses import Addresses, addresses_of
from drainservice.visits.models import BOOKED, Answer, State, Visit
from jobs.queries import State as JobState

UNREACHED = [JobState.REFUSED, JobState.STOPPED, JobState.UNSURE]
MUST_BE_TOLD = [Use.OFFER, Use.AGREED, Use.MOVED, Use.CALLED_OFF, Use.NOT_REACHED]


@dataclass(frozen=True, slots=True)
class Call:
    """One person to ring about one visit: why, and by which numbers, best first."""

    visit: Visit
    person: Person
    why: str
    numbers: list[str]


def call_list(asker: Asker, *, most: int = 200) -> list[Call]:
    """Nearest visit first. Errors: NotFound for anyone but the office."""
    if not asker.is_office:
        raise NotFound
    ahead = (
        Visit.objects.standing()
        .filter(state__in=BOOKED, window_ends_at__gt=asker.at)
        .exclude(state__in=[State.AT_PIT, State.HELD])
        .select_related("site", "technician__person")
        .order_by("window_starts_at", "pk")
    )
    visits = list(ahead[:most])
    answered = _answered(visits)
    reasons = _undelivered(visits) | _silent(visits, answered)
    rung = {person.pk for person, _ in reasons.values()}
    addresses = addresses_of(site_ids=[visit.site_id for visit in visits], person_ids=rung)
    ready_days = accounts.the_firm().get_ready_days
    for visit in visits:
        left = (visit.day - wall.today_in(visit.site.zone, asker.at)).days if visit.day else 0
        is_answered = visit.pk in answered
        why = _to_be_said(visit, is_answered=is_answered, is_near=left <= ready_days)
        reasons |= _without_mail(visit, addresses, why)
    found = [
        Call(visit, person, why, addresses.numbers_of(person))
        for visit in visits
        for (visit_id, _), (person, why) in reasons.items()
        if visit_id == visit.pk
    ]
    return found[:most]


def numbers_of(person: Person) -> list[str]:
    """A person's telephone numbers, best first."""
    return addresses_of(person_ids=[person.pk]).numbers_of(person)


Reasons = dict[tuple[int, int], tuple[Person, str]]


def _without_mail(visit: Visit, addresses: Addresses, why: str) -> Reasons:
    """What a mail would have said to people whom none reaches, and is to be said by telephone."""
    if not why or visit.day is None:
        return {}
    people = addresses.without_mail(visit.site_id, visit.day)
    return {
        (visit.pk, person.pk): (person, f"No mail reaches them; {why} by telephone.")
        for person in people
    }


def _to_be_said(visit: Visit, *, is_answered: bool, is_near: bool) -> str:
    if visit.state == State.OFFERED:
        return "" if is_answered else "offer the time"
    # Agreed by telephone: they know of it, until it moves or comes near.
    if visit.was_moved and not is_answered:
        return "tell them the new time"
    return "remind them to get ready" if is_near else ""


def _undelivered(visits: list[Visit]) -> Reasons:
    """Whoever had to be told of a visit as it stands, and was not."""
    rows = _present(visits).filter(use__in=MUST_BE_TOLD, job__state__in=UNREACHED)
    return {
        (row.visit_id or 0, row.person_id): (
            row.person,
            row.job.last_error or "The mail did not arrive.",
        )
        for row in rows
    }


def _silent(visits: list[Visit], answered: set[int]) -> Reasons:
    """Asked twice and no answer: ring them."""
    asked = _present(visits).filter(
        use=Use.ANSWER_WANTED,
        visit__state=State.OFFERED,
        job__state__in=[JobState.SENT, JobState.UNSURE],
    )
    return {
        (row.visit_id or 0, row.person_id): (row.person, "Asked twice by mail, and no answer.")
        for row in asked.exclude(visit_id__in=answered)
    }


def _present(visits: list[Visit]) -> QuerySet[Reminder]:
    """Messages about the visits as they stand now."""
    return (
        Reminder.objects.filter(visit__in=visits, sequence=F("visit__sequence"))
        .select_related("person", "job")
        .defer("octets")
    )


def _answered(visits: list[Visit]) -> set[int]:
    answers = Answer.objects.filter(visit__in=visits, sequence=F("visit__sequence"))
    return set(answers.values_list("visit_id", flat=True))
