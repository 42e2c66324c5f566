"""Is a message still true when it is about to go out? If not, why, in words."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Q, QuerySet

from drainservice.accounts import links, wall
from drainservice.accounts.models import Firm, Household
from drainservice.reminders.models import Reminder, Suppression, Use
from drainservice.reminders.queries.recipients import household_of
from drainservice.reminders.queries.uses import (
    ASKS,
    AT_ANY_HOUR,
    CAN_BE_STOPPED,
    INVITES,
    OF_A_STANDING_VISIT,
)
from drainservice.visits.models import Answer, State, Visit
from jobs.outcome import Ended, Later
from jobs.queries import UNDER_WAY
from jobs.queries import State as JobState

YEAR = timedelta(days=365)
MOVED_ON = "The visit has moved, so this stays here."
MAYBE_SENT = [JobState.SENT, JobState.UNSURE]
NOT_SENT = [JobState.REFUSED, JobState.STOPPED, JobState.OVERTAKEN, JobState.TOO_LATE]
STANDS_FOR: dict[str, set[str]] = {
    Use.OFFER: {State.OFFERED},
    Use.AGREED: {State.AGREED},
    Use.MOVED: {State.AGREED},
    Use.ANSWER_WANTED: {State.OFFERED, State.AGREED},
    Use.GET_READY: {State.AGREED},
    Use.SETTING_OUT: {State.AGREED, State.AT_PIT},
}


@dataclass(frozen=True, slots=True)
class Told:
    """A message with what it is judged and written by."""

    reminder: Reminder
    visit: Visit | None
    household: Household | None
    firm: Firm
    zone: str


def told(reminder: Reminder, firm: Firm, *, at: datetime) -> Told:
    """The message with its household as it is today."""
    visit = reminder.visit
    zone = visit.site.zone if visit is not None else firm.zone
    household = household_of(reminder.person, wall.today_in(zone, at))
    return Told(reminder, visit, household, firm, zone)


def judge(one: Told, *, at: datetime) -> Ended | Later | None:
    """None: it is still true and may go out now."""
    return (
        _visit_went_on(one, at)
        or _address_is_bad(one, at)
        or _is_stopped(one, at)
        or _nothing_to_take_back(one, at)
        or _is_answered(one)
        or _asked_enough(one, at)
        or _quiet(one, at)
    )


def _visit_went_on(one: Told, at: datetime) -> Ended | None:
    visit, use = one.visit, one.reminder.use
    if visit is None or use not in OF_A_STANDING_VISIT:
        return None
    if visit.sequence != one.reminder.sequence:
        return Ended("overtaken", MOVED_ON)
    if visit.state not in STANDS_FOR[use]:
        label = State(visit.state).label
        return Ended("overtaken", f"The visit is {label} now, so this stays here.")
    if visit.window_ends_at is not None and visit.window_ends_at <= at:
        return Ended("too_late", "The visit is over, so this stays here.")
    return None


def _address_is_bad(one: Told, at: datetime) -> Ended | None:
    channel = one.reminder.channel
    if channel.removed_at is not None:
        return Ended("stopped", "The address was taken out of our books.")
    if channel.bad_since is not None:
        return Ended("refused", "The address refused our mail before; someone must mend it.")
    if is_suppressed(channel.address, "all", at=at):
        return Ended("stopped", "This address must not be written to.")
    return None


def _is_stopped(one: Told, at: datetime) -> Ended | None:
    if one.reminder.use not in CAN_BE_STOPPED:
        return None
    if is_suppressed(one.reminder.channel.address, "reminders", at=at):
        return Ended("stopped", "The household asked us to stop reminders.")
    if one.household is not None and one.household.asking_stopped_at is not None:
        return Ended("stopped", "This household is not asked any more.")
    return None


def _nothing_to_take_back(one: Told, at: datetime) -> Ended | Later | None:
    """A cancellation follows whatever was sent before, and nothing else."""
    if one.reminder.use != Use.CALLED_OFF:
        return None
    before = earlier(one.reminder)
    if before.filter(job__state__in=UNDER_WAY).exists():
        return Later(at + timedelta(minutes=1), "An earlier message is on its way.")
    if not before.filter(was_perhaps_sent()).exists():
        return Ended("overtaken", "They were never told of the visit, so there is nothing to say.")
    return None


def _is_answered(one: Told) -> Ended | None:
    if one.reminder.use != Use.ANSWER_WANTED or one.visit is None:
        return None
    if Answer.objects.filter(visit=one.visit, sequence=one.visit.sequence).exists():
        return Ended("overtaken", "They have answered, so this stays here.")
    return None


def _asked_enough(one: Told, at: datetime) -> Ended | None:
    if one.reminder.use not in ASKS or one.household is None or one.reminder.made_at is not None:
        return None
    if asks_in_a_year(one.household, at=at) >= one.firm.asks_a_year:
        return Ended(
            "stopped",
            f"Asked {one.firm.asks_a_year} times within a year already; ring them instead.",
        )
    return None


def _quiet(one: Told, at: datetime) -> Later | None:
    if one.reminder.use in AT_ANY_HOUR:
        return None
    allowed = next_allowed(one.household, one.firm, one.zone, at=at)
    return Later(allowed, "It is a quiet hour there.") if allowed > at else None


def next_allowed(household: Household | None, firm: Firm, zone: str, *, at: datetime) -> datetime:
    """The first moment not before `at` outside the quiet hours of household or firm.

    A demonstration's mail stays on this machine and wakes nobody.
    """
    if firm.is_demo:
        return at
    from_, until = firm.quiet_until, firm.quiet_from
    if household is not None and household.quiet_from and household.quiet_until:
        from_, until = household.quiet_until, household.quiet_from
    return wall.next_allowed(at, zone, from_, until)


def is_suppressed(address: str, kind: str, *, at: datetime) -> bool:
    """Whether mail of this kind to this address is stopped."""
    stops = Suppression.objects.standing().filter(
        address_hash=links.address_hash(address), kind=kind, since_at__lte=at
    )
    return stops.filter(Q(until_at__isnull=True) | Q(until_at__gt=at)).exists()


def asks_in_a_year(household: Household, *, at: datetime) -> int:
    """How often the household was asked within a year: two of its people told of one visit by
    one use are one ask. What was made ready counts, as it is about to go out."""
    asks = Reminder.objects.filter(
        use__in=ASKS, made_at__gt=at - YEAR, person__memberships__household=household
    ).exclude(job__state__in=NOT_SENT)
    return asks.values("use", "visit_id", "sequence", "about").distinct().count()


def was_perhaps_sent() -> Q:
    """It went out, or may have."""
    return Q(job__state__in=MAYBE_SENT) | Q(job__unsure_count__gt=0)


def earlier(reminder: Reminder) -> QuerySet[Reminder]:
    """Messages about the same visit to the same person by the same channel, but this one."""
    return Reminder.objects.filter(
        visit__isnull=False,
        visit=reminder.visit,
        person=reminder.person_id,
        channel=reminder.channel_id,
    ).exclude(pk=reminder.pk)


def was_invited(reminder: Reminder) -> bool:
    """Whether this person's calendar may hold the visit."""
    return earlier(reminder).filter(was_perhaps_sent(), use__in=INVITES).exists()
