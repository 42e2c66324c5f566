"""The visit as one person's calendar shall hold it."""

from datetime import datetime, timedelta

from django.conf import settings
from django.utils.translation import gettext as _

from drainservice.accounts import links, wall
from drainservice.accounts.models import Firm, Person
from drainservice.engine.invitations.cancel import write_cancel
from drainservice.engine.invitations.invitation import Answer, Invitation, Mailbox
from drainservice.engine.invitations.request import write_request
from drainservice.engine.invitations.validate import refuse_breaches
from drainservice.register.models import PartKind
from drainservice.register.queries import parts_at
from drainservice.reminders.mail import phrases
from drainservice.reminders.models import Reminder, Use
from drainservice.reminders.queries.standing import Told, was_invited
from drainservice.reminders.queries.uses import INVITES
from drainservice.visits.models import Visit

ALARM_BEFORE = timedelta(days=1)


def organizer_address(visit_id: int | None, person_id: int, *, key_number: int = 1) -> str:
    """visits+WORD@domain: where this person's answers about this visit go, for its whole life."""
    word = links.organizer_token(visit_id=visit_id or 0, person_id=person_id, key_number=key_number)
    return f"visits+{word}@{settings.MAIL_DOMAIN}"


def calendar_part(one: Told, *, at: datetime) -> tuple[str, bytes] | None:
    """METHOD and octets, judged before they may go out; None where a message carries none.

    An offer carries none; a cancellation only where an invitation went out before.
    """
    reminder, visit = one.reminder, one.visit
    if visit is None:
        return None
    if reminder.use in INVITES:
        method, write = "REQUEST", write_request
    elif reminder.use == Use.CALLED_OFF and was_invited(reminder):
        method, write = "CANCEL", write_cancel
    else:
        return None
    octets = write(
        invitation_of(
            visit,
            reminder.person,
            one.firm,
            address=reminder.address,
            url=phrases.link(one, "answer"),
            stamp_at=at,
            created_at=_first_made_at(visit, reminder),
            last_modified_at=reminder.job.made_at,
        )
    )
    refuse_breaches(octets)
    return method, octets


def invitation_of(
    visit: Visit,
    person: Person,
    firm: Firm,
    *,
    address: str,
    url: str,
    stamp_at: datetime,
    created_at: datetime,
    last_modified_at: datetime,
) -> Invitation:
    """A visit with a promise, for one person. No codes, no other people, no prices."""
    day, from_, to = phrases.promise(visit)
    zone = visit.site.zone
    about = _("%(firm)s looks at the drain in your yard: %(purpose)s.") % {
        "firm": firm.name,
        "purpose": visit.purpose,
    }
    ready = _("Please clear the lid, leave the gate open and keep the dog in.")
    said = [about, ready, *([_("To change the time:"), url] if url else [])]
    lets_us_in = parts_at(visit.site, day).filter(person=person, part=PartKind.ACCESS)
    return Invitation(
        uid=str(visit.calendar_uid),
        sequence=visit.sequence,
        stamp_at=stamp_at,
        start_wall=datetime.combine(day, from_),
        end_wall=datetime.combine(day, to),
        start_at=wall.instant(day, from_, zone),
        end_at=wall.instant(day, to, zone),
        zone=zone,
        rule=wall.posix_rule(zone),
        summary=_("Yard drain: %(firm)s comes") % {"firm": firm.name},
        description="\n".join(said),
        location=visit.site.address,
        organizer=Mailbox(
            firm.name, organizer_address(visit.pk, person.pk, key_number=visit.address_key)
        ),
        attendee=Mailbox(person.name, address),
        answer=Answer.NEEDS_ACTION,
        url=url,
        created_at=created_at,
        last_modified_at=last_modified_at,
        is_confirmed=True,
        blocks_time=lets_us_in.exists(),
        alarm_before=ALARM_BEFORE,
    )


def _first_made_at(visit: Visit, reminder: Reminder) -> datetime:
    first = Reminder.objects.filter(visit=visit, use__in=INVITES).order_by("job__made_at").first()
    return first.job.made_at if first is not None else reminder.job.made_at
