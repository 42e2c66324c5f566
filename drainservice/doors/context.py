"""What every page may know without asking: the firm, the asker, the names in the head line."""

from typing import Any

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse

from drainservice.accounts import queries
from drainservice.accounts.asker import Asker

OFFICE_PAGES = [
    ("morning", "Morning"),
    ("due", "Due"),
    ("rounds", "Rounds"),
    ("season", "Season"),
    ("systems", "Systems"),
    ("answers", "Answers"),
    ("calls", "Call list"),
    ("down", "Down"),
    ("crew", "Crew"),
    ("reminders", "Reminders"),
    ("mailbox", "Mailbox"),
    ("bring-in", "Bring in"),
    ("settings", "Settings"),
]


def page(request: HttpRequest) -> dict[str, Any]:
    """The firm's row, the asker, and where an office page leads."""
    asker = getattr(request, "asker", None)
    pages = _office_pages(asker) if asker is not None and asker.is_office else []
    return {"firm": queries.firm(), "asker": asker, "office_pages": pages}


def _office_pages(asker: Asker) -> list[tuple[str, str, str]]:
    found = []
    for name, words in OFFICE_PAGES:
        if name == "settings" and not queries.may(asker, "change_settings"):
            continue
        try:
            found.append((name, reverse(name), words))
        except NoReverseMatch:
            continue
    return found
