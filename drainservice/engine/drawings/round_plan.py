"""The plan inset of a round: lids as rings, the way between them, north and a scale."""

from dataclasses import dataclass
from itertools import pairwise

from drainservice.engine.drawings.lettering import measure
from drainservice.engine.drawings.pit_scale import Box
from drainservice.engine.drawings.round_facts import RoundFacts
from drainservice.engine.drawings.sheet import (
    Sheet,
    block,
    letter,
    path_through,
    ring,
    trace,
)
from drainservice.engine.drawings.spread import Point
from drainservice.engine.drawings.tokens import paint
from drainservice.engine.units import UnitSystem, number, si, unit_name

EDGE_PX = 26.0
# A plan of one yard alone shows the street, not the lid.
LEAST_M = 200.0


@dataclass(frozen=True, slots=True)
class Plan:
    """How metres on the ground become px in the inset."""

    px_m: float
    east_m: float
    north_m: float
    middle: Point

    def at(self, east_m: float, north_m: float) -> Point:
        """A place in the inset, north up."""
        x, y = self.middle
        return x + (east_m - self.east_m) * self.px_m, y - (north_m - self.north_m) * self.px_m


def draw_plan(sheet: Sheet, facts: RoundFacts, box: Box, system: UnitSystem) -> None:
    """Both directions to one scale, north up; the ways are straight, for this is no map."""
    plan = _fit(facts, box)
    sheet.add(block(box.left, box.top, box.width, box.height, "stone", "rule"))
    yard = plan.at(facts.yard_east_m, facts.yard_north_m)
    points = [plan.at(visit.east_m, visit.north_m) for visit in facts.visits]
    told = [
        point for point, visit in zip(points, facts.visits, strict=True) if not visit.is_candidate
    ]
    sheet.add(trace(path_through([yard, *told, yard]), "deep", 1.6))
    if len(told) < len(points):
        sheet.add(trace(path_through([yard, *points, yard]), "deep", 1.6, "5 4"))
    x, y = yard
    sheet.add(f'<path d="M{x - 6:.1f} {y + 5:.1f}v-7l6 -6l6 6v7Z" {paint("ink")}/>')
    for point, visit in zip(points, facts.visits, strict=True):
        sheet.add(ring(*point, 5, "ink" if visit.is_agreed else "paper", "ink", 2))
    ways = [[yard, *told, yard], [yard, *points, yard]]
    _write_numbers(sheet, [yard, *points], ways, box)
    sheet.add(trace(f"M{box.right - 18:g} {box.top + 38:g}v-20m-5 7l5 -8l5 8", "ink", 1.6))
    sheet.add(letter(box.right - 18, box.top + 53, "N", size=13, weight=650, anchor="middle"))
    _draw_scale(sheet, box, plan.px_m, system)


def _fit(facts: RoundFacts, box: Box) -> Plan:
    easts = [facts.yard_east_m, *(visit.east_m for visit in facts.visits)]
    norths = [facts.yard_north_m, *(visit.north_m for visit in facts.visits)]
    wide = max(max(easts) - min(easts), LEAST_M)
    high = max(max(norths) - min(norths), LEAST_M)
    px_m = min((box.width - 2 * EDGE_PX - 20) / wide, (box.height - 2 * EDGE_PX - 10) / high)
    middle = (box.middle[0] - 10, box.middle[1] - 6)
    return Plan(px_m, (max(easts) + min(easts)) / 2, (max(norths) + min(norths)) / 2, middle)


def _write_numbers(sheet: Sheet, points: list[Point], ways: list[list[Point]], box: Box) -> None:
    """Each number beside its ring, at the first place round it that covers nothing."""
    taken = [Box(x - 7, y - 8, x + 7, y + 7) for x, y in points]
    taken += [spot for way in ways for spot in _cover(way)]
    taken.append(Box(box.right - 34, box.top, box.right, box.top + 58))
    taken.append(Box(box.left, box.bottom - 30, box.left + 110, box.bottom))
    for words, (x, y) in _join_near(points[1:]):
        half = measure(words, 13, 650) / 2
        spots = [
            Box(x + dx - half, y + dy - 7, x + dx + half, y + dy + 7) for dx, dy in _around(half)
        ]
        spots = [spot for spot in spots if box.left < spot.left and spot.right < box.right] or spots
        free = [spot for spot in spots if not any(_touch(spot, other) for other in taken)]
        spot = (free or spots)[0]
        taken.append(spot)
        x_mid, y_mid = spot.middle
        sheet.add(letter(x_mid, y_mid + 4.5, words, size=13, weight=650, anchor="middle"))


def _join_near(points: list[Point]) -> list[tuple[str, Point]]:
    """The numbers of the visits at each place; rings that nearly cover one another share words."""
    places: list[tuple[list[str], Point]] = []
    for number_, (x, y) in enumerate(points, 1):
        near = (told for told, (px, py) in places if abs(px - x) < 8 and abs(py - y) < 8)
        told = next(near, None)
        if told is None:
            places.append(([str(number_)], (x, y)))
        else:
            told.append(str(number_))
    return [(_shorten(told), place) for told, place in places]


def _shorten(told: list[str]) -> str:
    """1, 2, 3; more than three: the first, the last and how many."""
    if len(told) <= 3:
        return ", ".join(told)
    return f"{told[0]} ... {told[-1]} ({len(told)})"


def _cover(way: list[Point]) -> list[Box]:
    """Small boxes along a way, every few px."""
    spots = []
    for (x1, y1), (x2, y2) in pairwise(way):
        steps = int(max(abs(x2 - x1), abs(y2 - y1)) / 5) + 1
        for step in range(steps + 1):
            x, y = x1 + (x2 - x1) * step / steps, y1 + (y2 - y1) * step / steps
            spots.append(Box(x - 1, y - 1, x + 1, y + 1))
    return spots


def _around(half: float) -> list[Point]:
    near, far = 10 + half, 15.0
    ways = [(1, 0), (-1, 0), (0, -1), (0, 1), (0.8, -0.9), (-0.8, -0.9), (0.8, 0.9), (-0.8, 0.9)]
    return [
        (dx * near * reach, dy * far * reach) for reach in (1.0, 1.7, 2.5, 3.4) for dx, dy in ways
    ]


def _touch(one: Box, other: Box) -> bool:
    apart = one.right <= other.left or other.right <= one.left
    return not (apart or one.bottom <= other.top or other.bottom <= one.top)


def _draw_scale(sheet: Sheet, box: Box, px_m: float, system: UnitSystem) -> None:
    longest = number(80 / px_m, "distance", system)
    fits = [part * 10.0**power for power in range(-2, 4) for part in (1, 2, 5)]
    length = max((step for step in fits if step <= longest), default=longest)
    long = si(length, "distance", system) * px_m
    x, y = box.left + 10, box.bottom - 12
    sheet.add(trace(f"M{x:g} {y - 5:g}v5H{x + long:.1f}v-5", "ink", 1.5))
    words = f"{length:g} {unit_name('distance', system)}"
    sheet.add(letter(x + long + 7, y + 2, words, size=13))
