"""What must be mended before the server faces other people, said in words."""

from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.db import DatabaseError

from drainservice.accounts import queries


@register(Tags.security, deploy=True)
def demo_stays_at_home(app_configs: object, **kwargs: Any) -> list[CheckMessage]:
    """A demonstration's doors open by one link; it must not be reachable from elsewhere."""
    try:
        firm = queries.firm()
    except DatabaseError:
        return []
    if firm is None or not firm.is_demo or settings.IS_LOOPBACK or settings.DEMO_IN_PUBLIC:
        return []
    return [
        Error(
            "This database holds the demonstration, and DRAIN_PUBLIC_URL is no loopback address.",
            hint="Start with an empty database, or set DRAIN_DEMO_IN_PUBLIC=1 to show the "
            "demonstration to others on purpose; no mail is sent either way.",
            id="accounts.E001",
        )
    ]


@register(Tags.security)
def plain_http_stays_at_home(app_configs: object, **kwargs: Any) -> list[CheckMessage]:
    """Passwords and links travel encrypted or do not leave the machine."""
    if settings.IS_HTTPS or settings.IS_LOOPBACK:
        return []
    return [
        Error(
            f"DRAIN_PUBLIC_URL is {settings.PUBLIC_URL}, which is not encrypted.",
            hint="Write https:// and let a proxy hold the certificate (deploy/nginx.conf).",
            id="accounts.E002",
        )
    ]


@register(Tags.security)
def few_old_secrets(app_configs: object, **kwargs: Any) -> list[CheckMessage]:
    """An old signing secret that still reads is a door that still opens."""
    if len(settings.SECRET_KEY_FALLBACKS) < 4:
        return []
    return [
        Warning(
            f"{len(settings.SECRET_KEY_FALLBACKS)} old signing secrets still read links.",
            hint="Take the last lines out of var/secret once their links are over 400 days old.",
            id="accounts.W001",
        )
    ]
