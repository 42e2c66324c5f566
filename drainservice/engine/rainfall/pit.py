"""A pit as the rain sees it: how much it stores, what the soil takes, when its pump runs."""

import math
from dataclasses import dataclass, replace
from itertools import pairwise


class PitImpossible(ValueError):
    """Sizes, levels or rates of a pit or pump that cannot exist together."""


@dataclass(frozen=True, slots=True)
class Band:
    """Part of the pit up to top_m above its bottom, with one plan area of free water."""

    top_m: float
    plan_area_m2: float


@dataclass(frozen=True, slots=True)
class OnOffPump:
    """A pump of constant flow that starts at the on level and stops at the off level.

    Levels in m above the bottom of the pit, flow in m3/s (the duty flow, between on and off).
    """

    flow_m3s: float
    on_level_m: float
    off_level_m: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.flow_m3s) and self.flow_m3s > 0.0):
            raise PitImpossible("A pump that runs has a flow; leave a dead pump out.")
        if not 0.0 <= self.off_level_m < self.on_level_m:
            raise PitImpossible(
                "The off level lies below the on level and not below the bottom of the pit."
            )


@dataclass(frozen=True, slots=True)
class Pit:
    """Storage and soil of a pit.

    bands: from the bottom up; the last top is the rim, above which water is lost by overflow.
    seepage_ms: what the soil takes, in m/s, over soil_area_m2 (the bottom, in m2) and over
    soil_wall_m metres of wall, as high as it is wet (0: the bottom only).
    """

    bands: tuple[Band, ...]
    seepage_ms: float = 0.0
    soil_area_m2: float = 0.0
    soil_wall_m: float = 0.0

    def __post_init__(self) -> None:
        tops = [0.0, *(band.top_m for band in self.bands)]
        if not self.bands or any(b <= a for a, b in pairwise(tops)):
            raise PitImpossible("A pit needs bands whose tops rise from the bottom to the rim.")
        if any(not band.plan_area_m2 > 0.0 for band in self.bands):
            raise PitImpossible("Every band of a pit needs a plan area of free water above zero.")
        if min(self.seepage_ms, self.soil_area_m2, self.soil_wall_m) < 0.0:
            raise PitImpossible("Seepage, soil area and wall length are not below zero.")

    @property
    def depth_m(self) -> float:
        """Height of the rim above the bottom."""
        return self.bands[-1].top_m


@dataclass(frozen=True, slots=True)
class PitRun:
    """What went through a pit in a run. Volumes in m3, levels in m, times in s.

    inflow = pumped + infiltrated + overflow + change of storage.
    starts: one count for each pump, in the order given. over_rim_s: time spent overflowing.
    trace: (time, level) pairs, where the run was asked to keep them.
    """

    inflow_m3: float
    pumped_m3: float
    infiltrated_m3: float
    overflow_m3: float
    start_level_m: float
    final_level_m: float
    max_level_m: float
    starts: tuple[int, ...]
    running_s: tuple[float, ...]
    over_rim_s: float
    trace: tuple[tuple[float, float], ...] = ()

    @property
    def total_starts(self) -> int:
        """Starts of all pumps together."""
        return sum(self.starts)

    @property
    def has_overflowed(self) -> bool:
        """Whether any water has gone over the rim."""
        return self.overflow_m3 > 0.0


def straight_pit(
    plan_area_m2: float, depth_m: float, seepage_ms: float = 0.0, soil_wall_m: float = 0.0
) -> Pit:
    """A pit of one effective plan area from bottom to rim, whose soil area is that area."""
    return Pit((Band(depth_m, plan_area_m2),), seepage_ms, plan_area_m2, soil_wall_m)


def stone_pit(
    box_m: tuple[float, float],
    insert_diameter_m: float,
    void_ratio: float,
    depth_m: float,
    seepage_ms: float = 0.0,
    soaks_through_walls: bool = False,
) -> Pit:
    """A stone-filled box round a perforated insert: A = A_insert + n (B1 B2 - A_insert).

    Holds while stone and insert stand level (perforations open). The soil sees the whole box,
    and its walls too where soaks_through_walls. Source: geometry. Raises PitImpossible.
    """
    insert_m2 = math.pi * insert_diameter_m**2 / 4.0
    box_m2 = box_m[0] * box_m[1]
    if not (0.0 < void_ratio <= 1.0 and 0.0 <= insert_diameter_m <= min(box_m)):
        raise PitImpossible("The insert must fit the box, and the void ratio lie within 0 to 1.")
    area_m2 = insert_m2 + void_ratio * (box_m2 - insert_m2)
    wall_m = 2.0 * (box_m[0] + box_m[1]) if soaks_through_walls else 0.0
    return Pit((Band(depth_m, area_m2),), seepage_ms, box_m2, wall_m)


def stored_m3(pit: Pit, level_m: float) -> float:
    """Water in the pit at a level, in m3. Raises PitImpossible outside the pit."""
    if not 0.0 <= level_m <= pit.depth_m:
        raise PitImpossible(
            f"The level must lie between the bottom and the rim at {pit.depth_m:g} m."
        )
    volume_m3, low_m = 0.0, 0.0
    for band in pit.bands:
        volume_m3 += band.plan_area_m2 * max(min(level_m, band.top_m) - low_m, 0.0)
        low_m = band.top_m
    return volume_m3


def seepage_m3s(pit: Pit, level_m: float) -> float:
    """What the soil takes at a level: f (A + x h), in m3/s. Source: Darcy at unit gradient."""
    return pit.seepage_ms * (pit.soil_area_m2 + pit.soil_wall_m * level_m)


def weaken_pump(pump: OnOffPump, share: float) -> OnOffPump:
    """The same pump giving only a share of its flow (0.6: forty percent lost)."""
    return replace(pump, flow_m3s=pump.flow_m3s * share)


def check_pumps_fit(pit: Pit, pumps: tuple[OnOffPump, ...]) -> None:
    """Refuse a pump whose on level lies above the rim: it would never start."""
    if any(pump.on_level_m > pit.depth_m for pump in pumps):
        raise PitImpossible(
            f"A pump's on level lies above the rim at {pit.depth_m:g} m: it could never start."
        )
