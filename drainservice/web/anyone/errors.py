"""Error pages that need no database."""

from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseForbidden, HttpResponseServerError
from django.views.decorators.csrf import requires_csrf_token

from drainservice.doors.door import door, error

BROKEN = """<!doctype html><html lang="en"><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1"><title>Something broke</title>
<link rel="stylesheet" href="/static/base.css"><main><h1>Something broke on our side.</h1>
<p>Nothing you saved before is lost. Try again in a minute. If it breaks again, tell the office
this number: {}</p></main></html>"""


def broken(request: HttpRequest) -> HttpResponse:
    """500: fixed words and the number by which the log is found."""
    return HttpResponseServerError(BROKEN.format(getattr(request, "request_id", "none")))


@door(to="anyone")
def not_found(request: Any, exception: Exception | None = None) -> HttpResponse:
    """404: the same page whatever was asked for."""
    return error(request, 404)


@requires_csrf_token
def form_too_old(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403 of a form that was opened too long ago or by another sign-in."""
    return HttpResponseForbidden(
        "<!doctype html><html lang=en><meta charset=utf-8><title>Form too old</title>"
        "<main><h1>This form is too old.</h1><p>Nothing was saved. Go back, load the page again, "
        "and send it once more; what you typed is still in the page before.</p></main></html>"
    )
