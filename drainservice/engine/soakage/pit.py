"""The pit as the soakage sums see it: plan area, wetted perimeter, void ratio."""

import math
from dataclasses import dataclass


class PitCannotExist(ValueError):
    """A dimension or a void ratio no pit in the ground can have."""


@dataclass(frozen=True, slots=True)
class Pit:
    """A pit with upright walls.

    plan_area_m2: area of the bottom, stone and insert together, m2.
    perimeter_m: length of the wetted wall in plan, m (0: only the bottom soaks).
    void_ratio: water volume over whole volume in the band in question, 0 < n <= 1.
    """

    plan_area_m2: float
    perimeter_m: float
    void_ratio: float

    def __post_init__(self) -> None:
        refuse_unless_positive(self.plan_area_m2, "plan area of the pit")
        if not (math.isfinite(self.perimeter_m) and self.perimeter_m >= 0.0):
            raise PitCannotExist("The perimeter of the pit cannot be negative; measure it again.")
        refuse_impossible_void_ratio(self.void_ratio)


def refuse_unless_positive(value: float, what: str) -> None:
    """Raise PitCannotExist unless the value is a finite number above zero."""
    if not (math.isfinite(value) and value > 0.0):
        raise PitCannotExist(f"The {what} must be a number above zero; measure it again.")


def refuse_impossible_void_ratio(void_ratio: float) -> None:
    """Raise PitCannotExist unless 0 < n <= 1."""
    if not 0.0 < void_ratio <= 1.0:
        raise PitCannotExist(
            "The void ratio is the share of the pit that can hold water: above 0, at most 1. "
            "Clean single-size stone is about 0.40."
        )


def find_effective_area(
    plan_area_m2: float,
    stone_void_ratio: float,
    insert_area_m2: float = 0.0,
    block_area_m2: float = 0.0,
) -> float:
    """Area that holds water at one level, m2.

    A = (A_insert - A_blocks) + n (A_plan - A_insert)

    Insert and stone are taken to stand at one level (the perforations are open). The blocks are
    solid and stand inside the insert; give them only for levels below their top.
    Raises PitCannotExist. Source: geometry.
    """
    refuse_unless_positive(plan_area_m2, "plan area of the pit")
    refuse_impossible_void_ratio(stone_void_ratio)
    if not 0.0 <= insert_area_m2 <= plan_area_m2:
        raise PitCannotExist("The insert must fit inside the pit; look at both sizes again.")
    if not 0.0 <= block_area_m2 <= insert_area_m2:
        raise PitCannotExist("The blocks must fit inside the insert; look at both sizes again.")
    return (insert_area_m2 - block_area_m2) + stone_void_ratio * (plan_area_m2 - insert_area_m2)


def find_effective_void_ratio(
    plan_area_m2: float,
    stone_void_ratio: float,
    insert_area_m2: float = 0.0,
    block_area_m2: float = 0.0,
) -> float:
    """Area that holds water over the plan area, n = A / A_plan; see find_effective_area."""
    area = find_effective_area(plan_area_m2, stone_void_ratio, insert_area_m2, block_area_m2)
    return area / plan_area_m2


def box_pit(
    length_m: float,
    width_m: float,
    stone_void_ratio: float,
    insert_diameter_m: float = 0.0,
    block_area_m2: float = 0.0,
) -> Pit:
    """A rectangular pit of stone round an upright round insert; all four walls soak."""
    refuse_unless_positive(length_m, "length of the pit")
    refuse_unless_positive(width_m, "width of the pit")
    area = length_m * width_m
    insert = find_circle_area(insert_diameter_m)
    ratio = find_effective_void_ratio(area, stone_void_ratio, insert, block_area_m2)
    return Pit(area, 2.0 * (length_m + width_m), ratio)


def round_pit(
    diameter_m: float,
    stone_void_ratio: float,
    insert_diameter_m: float = 0.0,
    block_area_m2: float = 0.0,
) -> Pit:
    """A round pit of stone round an upright round insert; the whole wall soaks."""
    refuse_unless_positive(diameter_m, "diameter of the pit")
    area = find_circle_area(diameter_m)
    insert = find_circle_area(insert_diameter_m)
    ratio = find_effective_void_ratio(area, stone_void_ratio, insert, block_area_m2)
    return Pit(area, math.pi * diameter_m, ratio)


def find_circle_area(diameter_m: float) -> float:
    """pi D^2 / 4, m2."""
    if not (math.isfinite(diameter_m) and diameter_m >= 0.0):
        raise PitCannotExist("A diameter cannot be negative; measure it again.")
    return math.pi * diameter_m**2 / 4.0
