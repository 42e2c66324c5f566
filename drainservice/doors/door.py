"""`@door`: how each way in is declared, and the order in which it opens."""

from collections.abc import Callable
from dataclasses import replace
from functools import wraps
from typing import Any, Literal

from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import render
from django.views.decorators.csrf import csrf_exempt

from drainservice.accounts import queries
from drainservice.accounts.asker import Asker, CannotBeDone, NotFound
from drainservice.accounts.links import LinkBroken, LinkTooOld
from drainservice.accounts.text import TextRefused

To = Literal["anyone", "staff", "technician", "dispatcher", "owner", "homeowner"]
Body = Literal["none", "form", "photo", "sheet"]
SIZES: dict[str, int] = {
    "none": 16_384,
    "form": 256 * 1024,
    "photo": 12 * 1024 * 1024,
    "sheet": 10 * 1024 * 1024 + 65_536,
}
ROLES: dict[str, set[str]] = {
    "staff": {"owner", "dispatcher", "technician"},
    "technician": {"owner", "dispatcher", "technician"},
    "dispatcher": {"owner", "dispatcher"},
    "owner": {"owner"},
}
View = Callable[..., HttpResponse]


class DoorRequest(HttpRequest):
    """A request whose asker is known."""

    asker: Asker
    request_id: str


def door(*, to: To, methods: str = "GET", body: Body = "form") -> Callable[[View], View]:
    """Declare a way in: to whom, by which methods, with how large a body.

    Order: method, size, asker, role; the view then asks for its object by asker (404 alike for
    foreign and missing), and only then looks at the form.
    """
    allowed = methods.split()
    if "GET" in allowed:
        allowed.append("HEAD")

    def open_to(view: View) -> View:
        @queries.firm_read_once()
        @wraps(view)
        def opened(request: DoorRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            if request.method not in allowed:
                return HttpResponseNotAllowed(allowed)
            if _too_large(request, body):
                return error(request, 413)
            try:
                if to == "homeowner":
                    nobody = request.asker
                    asker, request.household_link = queries.asker_by_link(  # type: ignore[attr-defined]
                        kwargs.pop("signed"), at=nobody.at, door=nobody.door
                    )
                    request.asker = replace(asker, request_id=nobody.request_id)
                elif to != "anyone":
                    if request.asker.kind != "account":
                        return sign_in_first(request)
                    if request.asker.role not in ROLES[to]:
                        return error(request, 403)
                return view(request, *args, **kwargs)
            except (NotFound, LinkBroken):
                return error(request, 404)
            except LinkTooOld:
                return error(request, 410)
            except (CannotBeDone, TextRefused) as refusal:
                return error(request, 409, sentence=str(refusal))

        opened.door = {"to": to, "methods": methods, "body": body}  # type: ignore[attr-defined]
        # A signed path is the authority there, and no cookie rides along.
        return csrf_exempt(opened) if to == "homeowner" else opened

    return open_to


def error(request: HttpRequest, status: int, *, sentence: str = "") -> HttpResponse:
    """The fixed page for a status; the same bytes for every foreign or missing thing."""
    context = {"status": status, "sentence": sentence}
    return render(request, f"anyone/errors/{status}.html", context, status=status)


def sign_in_first(request: HttpRequest) -> HttpResponse:
    """Whoever is nobody is sent to the sign-in page, which tells nothing about what was asked."""
    from django.shortcuts import redirect

    return redirect("sign-in")


def _too_large(request: HttpRequest, body: Body) -> bool:
    try:
        return int(request.headers.get("Content-Length") or 0) > SIZES[body]
    except ValueError:
        return True
