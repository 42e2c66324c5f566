"""The weeks before a season as water against the rim of the crew's hours."""

from django.utils.safestring import SafeString, mark_safe

from drainservice.engine.drawings.rim import MOST_WEEKS, WeekLoad, draw_water_against_rim
from drainservice.engine.drawings.sheet import Width
from drainservice.visits.queries import SeasonStanding


def draw_season(stand: SeasonStanding) -> dict[str, list[SafeString]]:
    """Both layouts, each as many sheets as its width needs, the weeks shared evenly."""
    weeks = [
        WeekLoad(
            week.monday,
            (week.planned_min + week.promised_min) / 60,
            week.rim_min / 60,
            week.promised_min / 60,
        )
        for week in stand.weeks
    ]
    return {"wide": _sheets(weeks, Width.WIDE), "phone": _sheets(weeks, Width.PHONE)}


def _sheets(weeks: list[WeekLoad], width: Width) -> list[SafeString]:
    count = -(-len(weeks) // MOST_WEEKS[width])
    each = -(-len(weeks) // count)
    return [
        mark_safe(draw_water_against_rim(weeks[at : at + each], width, f"season-{width.value}{at}"))
        for at in range(0, len(weeks), each)
    ]
