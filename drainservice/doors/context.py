"""What every page may know without asking: the firm, the asker, the moment."""

from typing import Any

from django.http import HttpRequest

from drainservice.accounts import queries


def page(request: HttpRequest) -> dict[str, Any]:
    """The firm's row and the asker."""
    return {"firm": queries.firm(), "asker": getattr(request, "asker", None)}
