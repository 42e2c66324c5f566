"""Days, hours and addresses in the language of the letter."""

from datetime import date, datetime, time

from django.conf import settings
from django.utils.formats import date_format
from django.utils.translation import get_language, pgettext
from django.utils.translation import gettext as _

from drainservice.accounts import links, wall
from drainservice.accounts.links import HouseholdLink, Purpose
from drainservice.reminders.queries.standing import Told
from drainservice.visits.models import Visit


class VisitHasNoPromise(ValueError):
    """Nobody was promised a time yet, so no letter can name one."""


def language() -> str:
    """The language that is active, without its country: en, es."""
    return (get_language() or "en").partition("-")[0]


def promise(visit: Visit) -> tuple[date, time, time]:
    """Day, from and to by the clock of the place. Errors: VisitHasNoPromise."""
    if visit.day is None or visit.window_from is None or visit.window_to is None:
        raise VisitHasNoPromise(f"Visit {visit.pk} has no promised window.")
    return visit.day, visit.window_from, visit.window_to


def short_day(day: date) -> str:
    """Tue 12 May."""
    return date_format(day, pgettext("date format, short", "D j M"))


def long_day(day: date) -> str:
    """Tuesday 12 May 2027."""
    return date_format(day, pgettext("date format, long", "l j F Y"))


def window(from_: time, to: time) -> str:
    """8 to 10 am, 11 am to 1 pm; by 24 hours where people count so."""
    if not _counts_by_twelve():
        return _("%(from)s to %(to)s") % {"from": f"{from_:%-H:%M}", "to": f"{to:%-H:%M}"}
    half = "" if (from_.hour < 12) == (to.hour < 12) else f" {_half(from_)}"
    return f"{_hour(from_)}{half} to {_hour(to)} {_half(to)}"


def clock_time(at: datetime, zone: str) -> str:
    """8:35 am on the clock of the place."""
    here = wall.local(at, zone).time()
    return f"{_hour(here)} {_half(here)}" if _counts_by_twelve() else f"{here:%-H:%M}"


def zone_name(visit: Visit) -> str:
    """PDT: the short name of the clock that runs there on that day."""
    day, from_, _to = promise(visit)
    zone = visit.site.zone
    return wall.local(wall.instant(day, from_, zone), zone).tzname() or zone


def when(visit: Visit) -> str:
    """Tuesday 12 May 2027, 8 to 10 am."""
    day, from_, to = promise(visit)
    return f"{long_day(day)}, {window(from_, to)}"


def short_when(visit: Visit) -> str:
    """Tue 12 May, 8 to 10 am."""
    day, from_, to = promise(visit)
    return f"{short_day(day)}, {window(from_, to)}"


def was_when(visit: Visit) -> str:
    """The time before the last move, as in `when`; empty where it never moved."""
    if visit.moved_from_day is None:
        return ""
    from_, _dash, to = visit.moved_from_window.partition("-")
    day = long_day(visit.moved_from_day)
    if not to:
        return day
    return f"{day}, {window(time.fromisoformat(from_), time.fromisoformat(to))}"


def link(one: Told, purpose: Purpose, *, say: str = "") -> str:
    """The household's own address on our pages; empty where the person is of no household."""
    if one.household is None:
        return ""
    signed = links.write_link(
        HouseholdLink(
            person_id=one.reminder.person_id,
            household_id=one.household.pk,
            purpose=purpose,
            link_number=one.household.link_number,
            visit_id=one.visit.pk if one.visit is not None else None,
            sequence=one.reminder.sequence,
        )
    )
    return f"{settings.PUBLIC_URL}/y/{signed}/" + (f"?say={say}" if say else "")


def stop_link(channel_id: int) -> str:
    """Where reminders to this address are stopped; it never ends."""
    return f"{settings.PUBLIC_URL}/stop/{links.unsubscribe_token(channel_id=channel_id)}"


def _counts_by_twelve() -> bool:
    return language() == "en"


def _hour(at: time) -> str:
    hour = at.hour % 12 or 12
    return f"{hour}:{at:%M}" if at.minute else str(hour)


def _half(at: time) -> str:
    return "am" if at.hour < 12 else "pm"
