"""What every request passes: a number, the clock, the asker; and every answer: its headers."""

import logging
import secrets
import time
from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseForbidden
from django.urls import Resolver404, resolve
from django.utils import timezone

from drainservice.accounts.asker import Asker
from drainservice.doors.door import DoorRequest

Next = Callable[[HttpRequest], HttpResponse]
log = logging.getLogger("drainservice.doors")

CSP = "; ".join(f"{name} {' '.join(values)}" for name, values in settings.SECURE_CSP.items())
FIXED = {
    "Content-Security-Policy": CSP,
    "X-Frame-Options": "DENY",
    "X-Content-Type-Options": "nosniff",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), geolocation=(self), microphone=()",
}


def request_id(get_response: Next) -> Next:
    """Number each request; log its route's name, never its path."""

    def numbered(request: HttpRequest) -> HttpResponse:
        begun = time.perf_counter()
        request.request_id = secrets.token_hex(8)  # type: ignore[attr-defined]
        answer = get_response(request)
        answer["X-Request-Id"] = request.request_id  # type: ignore[attr-defined]
        asker = getattr(request, "asker", None)
        log.info(
            "answered",
            extra={
                "request_id": request.request_id,  # type: ignore[attr-defined]
                "route": route_of(request),
                "status": answer.status_code,
                "milliseconds": round((time.perf_counter() - begun) * 1000, 1),
                "asker": asker.named() if asker else "nobody",
            },
        )
        return answer

    return numbered


def headers(get_response: Next) -> Next:
    """Set the fixed headers on every answer, errors and static files included."""

    def guarded(request: HttpRequest) -> HttpResponse:
        answer = get_response(request)
        for name, value in FIXED.items():
            answer.headers.setdefault(name, value)
        # A link page tells nobody where it was; staff pages need their own origin for forms.
        is_link = request.path_info.startswith(("/y/", "/in/", "/stop/"))
        answer.headers.setdefault("Referrer-Policy", "no-referrer" if is_link else "same-origin")
        if is_link:
            answer["X-Robots-Tag"] = "noindex"
        if settings.IS_HTTPS:
            answer.headers.setdefault(
                "Strict-Transport-Security", f"max-age={settings.SECURE_HSTS_SECONDS}"
            )
        if not request.path_info.startswith(settings.STATIC_URL):
            answer["Cache-Control"] = "no-store"
        return answer

    return guarded


def same_origin(get_response: Next) -> Next:
    """Refuse a writing request that another site's page sent, the one-click stop excepted."""

    def judged(request: HttpRequest) -> HttpResponse:
        foreign = request.headers.get("Sec-Fetch-Site") in {"cross-site", "same-site"}
        writes = request.method not in {"GET", "HEAD", "OPTIONS"}
        if foreign and writes and not request.path_info.startswith("/stop/"):
            return HttpResponseForbidden(
                "This form was sent from another site's page. Open our page and send it there.",
                content_type="text/plain; charset=utf-8",
            )
        return get_response(request)

    return judged


def asker(get_response: Next) -> Next:
    """Read the clock once and say who asks: a signed-in account, or nobody yet."""

    def asked(request: DoorRequest) -> HttpResponse:
        at = timezone.now()
        user = request.user
        if user.is_authenticated and user.removed_at is None:
            request.asker = Asker(
                at=at,
                kind="account",
                account_id=user.pk,
                person_id=user.person_id,
                role=user.role,
                door=route_of(request),
                request_id=request.request_id,
            )
        else:
            request.asker = Asker(at=at, door=route_of(request), request_id=request.request_id)
        return get_response(request)

    return asked  # type: ignore[return-value]


def route_of(request: HttpRequest) -> str:
    """The name of the route, or a word for none."""
    try:
        return resolve(request.path_info).view_name or "unnamed"
    except Resolver404:
        return "none"
