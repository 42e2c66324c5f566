"""A round as a line through gates: the day as a profile, and a small plan of where it goes."""

import math

from drainservice.engine.drawings.dates import Clock, say_clock
from drainservice.engine.drawings.lettering import wrap
from drainservice.engine.drawings.pit_scale import Box
from drainservice.engine.drawings.round_facts import (
    RoundFacts,
    RoundVisit,
    describe_round,
    refuse_impossible_round,
    say_pause,
    say_promise,
    say_slack,
)
from drainservice.engine.drawings.round_plan import draw_plan
from drainservice.engine.drawings.sheet import (
    Sheet,
    Width,
    block,
    letter,
    line,
    path_through,
    ring,
    trace,
)
from drainservice.engine.drawings.spread import Point
from drainservice.engine.units import UnitSystem

POST_PX = 13.0
# With less room than this at a gate its street stands in the list alone.
LEAST_ROOM_PX = 74.0
ROW_PX = 18.0


def draw_round_line(
    facts: RoundFacts, width: Width, system: UnitSystem, clock: Clock, prefix: str
) -> str:
    """The clock against the driving: each promised window is a gate of two short posts, and the
    day is a line that passes between them. A bar across the later post is a promise that would
    break; a hollow ring is a visit not yet agreed; a dashed line is only an idea.

    WIDE: the clock runs down, the driving across. PHONE: the gates stand one under the other and
    the clock runs across. Raises RoundCannotBeDrawn, PrefixIsNoName.
    """
    refuse_impossible_round(facts)
    sheet = Sheet(prefix, width)
    draw = _draw_wide if width == Width.WIDE else _draw_phone
    height = draw(sheet, facts, system, clock)
    return sheet.draw(height, "The round as a line through gates", describe_round(facts, clock))


def _clock_range(facts: RoundFacts) -> tuple[float, float]:
    times = [facts.starts_min, facts.ends_min]
    for visit in facts.visits:
        gate = (visit.window_from_min, visit.window_to_min)
        times += [minute for minute in gate if minute is not None]
    return math.floor(min(times) / 60) * 60.0, math.ceil(max(times) / 60) * 60.0


def _spread_across(facts: RoundFacts, left: float, right: float) -> list[float]:
    """Where the yard, each visit and the yard again stand: by the driving, but no two closer than
    half an even share, so that the words over the gates stay apart."""
    drives = [max(visit.drive_min, 0.0) for visit in facts.visits]
    drives.append(max(facts.drive_home_min, 0.0))
    room = right - left
    even = room / (len(drives) + 0.2)
    least = [even * 0.4, *([even * 0.84] * (len(drives) - 1))]
    least[-1] = even * 0.5 if len(drives) > 1 else least[-1]
    spare, total = room - sum(least), sum(drives) or 1.0
    x = [left]
    for drive, keep in zip(drives, least, strict=True):
        x.append(x[-1] + keep + spare * drive / total)
    return x


def _draw_wide(sheet: Sheet, facts: RoundFacts, system: UnitSystem, clock: Clock) -> float:
    left, right = 76.0, sheet.wide_px - 14
    across = _spread_across(facts, left, right)
    rooms = _rooms(across)
    names = [wrap(visit.name, 14, room) for visit, room in zip(facts.visits, rooms, strict=True)]
    if min(rooms) < LEAST_ROOM_PX:
        names = [[] for _ in names]
    top = 18 + ROW_PX * max(len(rows) for rows in names) + POST_PX + 14
    first, last = _clock_range(facts)
    bottom = top + min(max((last - first) * 0.52, 220), 420)

    def y(minute: float) -> float:
        return top + (minute - first) / (last - first) * (bottom - top)

    hour = first
    while hour <= last:
        sheet.add(line(left - 6, y(hour), right, y(hour), "rule", 0.4))
        sheet.add(letter(left - 12, y(hour) + 4.5, say_clock(hour, clock), "soft", 13,
                         anchor="end"))  # fmt: skip
        hour += 60
    for number, visit in enumerate(facts.visits, 1):
        if visit.window_from_min is not None and visit.window_to_min is not None:
            _draw_gate_down(sheet, across[number], y(visit.window_from_min),
                            y(visit.window_to_min), visit.breaks)  # fmt: skip
        _write_head(sheet, across[number], number, names[number - 1], top - POST_PX - 14)
    _draw_line(sheet, facts, [
        ((across[i + 1], y(visit.arrive_min)), (across[i + 1], y(visit.leave_min)))
        for i, visit in enumerate(facts.visits)
    ], (across[0], y(facts.starts_min)), (across[-1], y(facts.ends_min)))  # fmt: skip
    if facts.pause_from_min is not None and facts.pause_to_min is not None:
        _draw_pause(sheet, y(facts.pause_from_min), y(facts.pause_to_min), left, right)
    foot = bottom + POST_PX + 14
    lowest = foot
    for visit, x, room in zip(facts.visits, across[1:-1], rooms, strict=True):
        for row, words in enumerate(wrap(say_slack(visit), 14, room, 650)):
            token = "clay" if visit.breaks else "ink"
            at = foot + 8 + ROW_PX * row
            sheet.add(letter(x, at, words, token, 14, 650, "middle"))
            lowest = max(lowest, at)
    return _draw_below(sheet, facts, lowest + 22, system, clock)


