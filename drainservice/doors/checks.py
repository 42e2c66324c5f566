"""A way in that nobody declared is an error before the server starts."""

from collections.abc import Iterator, Sequence
from typing import Any

from django.core.checks import CheckMessage, Error, register
from django.urls import URLPattern, URLResolver, get_resolver


@register()
def every_way_in_is_a_door(app_configs: object, **kwargs: Any) -> list[CheckMessage]:
    """Walk the URL resolver; each view must carry its `@door`."""
    return [
        Error(
            f"The address {route!r} has no @door.",
            hint="Declare to whom it opens: @door(to=..., methods=...).",
            id="doors.E001",
        )
        for route, view in ways_in(get_resolver().url_patterns)
        if not hasattr(view, "door")
    ]


def ways_in(patterns: Sequence[URLPattern | URLResolver], before: str = "") -> Iterator[Any]:
    """Each route with its view."""
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from ways_in(pattern.url_patterns, route)
        else:
            yield route, pattern.callback
