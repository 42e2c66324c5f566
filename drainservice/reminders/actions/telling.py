"""What a fact about a visit makes us say, to whom and when. Repeating one doubles nothing."""

from typing import Any

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker
from drainservice.accounts.models import Person
from drainservice.reminders.actions.wanting import morning_before, overtake_earlier, want
from drainservice.reminders.models import Reminder, Use
from drainservice.reminders.queries.recipients import Recipient, household_of, recipients
from drainservice.reminders.queries.standing import MOVED_ON, was_perhaps_sent
from drainservice.visits.models import State, Visit
from jobs.queries import UNDER_WAY


def send_offer(*, asker: Asker, visit_id: int, sequence: int, **_: Any) -> None:
    """The offer now, and later a word to whoever has not answered."""
    visit = _standing(visit_id, sequence, State.OFFERED)
    if visit is None:
        return
    overtake_earlier(visit, asker=asker, words=MOVED_ON)
    for recipient in _recipients(visit):
        _now(visit, Use.OFFER, recipient, asker)
        _plan(visit, Use.ANSWER_WANTED, recipient, asker)


def invite(*, asker: Asker, visit_id: int, sequence: int, **_: Any) -> None:
    """The invitation now, and what to get ready some days before."""
    visit = _standing(visit_id, sequence, State.AGREED)
    if visit is None:
        return
    answered = "It has been agreed, so this stays here."
    overtake_earlier(visit, asker=asker, words=answered, but=[Use.CONFIRMATION])
    for recipient in _recipients(visit):
        _now(visit, Use.AGREED, recipient, asker)
        _plan(visit, Use.GET_READY, recipient, asker)


def send_update(*, asker: Asker, visit_id: int, sequence: int, **_: Any) -> None:
    """The new time now; then as for a new visit, since it is answered anew."""
    visit = _standing(visit_id, sequence, State.AGREED)
    if visit is None:
        return
    overtake_earlier(visit, asker=asker, words=MOVED_ON, but=[Use.CONFIRMATION])
    for recipient in _recipients(visit):
        _now(visit, Use.MOVED, recipient, asker)
        _plan(visit, Use.ANSWER_WANTED, recipient, asker)
        _plan(visit, Use.GET_READY, recipient, asker)


def send_cancellation(*, asker: Asker, visit_id: int, sequence: int, **_: Any) -> None:
    """To everyone ever told of it, also those who said no and those who have left since."""
    visit = Visit.objects.select_related("site").get(pk=visit_id)
    if visit.state != State.CALLED_OFF or visit.sequence != sequence:
        return
    words = "The visit is called off, so this stays here."
    told = _ever_told(visit)
    overtake_earlier(visit, asker=asker, words=words, but=[Use.CONFIRMATION])
    for recipient in told:
        _now(visit, Use.CALLED_OFF, recipient, asker)


def say_set_out(*, asker: Asker, visit_id: int, sequence: int, **_: Any) -> None:
    """We are on the way: at once, at any hour."""
    visit = _standing(visit_id, sequence, State.AGREED, State.AT_PIT)
    if visit is None:
        return
    overtake_earlier(
        visit, asker=asker, words="We have set out, so this stays here.", only=[Use.GET_READY]
    )
    for recipient in _recipients(visit):
        _now(visit, Use.SETTING_OUT, recipient, asker)


def say_not_reached(*, asker: Asker, visit_id: int, sequence: int, **_: Any) -> None:
    """We came and could not reach the lid."""
    visit = _standing(visit_id, sequence, State.NOT_REACHED)
    if visit is None:
        return
    words = "We came and could not reach the lid, so this stays here."
    overtake_earlier(visit, asker=asker, words=words, but=[Use.CONFIRMATION])
    for recipient in _recipients(visit):
        want(recipient, use=Use.NOT_REACHED, asker=asker, visit=visit, sequence=visit.sequence)


def _standing(visit_id: int, sequence: int, *states: str) -> Visit | None:
    """The visit, where it still is what the fact says; a later fact speaks for what it is now."""
    visit = Visit.objects.select_related("site").get(pk=visit_id)
    is_so = visit.sequence == sequence and visit.state in states and visit.removed_at is None
    return visit if is_so and visit.day is not None else None


def _recipients(visit: Visit) -> list[Recipient]:
    assert visit.day is not None
    return recipients(visit.site, visit.day)


def _now(visit: Visit, use: str, recipient: Recipient, asker: Asker) -> Reminder | None:
    return want(
        recipient,
        use=use,
        asker=asker,
        visit=visit,
        sequence=visit.sequence,
        expires_at=visit.window_ends_at,
    )


def _plan(visit: Visit, use: str, recipient: Recipient, asker: Asker) -> Reminder | None:
    """At 8:00 some days before; nothing where that moment has passed, as the mail of today says
    it all."""
    firm = accounts.the_firm()
    days = {Use.ANSWER_WANTED: firm.answer_wanted_days, Use.GET_READY: firm.get_ready_days}
    due_at = morning_before(visit, days[Use(use)], recipient)
    if due_at <= asker.at:
        return None
    return want(
        recipient,
        use=use,
        asker=asker,
        visit=visit,
        sequence=visit.sequence,
        due_at=due_at,
        expires_at=visit.window_ends_at,
    )


def _ever_told(visit: Visit) -> list[Recipient]:
    """Whoever got an offer or an invitation, or may be getting it at this moment."""
    rows = Reminder.objects.filter(visit=visit).select_related("person", "channel")
    sent = rows.filter(was_perhaps_sent()) | rows.filter(job__state__in=UNDER_WAY)
    day = wall.today_in(visit.site.zone, visit.called_off_at) if visit.called_off_at else visit.day
    found: dict[tuple[int, int], Recipient] = {}
    for row in sent.order_by("job__made_at"):
        person: Person = row.person
        household = household_of(person, day) if day else None
        found[(row.person_id, row.channel_id)] = Recipient(person, household, row.channel)
    return list(found.values())