def _draw_pause(sheet: Sheet, upper: float, lower: float, left: float, right: float) -> None:
    """The break has no place: two fine dashed lines across the day, and its name at their end."""
    for y in (upper, lower):
        sheet.add(trace(f"M{left:.1f} {y:.1f}H{right:.1f}", "soft", 1, "2 4"))
    sheet.add(letter(right, (upper + lower) / 2 + 4.5, "break", "soft", 13, anchor="end"))


def _rooms(across: list[float]) -> list[float]:
    """The room for words at each gate: as far as its nearer neighbour allows."""
    gates = across[1:-1]
    rooms = []
    for place, x in enumerate(gates):
        before = (x - gates[place - 1]) if place else 2 * (x - 46)
        after = (gates[place + 1] - x) if place + 1 < len(gates) else 2 * (898 - x)
        rooms.append(min(before, after, 170.0) - 8)
    return rooms


def _write_head(sheet: Sheet, x: float, number: int, rows: list[str], foot: float) -> None:
    """Number and street, standing on the same foot at every gate."""
    top = foot - ROW_PX * len(rows)
    sheet.add(letter(x, top, str(number), size=14, weight=650, anchor="middle"))
    for row, words in enumerate(rows, 1):
        sheet.add(letter(x, top + ROW_PX * row, words, size=14, anchor="middle"))


def _draw_gate_down(sheet: Sheet, x: float, upper: float, lower: float, breaks: bool) -> None:
    sheet.add(block(x - 11, upper, 22, lower - upper, "stone"))
    posts = (
        f"M{x:.1f} {upper - POST_PX:.1f}v{POST_PX:g}m-11 0h22"
        f"M{x:.1f} {lower + POST_PX:.1f}v{-POST_PX:g}m-11 0h22"
    )
    sheet.add(trace(posts, "ink", 3.2))
    if breaks:
        sheet.add(line(x - 17, lower + 7, x + 17, lower + 7, "clay", 6))


def _draw_line(
    sheet: Sheet,
    facts: RoundFacts,
    stays: list[tuple[Point, Point]],
    start: Point,
    end: Point,
) -> None:
    """The line from the yard through every stay and home; dashed to and from a mere idea."""
    leave = start
    was_idea = False
    for visit, (arrive, after) in zip(facts.visits, stays, strict=True):
        dash = "6 4" if visit.is_candidate or was_idea else ""
        sheet.add(trace(path_through([leave, arrive]), "deep", 2.4, dash))
        sheet.add(trace(path_through([arrive, after]), "deep", 5))
        leave, was_idea = after, visit.is_candidate
    sheet.add(trace(path_through([leave, end]), "deep", 2.4, "6 4" if was_idea else ""))
    for x, y in (start, end):
        sheet.add(block(x - 4, y - 4, 8, 8, "ink"))
    for visit, (arrive, _) in zip(facts.visits, stays, strict=True):
        fill = "ink" if visit.is_agreed else "paper"
        sheet.add(ring(*arrive, 6, fill, "ink", 2.4))


