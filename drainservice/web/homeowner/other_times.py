"""Another day: six that are free, one press to take one, and later ones."""

from dataclasses import dataclass
from datetime import date, time, timedelta
from typing import Any

from drainservice.accounts.asker import CannotBeDone
from drainservice.accounts.queries import person_for
from drainservice.visits import actions
from drainservice.visits import queries as visits
from drainservice.visits.models import Visit
from drainservice.visits.queries import GoodTime, NoTimeFree, Window

SHOWN = 6
# All windows of one day, when one of them is taken.
MOST_A_DAY = 50


class Taken(CannotBeDone):
    """Somebody else has that time by now."""


@dataclass(frozen=True, slots=True)
class OtherTime:
    """A window as a button carries and says it; `visit` words it as every promise is worded."""

    word: str
    visit: Visit


def other_times(request: Any, visit: Visit) -> dict[str, Any]:
    """Free windows, without who would come or why; none where a person must be asked."""
    if not actions.may_choose(visit, asker=request.asker):
        return {}
    try:
        from_day = date.fromisoformat(request.GET.get("from", ""))
    except ValueError:
        from_day = None
    told = visits.good_times(
        visits.wanted_of_visit(visit),
        at=request.asker.at,
        from_day=from_day,
        most=SHOWN + 1,
        for_household=True,
    )
    others = [one.window for one in told.times if one.window != _present(visit)][:SHOWN]
    others.sort(key=lambda window: (window.day, window.from_))
    return {
        "times": [OtherTime(_word(window), _as_visit(visit, window)) for window in others],
        "later": f"?from={told.last_day + timedelta(days=1)}",
    }


def choose(request: Any, visit: Visit) -> None:
    """Take the time that was pressed. Errors: Taken, and what `choose_time` refuses."""
    window = _read(request.POST.get("time", ""))
    good = _still_free(request, visit, window) if window is not None else None
    if good is None:
        raise Taken
    try:
        actions.choose_time(
            visit,
            to=good.window,
            technician=good.technician,
            asker=request.asker,
            person=person_for(request.asker, request.asker.person_id),
        )
    except NoTimeFree as full:
        raise Taken from full


def _still_free(request: Any, visit: Visit, window: Window) -> GoodTime | None:
    told = visits.good_times(
        visits.wanted_of_visit(visit),
        at=request.asker.at,
        from_day=window.day,
        most=MOST_A_DAY,
        days=1,
        for_household=True,
    )
    return next((one for one in told.times if one.window == window), None)


def _present(visit: Visit) -> Window | None:
    if visit.day is None or visit.window_from is None or visit.window_to is None:
        return None
    return Window(visit.day, visit.window_from, visit.window_to)


def _as_visit(visit: Visit, window: Window) -> Visit:
    """The visit as if it were promised then, for the words alone."""
    return Visit(site=visit.site, day=window.day, window_from=window.from_, window_to=window.to)


def _word(window: Window) -> str:
    return f"{window.day}_{window.from_:%H%M}_{window.to:%H%M}"


def _read(word: str) -> Window | None:
    parts = word.split("_")
    try:
        day = date.fromisoformat(parts[0])
        from_, to = (time(int(part[:2]), int(part[2:4])) for part in parts[1:3])
    except (ValueError, IndexError):
        return None
    return Window(day, from_, to)
