"""Water against a rim: the hours due in each week against the hours the crew has."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from drainservice.engine.drawings.axes import NothingToDraw, refuse_gaps
from drainservice.engine.drawings.dates import say_date, say_day
from drainservice.engine.drawings.lettering import wrap
from drainservice.engine.drawings.sheet import Sheet, Width, block, letter, line, short, trace


@dataclass(frozen=True, slots=True)
class WeekLoad:
    """One week: its first day, the hours due in it, the hours the crew has; of the hours due those
    that were promised to somebody."""

    starts_on: date
    due_h: float
    crew_h: float
    promised_h: float = 0.0

    @property
    def over_h(self) -> float:
        """Hours above the rim, none if below."""
        return max(self.due_h - self.crew_h, 0.0)


class TooManyWeeks(ValueError):
    """More weeks than there is room for their numbers."""


HEAD_ROOM = 1.28
MOST_WEEKS = {Width.WIDE: 20, Width.PHONE: 8}


def draw_water_against_rim(weeks: Sequence[WeekLoad], width: Width, prefix: str) -> str:
    """Level in steps, one a week; the rim in ink; what stands above it hatched and said in hours.

    Up to 20 weeks on a desk and 8 on a phone.
    Raises TooManyWeeks, NothingToDraw for no weeks, NotANumber, PrefixIsNoName.
    """
    if not weeks:
        raise NothingToDraw("No week was given, so there is no water level to draw.")
    if len(weeks) > MOST_WEEKS[width]:
        raise TooManyWeeks(
            f"{len(weeks)} weeks do not fit; choose {MOST_WEEKS[width]} or fewer to draw."
        )
    refuse_gaps(hours for week in weeks for hours in (week.due_h, week.crew_h))
    sheet = Sheet(prefix, width)
    left, top = (16.0, 10.0) if width == Width.WIDE else (6.0, 8.0)
    right = sheet.wide_px - left
    bottom = 230.0 if width == Width.WIDE else 200.0
    highest = max(max(week.due_h, week.crew_h) for week in weeks) * HEAD_ROOM or 1.0
    step = (right - left) / len(weeks)

    def y(hours: float) -> float:
        return bottom - hours / highest * (bottom - top)

    for place, week in enumerate(weeks):
        x = left + place * step
        _draw_week(sheet, week, x, step, y(week.due_h), y(week.crew_h), bottom)
        _draw_promised(sheet, x, step, y(week.promised_h), bottom)
    _draw_rim(sheet, [y(week.crew_h) for week in weeks], left, step)
    sheet.add(line(left, bottom, right, bottom, "ink", 1.5))
    lowest = max(
        _write_foot(sheet, week, left + place * step, step, bottom)
        for place, week in enumerate(weeks)
    )
    caption = "Hours due of crew hours in each week; the heavy line is the crew."
    if any(week.promised_h > 0 for week in weeks):
        caption += " The darker water, below the dashes, is promised."
    for row in wrap(caption, 13, sheet.wide_px - 2 * left):
        lowest += 19
        sheet.add(letter(left, lowest + 2, row, "soft", 13))
    return sheet.draw(lowest + 10, "Hours due against crew hours, week by week", describe(weeks))


def describe(weeks: Sequence[WeekLoad]) -> str:
    """The level in words: where it stands above the rim, and by how much."""
    over = [week for week in weeks if round(week.over_h) > 0]
    if not over:
        return "Every week is below the rim."
    return " ".join(
        f"Week of {say_date(week.starts_on)}: {week.due_h:.0f} h due, {week.crew_h:.0f} h of crew, "
        f"{week.over_h:.0f} h over."
        for week in over
    )


def _draw_week(
    sheet: Sheet, week: WeekLoad, x: float, step: float, level: float, rim: float, bottom: float
) -> None:
    full = max(level, rim)
    sheet.add(block(x, full, step, bottom - full, "pale"))
    hatch = sheet.hatch("deepwater", 8, "ink", 0.4)
    sheet.add(
        f'<rect class="only-print" display="none" x="{short(x)}" y="{short(full)}" '
        f'width="{short(step)}" height="{short(bottom - full)}" fill="{hatch}"/>'
    )
    if round(week.over_h) > 0:
        spill = sheet.hatch("spill", 6, "ink", 0.8)
        sheet.add(block(x, level, step, rim - level, "pale"))
        sheet.add(
            f'<rect x="{short(x)}" y="{short(level)}" width="{short(step)}" '
            f'height="{short(rim - level)}" fill="{spill}"/>'
        )
        sheet.add(trace(f"M{short(x)} {short(rim)}V{short(level)}h{short(step)}V{short(rim)}",
                        "ink", 1.4))  # fmt: skip
        words = wrap(f"{week.over_h:.0f} h over", 13, step - 1, 650)
        for row, part in enumerate(reversed(words)):
            y = level - 7 - 17 * row
            sheet.add(letter(x + step / 2, y, part, size=13, weight=650, anchor="middle"))
    else:
        sheet.add(line(x, level, x + step, level, "deep", 2))


def _draw_promised(sheet: Sheet, x: float, step: float, level: float, bottom: float) -> None:
    """What is promised lies at the ground, darker, with a dashed surface for who sees no colour; on
    paper hatched closer than the rest."""
    if bottom - level < 0.5:
        return
    sheet.add(block(x, level, step, bottom - level, "water"))
    box = (
        f'x="{short(x)}" y="{short(level)}" width="{short(step)}" height="{short(bottom - level)}"'
    )
    hatch = sheet.hatch("promised", 4, "ink", 0.4)
    sheet.add(f'<rect class="only-print f-paper" display="none" {box}/>')
    sheet.add(f'<rect class="only-print" display="none" {box} fill="{hatch}"/>')
    sheet.add(trace(f"M{short(x)} {short(level)}h{short(step)}", "ink", 1.2, "4 3"))


def _draw_rim(sheet: Sheet, rims: list[float], left: float, step: float) -> None:
    d = f"M{short(left)} {short(rims[0])}"
    for place, rim in enumerate(rims):
        d += f"V{short(rim)}H{short(left + (place + 1) * step)}"
    sheet.add(trace(d, "ink", 3))


def _write_foot(sheet: Sheet, week: WeekLoad, x: float, step: float, bottom: float) -> float:
    y = bottom + 18
    day, month = say_day(week.starts_on).split()
    due, crew = f"{week.due_h:.0f}", f"{week.crew_h:.0f}"
    if sheet.width == Width.WIDE and step > 100:
        rows = [(f"{day} {month}", 400), (f"{due} of {crew} h", 650)]
    else:
        rows = [(day, 400), (month, 400), (f"{due} h", 650), (f"of {crew}", 400)]
    for part, weight in rows:
        sheet.add(letter(x + step / 2, y, part, size=13, weight=weight, anchor="middle"))
        y += 17
    return y - 17
