"""One message: exactly as it will look, and what became of it."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import NotFound
from drainservice.doors.door import door
from drainservice.reminders import mail
from drainservice.reminders import queries as reminders
from drainservice.reminders.models import Reminder
from drainservice.reminders.queries.preview import Preview, read
from drainservice.reminders.queries.standing import told
from drainservice.web.dispatcher.done import done
from jobs.queries import CAN_BE_TAKEN, NEEDS_A_PERSON

# A mail's own style, and nothing else: no script, no form, no picture, no way out of its box.
AS_MAIL = (
    "sandbox; default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'"
)


@door(to="dispatcher")
def reminder(request: Any, reminder_id: UUID) -> HttpResponse:
    """Words, calendar part, headers; each try with what the server said."""
    row = reminders.reminder_for(request.asker, reminder_id)
    zone = row.visit.site.zone if row.visit else accounts.the_firm().zone
    context = {
        "here": "reminders",
        "row": row,
        "words": reminders.phrase(row, zone),
        "preview": preview_as_sent(row, request.asker.at),
        "is_written": row.octets is not None,
        "moments": reminders.timeline(row),
        "is_held": reminders.is_held(row),
        "can_hold": row.job.state in CAN_BE_TAKEN,
        "can_send": row.job.state in [*CAN_BE_TAKEN, *NEEDS_A_PERSON],
    }
    return render(request, "dispatcher/reminder.html", context | done(request))


@door(to="dispatcher")
def as_mail(request: Any, reminder_id: UUID) -> HttpResponse:
    """The mail's own page, alone and boxed in."""
    row = reminders.reminder_for(request.asker, reminder_id)
    preview = preview_as_sent(row, request.asker.at)
    if preview is None or not preview.html:
        raise NotFound
    answer = HttpResponse(preview.html, content_type="text/html; charset=utf-8")
    answer["Content-Security-Policy"] = AS_MAIL
    return answer


@door(to="dispatcher")
def as_calendar(request: Any, reminder_id: UUID) -> HttpResponse:
    """The calendar part, to be opened by a calendar."""
    row = reminders.reminder_for(request.asker, reminder_id)
    preview = preview_as_sent(row, request.asker.at)
    if preview is None or not preview.calendar:
        raise NotFound
    answer = HttpResponse(preview.calendar, content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="visit.ics"'
    return answer


def preview_as_sent(row: Reminder, at: Any) -> Preview | None:
    """The kept octets, or those that would be made now; None once they were emptied."""
    kept = reminders.preview_of(row)
    if kept is not None or row.made_at is not None or row.job.done_at is not None:
        return kept
    one = told(row, accounts.the_firm(), at=at)
    return read(mail.build(one, at=at).as_bytes())
