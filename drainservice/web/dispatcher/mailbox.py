"""The mailbox: mails that were kept here because no mail server is set."""

from typing import Any

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import render

from drainservice.doors.door import door
from drainservice.reminders import queries as reminders


@door(to="dispatcher")
def mailbox(request: Any) -> HttpResponse:
    """Newest first; each opens as its reader would see it."""
    context = {
        "here": "mailbox",
        "rows": reminders.mailbox(request.asker),
        "is_kept_here": not settings.MAIL_URL,
    }
    return render(request, "dispatcher/mailbox.html", context)
