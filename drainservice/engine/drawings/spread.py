"""Moves labels apart along a margin, each as little as can be, and keeps leaders from crossing."""

from collections.abc import Sequence

Point = tuple[float, float]


def spread(
    wanted: Sequence[float], heights: Sequence[float], gap: float, top: float
) -> list[float]:
    """Tops of labels, in order, at least `gap` apart, none above `top`, nearest to the wanted.

    Least squares under an order: take off the stacked heights, average neighbours that stand the
    wrong way round (pool adjacent violators), put the heights back.
    Source: isotonic regression, Barlow, Bartholomew, Bremner, Brunk 1972 (from memory).
    """
    offsets = [0.0]
    for height in heights[:-1]:
        offsets.append(offsets[-1] + height + gap)
    pools: list[list[float]] = []
    for place, offset in zip(wanted, offsets, strict=False):
        pools.append([place - offset, 1.0])
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            value, count = pools.pop()
            before, many = pools[-1]
            pools[-1] = [(before * many + value * count) / (many + count), many + count]
    level = [max(value, top) for value, count in pools for _ in range(int(count))]
    return [place + offset for place, offset in zip(level, offsets, strict=False)]


def cross(first: tuple[Point, Point], second: tuple[Point, Point]) -> bool:
    """Whether two straight leaders cross between their ends."""

    def turn(a: Point, b: Point, c: Point) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    (a, b), (c, d) = first, second
    return turn(a, b, c) * turn(a, b, d) < 0 and turn(c, d, a) * turn(c, d, b) < 0


def arrange(
    anchors: Sequence[Point], heights: Sequence[float], gap: float, top: float, from_x: float
) -> list[float]:
    """Tops of labels for these anchors, reordered until no two leaders from `from_x` cross.

    Swapping two crossing leaders shortens their sum, so the swapping ends.
    """
    order = sorted(range(len(anchors)), key=lambda i: (anchors[i][1], anchors[i][0]))
    tops: dict[int, float] = {}
    for _ in range(len(order) ** 2 + 1):
        wanted = [anchors[i][1] - heights[i] / 2 for i in order]
        placed = spread(wanted, [heights[i] for i in order], gap, top)
        tops = dict(zip(order, placed, strict=True))
        clash = _find_crossing(order, anchors, heights, tops, from_x)
        if clash is None:
            break
        first, second = clash
        order[first], order[second] = order[second], order[first]
    return [tops[i] for i in range(len(anchors))]


def _find_crossing(
    order: list[int],
    anchors: Sequence[Point],
    heights: Sequence[float],
    tops: dict[int, float],
    from_x: float,
) -> tuple[int, int] | None:
    def leader(i: int) -> tuple[Point, Point]:
        return (from_x, tops[i] + heights[i] / 2), anchors[i]

    for first in range(len(order)):
        for second in range(first + 1, len(order)):
            if cross(leader(order[first]), leader(order[second])):
                return first, second
    return None
