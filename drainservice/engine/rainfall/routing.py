"""Level-pool routing: what a pond or tank does to a flood wave that passes through it."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise


class StorageTableUnusable(ValueError):
    """The table of level, storage and outflow cannot be routed through."""


class LevelAboveTable(ValueError):
    """The water rises above the last level of the table."""


@dataclass(frozen=True, slots=True)
class StorageTable:
    """Level in m, storage in m3 and outflow in m3/s of a pond, row by row upwards."""

    levels_m: tuple[float, ...]
    storages_m3: tuple[float, ...]
    outflows_m3s: tuple[float, ...]

    def __post_init__(self) -> None:
        rows = len(self.levels_m)
        if rows < 2 or len(self.storages_m3) != rows or len(self.outflows_m3s) != rows:
            raise StorageTableUnusable(
                "Give level, storage and outflow for the same two or more rows."
            )
        if not (_rises(self.levels_m) and _rises(self.storages_m3)):
            raise StorageTableUnusable("Level and storage must rise from row to row.")
        if any(b < a for a, b in zip(self.outflows_m3s, self.outflows_m3s[1:], strict=False)):
            raise StorageTableUnusable("The outflow must not fall from row to row.")


@dataclass(frozen=True, slots=True)
class RoutedWave:
    """Outflow, level and storage at each step; times in s from the first inflow."""

    step_s: float
    outflows_m3s: tuple[float, ...]
    levels_m: tuple[float, ...]
    storages_m3: tuple[float, ...]

    @property
    def peak_outflow_m3s(self) -> float:
        """The largest outflow."""
        return max(self.outflows_m3s)

    @property
    def time_of_peak_s(self) -> float:
        """When the outflow is largest."""
        return self.outflows_m3s.index(self.peak_outflow_m3s) * self.step_s

    @property
    def max_level_m(self) -> float:
        """The highest level."""
        return max(self.levels_m)


def vertical_wall_table(
    area_m2: float, levels_m: Sequence[float], outflows_m3s: Sequence[float]
) -> StorageTable:
    """The table of a pond with vertical walls: storage = area times height above row one."""
    low_m = levels_m[0] if levels_m else 0.0
    storages = tuple(area_m2 * (level_m - low_m) for level_m in levels_m)
    return StorageTable(tuple(levels_m), storages, tuple(outflows_m3s))


def route_level_pool(
    table: StorageTable, inflows_m3s: Sequence[float], step_s: float, start_level_m: float = 0.0
) -> RoutedWave:
    """Route a wave by storage indication: 2 S2/dt + O2 = I1 + I2 + 2 S1/dt - O1.

    Inflows in m3/s at every step of step_s seconds; linear between the rows of the table.
    Source: Chow, Maidment and Mays, Applied Hydrology (1988), section 8.2.
    Raises StorageTableUnusable, LevelAboveTable.
    """
    if not step_s > 0.0:
        raise StorageTableUnusable("The step must be longer than nothing.")
    indication = [
        2.0 * s / step_s + o for s, o in zip(table.storages_m3, table.outflows_m3s, strict=True)
    ]
    level_m = start_level_m
    storage_m3 = interpolate(table.levels_m, table.storages_m3, level_m)
    outflow_m3s = interpolate(table.levels_m, table.outflows_m3s, level_m)
    rows = [(outflow_m3s, level_m, storage_m3)]
    for before_m3s, after_m3s in pairwise(inflows_m3s):
        right = before_m3s + after_m3s + 2.0 * storage_m3 / step_s - outflow_m3s
        # A table whose lowest outflow is above zero would ask for less than nothing.
        right = max(right, indication[0])
        outflow_m3s = interpolate(indication, table.outflows_m3s, right)
        level_m = interpolate(indication, table.levels_m, right)
        storage_m3 = interpolate(indication, table.storages_m3, right)
        rows.append((outflow_m3s, level_m, storage_m3))
    outflows, levels, storages = zip(*rows, strict=True)
    return RoutedWave(step_s, outflows, levels, storages)


def interpolate(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """Linear between the rows of a rising table; outside it there is no answer."""
    if x > xs[-1] or x < xs[0]:
        raise LevelAboveTable(
            "The water leaves the table of levels. Add rows to it, or use a larger pond."
        )
    i = min(bisect_right(xs, x), len(xs) - 1)
    share = (x - xs[i - 1]) / (xs[i] - xs[i - 1])
    return ys[i - 1] + share * (ys[i] - ys[i - 1])


def _rises(values: Sequence[float]) -> bool:
    return all(b > a for a, b in pairwise(values))
