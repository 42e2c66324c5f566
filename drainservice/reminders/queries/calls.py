"""The call list: whom no mail reaches, who never answered, whose address must be mended."""

from dataclasses import dataclass

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, NotFound
from drainservice.accounts.models import ChannelKind, Person
from drainservice.reminders.models import Reminder, Use
from drainservice.reminders.queries.recipients import people_without_mail
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
        .select_related("site")
        .order_by("window_starts_at", "pk")
    )
    found: dict[tuple[int, int], Call] = {}
    for visit in ahead[:most]:
        for person, why in [*_without_mail(visit), *_undelivered(visit), *_silent(visit)]:
            call = Call(visit, person, why, numbers_of(person))
            found.setdefault((visit.pk, person.pk), call)
    return list(found.values())[:most]


def numbers_of(person: Person) -> list[str]:
    """A person's telephone numbers, best first."""
    phones = accounts.channels_of(person).filter(kind=ChannelKind.TELEPHONE)
    return list(phones.values_list("address", flat=True))


def _without_mail(visit: Visit) -> list[tuple[Person, str]]:
    if visit.day is None or _is_answered(visit):
        return []
    people = people_without_mail(visit.site, visit.day)
    return [(person, "No mail reaches them; tell them by telephone.") for person in people]


def _undelivered(visit: Visit) -> list[tuple[Person, str]]:
    """Whoever had to be told of the visit as it stands, and was not."""
    rows = Reminder.objects.filter(
        visit=visit,
        sequence=visit.sequence,
        use__in=MUST_BE_TOLD,
        job__state__in=UNREACHED,
    ).select_related("person", "job")
    return [(row.person, row.job.last_error or "The mail did not arrive.") for row in rows]


def _silent(visit: Visit) -> list[tuple[Person, str]]:
    """Asked twice and no answer: ring them."""
    if _is_answered(visit) or visit.state != State.OFFERED:
        return []
    asked = Reminder.objects.filter(
        visit=visit,
        sequence=visit.sequence,
        use=Use.ANSWER_WANTED,
        job__state__in=[JobState.SENT, JobState.UNSURE],
    ).select_related("person")
    return [(row.person, "Asked twice by mail, and no answer.") for row in asked]


def _is_answered(visit: Visit) -> bool:
    return Answer.objects.filter(visit=visit, sequence=visit.sequence).exists()
