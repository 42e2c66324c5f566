"""The effective plan area of a pit: how much water stands in one metre of its depth."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from drainservice.engine.hydraulics.amounts import (
    ImpossibleAmount,
    require_depth,
    require_not_negative,
    require_positive,
    require_share,
)
from drainservice.engine.hydraulics.measured import Measured, Propagated, propagate

NO_BLOCKS: Final = Measured(0.0)


class InsertWiderThanPit(ImpossibleAmount):
    """An insert, or the blocks in it, that cannot stand inside what surrounds it."""


@dataclass(frozen=True, slots=True)
class BoxPit:
    """A stone-filled box round a round insert, as measured, each value with its sd.

    Blocks are the solid ones that stand inside the insert on the floor, up to `block_height_m`.
    """

    insert_diameter_m: Measured
    side_1_m: Measured
    side_2_m: Measured
    void_ratio: Measured
    block_area_m2: Measured = NO_BLOCKS
    block_height_m: float = 0.0


@dataclass(frozen=True, slots=True)
class RoundPit:
    """A stone-filled round hole round a round insert; the same otherwise.

    A bare round well is an insert of the pit's own diameter.
    """

    insert_diameter_m: Measured
    pit_diameter_m: Measured
    void_ratio: Measured
    block_area_m2: Measured = NO_BLOCKS
    block_height_m: float = 0.0


def round_area(diameter_m: float) -> float:
    """Plan area of a round well, m2: pi d^2/4. Raises ImpossibleAmount."""
    require_positive("diameter", diameter_m)
    return math.pi * diameter_m**2 / 4


def effective_area(
    insert_area_m2: float, pit_area_m2: float, void_ratio: float, block_area_m2: float = 0.0
) -> float:
    """Water area of any shape of pit, m2: A = (A_ins - A_b) + n (A_pit - A_ins).

    Holds while stone and insert stand at one level. For a fast drawdown the insert may fall
    alone: then void_ratio 0 gives its area. Source: mass balance. Raises InsertWiderThanPit,
    ImpossibleAmount.
    """
    require_not_negative("area of the insert", insert_area_m2)
    require_not_negative("area of the blocks", block_area_m2)
    require_share("void ratio", void_ratio)
    if block_area_m2 > insert_area_m2:
        raise InsertWiderThanPit(
            "The blocks are wider than the insert they stand in; measure again."
        )
    if pit_area_m2 < insert_area_m2 * (1 - 1e-9):
        raise InsertWiderThanPit("The insert is wider than the pit round it; measure both again.")
    stone_m2 = max(pit_area_m2 - insert_area_m2, 0.0)
    area_m2 = insert_area_m2 - block_area_m2 + void_ratio * stone_m2
    require_positive("area of the pit", area_m2)
    return area_m2


def area_between(pit: BoxPit | RoundPit, low_m: float, high_m: float) -> Propagated:
    """Mean water area of the pit over a band of levels above the floor, m2, with its sd.

    The blocks count only over the part of the band they reach. First order, all inputs
    independent. Raises NegativeDepth, InsertWiderThanPit, ImpossibleAmount.
    """
    require_depth("lower level", low_m)
    require_depth("upper level", high_m)
    require_not_negative("height of the blocks", pit.block_height_m)
    if high_m <= low_m:
        raise ImpossibleAmount("The upper level must stand above the lower one; swap the two.")
    beside_blocks_m = min(max(pit.block_height_m - low_m, 0.0), high_m - low_m)
    share = beside_blocks_m / (high_m - low_m)

    def area_m2(x: Mapping[str, float]) -> float:
        insert_m2 = math.pi * x["insert diameter"] ** 2 / 4
        stone_m2 = _hole_area(x) - insert_m2
        return insert_m2 - share * x["block area"] + x["void ratio"] * stone_m2

    inputs = _name_inputs(pit)
    _require_sound({name: measured.value for name, measured in inputs.items()})
    return propagate(area_m2, inputs)


def _name_inputs(pit: BoxPit | RoundPit) -> dict[str, Measured]:
    inputs = {
        "insert diameter": pit.insert_diameter_m,
        "void ratio": pit.void_ratio,
        "block area": pit.block_area_m2,
    }
    if isinstance(pit, RoundPit):
        return inputs | {"pit diameter": pit.pit_diameter_m}
    return inputs | {"side 1": pit.side_1_m, "side 2": pit.side_2_m}


def _hole_area(x: Mapping[str, float]) -> float:
    if "pit diameter" in x:
        return math.pi * x["pit diameter"] ** 2 / 4
    return x["side 1"] * x["side 2"]


def _require_sound(x: Mapping[str, float]) -> None:
    for name in x.keys() - {"void ratio", "block area"}:
        require_positive(name, x[name])
    insert_m2 = round_area(x["insert diameter"])
    effective_area(insert_m2, _hole_area(x), x["void ratio"], x["block area"])


def area_by_pouring(volume_m3: Measured, rise_m: Measured) -> Propagated:
    """Area from a known volume poured in and the rise it made, m2: A = V / dh.

    Best done once per system and stored: it needs no void ratio. The pit must not drain or
    receive meanwhile. Raises ImpossibleAmount.
    """
    require_positive("poured volume", volume_m3.value)
    require_positive("rise of the level", rise_m.value)
    return propagate(lambda x: x["volume"] / x["rise"], {"volume": volume_m3, "rise": rise_m})
