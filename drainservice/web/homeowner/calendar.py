"""The agreed visit as a file for a calendar."""

from typing import Any

from django.conf import settings
from django.http import HttpResponse

from drainservice.accounts.asker import NotFound
from drainservice.accounts.models import ChannelKind
from drainservice.accounts.queries import channels_of, person_for, the_firm
from drainservice.doors.door import door
from drainservice.engine.invitations.publish import write_publication
from drainservice.reminders.mail.calendar import invitation_of
from drainservice.visits import queries as visits
from drainservice.visits.models import State
from drainservice.web.homeowner.page import in_their_language


@door(to="homeowner")
@in_their_language
def calendar(request: Any, visit_id: int) -> HttpResponse:
    """The entry, with the same identity as the invitation by mail, so that the two are one."""
    visit = visits.visit_for(request.asker, visit_id)
    if visit.state not in {State.AGREED, State.AT_PIT}:
        raise NotFound
    person, at = person_for(request.asker, request.asker.person_id), request.asker.at
    mail = channels_of(person).filter(kind=ChannelKind.MAIL).first()
    invitation = invitation_of(
        visit,
        person,
        the_firm(),
        address=mail.address if mail else f"nobody@{settings.MAIL_DOMAIN}",
        url=f"{settings.PUBLIC_URL}/y/{request.signed}/",
        stamp_at=at,
        created_at=at,
        last_modified_at=at,
    )
    answer = HttpResponse(
        write_publication(invitation), content_type="text/calendar; charset=utf-8"
    )
    answer["Content-Disposition"] = 'attachment; filename="visit.ics"'
    return answer
