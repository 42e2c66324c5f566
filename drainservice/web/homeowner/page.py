"""What every page of a household shares: its language, its own address, and its slow-down."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import translation

from drainservice.accounts import actions as accounts
from drainservice.accounts.links import LinkTooOld
from drainservice.accounts.queries import household_for
from drainservice.doors.door import error
from drainservice.visits import queries as visits

View = Callable[..., HttpResponse]
# Twenty at once and then twenty an hour for each link.
MOST, EVERY_S = 20, 180.0


def in_their_language(view: View) -> View:
    """Speak the household's language; end a link whose visit is long over; slow one down that
    posts too often."""

    @wraps(view)
    def spoken(request: Any, *args: Any, **kwargs: Any) -> HttpResponse:
        if visits.is_long_over(request.household_link.visit_id, at=request.asker.at):
            raise LinkTooOld
        household = household_for(request.asker, request.asker.household_id)
        request.household = household
        request.signed = request.resolver_match.kwargs["signed"]
        with translation.override(household.language):
            try:
                if request.method == "POST":
                    accounts.slow_down(
                        "link", request.signed, at=request.asker.at, most=MOST, every_s=EVERY_S
                    )
            except accounts.TooManyTries as wait:
                answer = error(request, 429)
                answer["Retry-After"] = str(wait.wait_s)
                return answer
            return view(request, *args, **kwargs)

    return spoken


def show(
    request: Any, template: str, context: dict[str, Any], *, status: int = 200
) -> HttpResponse:
    """Render a household's page with its own address for links."""
    whole = {"household": request.household, "signed": request.signed} | context
    return render(request, f"homeowner/{template}.html", whole, status=status)