def _draw_below(
    sheet: Sheet, facts: RoundFacts, top: float, system: UnitSystem, clock: Clock
) -> float:
    """The plan at the left, what each gate means in words at its right."""
    left = 300.0
    y = top + 16
    start = f"Sets out from the yard {say_clock(facts.starts_min, clock)}."
    pause = say_pause(facts, clock)
    sheet.add(letter(left + 26, y, f"{start} {pause}" if pause else start, "soft"))
    y += 25
    for number, visit in enumerate(facts.visits, 1):
        slack = say_slack(visit)
        words = (
            f"{say_clock(visit.arrive_min, clock)}, {visit.name}, {say_promise(visit, clock)}"
            f"{': ' if slack else ''}{slack}."
        )
        token = "clay" if visit.breaks else "ink"
        sheet.add(letter(left, y, str(number), token, weight=650))
        for row in wrap(words, 15, sheet.wide_px - left - 44):
            sheet.add(letter(left + 26, y, row, token))
            y += 20
        y += 5
    words = f"Back in the yard {say_clock(facts.ends_min, clock)}."
    sheet.add(letter(left + 26, y, words, "soft"))
    bottom = max(y + 4, top + 200)
    draw_plan(sheet, facts, Box(10, top, 276, top + 200), system)
    return bottom + 10


def _draw_phone(sheet: Sheet, facts: RoundFacts, system: UnitSystem, clock: Clock) -> float:
    left, right, words_at = 14.0, 128.0, 146.0
    first, last = _clock_range(facts)

    def x(minute: float) -> float:
        return left + (minute - first) / (last - first) * (right - left)

    sheet.add(letter(left - 8, 16, say_clock(first, clock), "soft", 13))
    sheet.add(letter(right + 4, 16, say_clock(last, clock), "soft", 13, anchor="end"))
    y = 44.0
    sheet.add(letter(words_at, y + 5, f"Sets out {say_clock(facts.starts_min, clock)}", "soft"))
    start, stays = (x(facts.starts_min), y), []
    y += 22
    for number, visit in enumerate(facts.visits, 1):
        high = _write_stop(sheet, visit, number, words_at, y, clock)
        gate = y + 24
        if visit.window_from_min is not None and visit.window_to_min is not None:
            _draw_gate_across(sheet, x(visit.window_from_min), x(visit.window_to_min), gate,
                              visit.breaks)  # fmt: skip
        stays.append(((x(visit.arrive_min), gate), (x(visit.leave_min), gate)))
        y += high
    y += 12
    pause = say_pause(facts, clock).rstrip(".")
    if pause:
        sheet.add(letter(words_at, y + 5, pause, "soft"))
        y += 20
    sheet.add(letter(words_at, y + 5, f"Back {say_clock(facts.ends_min, clock)}", "soft"))
    _draw_line(sheet, facts, stays, start, (x(facts.ends_min), y))
    top = y + 24
    draw_plan(sheet, facts, Box(10, top, 350, top + 210), system)
    return top + 220


def _write_stop(
    sheet: Sheet, visit: RoundVisit, number: int, x: float, y: float, clock: Clock
) -> float:
    room = sheet.wide_px - x - 8
    rows = [(words, 650, "ink") for words in wrap(f"{number}. {visit.name}", 15, room, 650)]
    there = f"there {say_clock(visit.arrive_min, clock)}, {say_promise(visit, clock)}"
    rows += [(words, 400, "ink") for words in wrap(there, 15, room)]
    token = "clay" if visit.breaks else "ink"
    rows += [(words, 650, token) for words in wrap(say_slack(visit), 15, room, 650)]
    for row, (words, weight, colour) in enumerate(rows):
        sheet.add(letter(x, y + 14 + 19 * row, words, colour, weight=weight))
    return 19.0 * len(rows) + 18


def _draw_gate_across(sheet: Sheet, start: float, end: float, y: float, breaks: bool) -> None:
    sheet.add(block(start, y - 11, end - start, 22, "stone"))
    posts = f"M{start:.1f} {y - 13:.1f}v26M{end:.1f} {y - 13:.1f}v26"
    sheet.add(trace(posts, "ink", 3.2))
    if breaks:
        sheet.add(line(end - 11, y - 11, end + 11, y - 11, "clay", 6))
