"""What the as-built says is wrong, in words, so that nothing is drawn wrong without being said.

Source of every rule: common practice of the trade, no published source.
"""

from collections.abc import Callable, Iterator

from drainservice.engine.drawings.pit_facts import (
    Arrow,
    Attitude,
    Base,
    Fabric,
    Fault,
    Known,
    LineEnd,
    PitFacts,
    Place,
)
from drainservice.engine.units import INCH_M

Say = Callable[[str], str]
FINE_STONE_M = 1.0 * INCH_M


def say_plainly(words: str) -> str:
    """The words as they stand; a page may pass its translator instead."""
    return words


def find_faults(facts: PitFacts, say: Say = say_plainly) -> list[Fault]:
    """The caller's faults, then what the drawing shows wrong on parts nobody spoke of."""
    spoken = {fault.part for fault in facts.faults}
    seen = [Fault(part, say(mark), say(sentence)) for part, mark, sentence in _look(facts)]
    return [*facts.faults, *(fault for fault in seen if fault.part not in spoken)]


def _look(facts: PitFacts) -> Iterator[tuple[str, str, str]]:
    if facts.lid.covered_by:
        yield (
            "lid",
            "covered",
            "The lid is covered, so nobody can look under it; make it reachable.",
        )
    yield from _look_at_valve(facts)
    if facts.pump and facts.pump.base == Base.LOOSE_STONE:
        yield (
            "base",
            "not flat and solid",
            "The pump stands on loose stone and can tilt or sink; give it a flat, solid base.",
        )
    if facts.fabric == Fabric.LANDSCAPE:
        yield (
            "fabric",
            "not non-woven",
            "The lining is landscape cloth, which does not pass water like non-woven fabric; "
            "watch the drain time.",
        )
    if facts.fabric == Fabric.NONE:
        yield (
            "fabric",
            "missing",
            "No fabric lines the hole, so soil washes into the stone; watch the drain time.",
        )
    if facts.stone_m is not None and facts.stone_m < FINE_STONE_M:
        yield (
            "stone",
            "too fine",
            "The stone is fine, so it holds moisture and invites roots; look for roots each time.",
        )
    if facts.discharge and facts.discharge.end == LineEnd.MAIN_BY_TEE:
        yield (
            "discharge",
            "joins by a tee",
            "The line joins the main by a tee, where it blocks more easily than at a wye; "
            "look at the joint when the flow falls.",
        )


def _look_at_valve(facts: PitFacts) -> Iterator[tuple[str, str, str]]:
    if facts.pump is None:
        return
    valve = facts.valve
    if valve.present == Known.NO:
        yield (
            "valve",
            "missing",
            "There is no check valve, so the line drains back and the pump starts again and "
            "again; fit one.",
        )
    if valve.present == Known.YES:
        yield from _look_at_fitted_valve(facts)
    if valve.weep_hole == Known.NO:
        yield (
            "weep",
            "missing",
            "There is no weep hole between pump and check valve, so air can lock the pump; "
            "drill one as the pump's maker says.",
        )


def _look_at_fitted_valve(facts: PitFacts) -> Iterator[tuple[str, str, str]]:
    valve = facts.valve
    if valve.arrow == Arrow.AGAINST_FLOW:
        yield (
            "valve",
            "against the flow",
            "The check valve points against the flow, so the pump cannot push water out; "
            "turn it round.",
        )
    if valve.place == Place.BURIED:
        yield (
            "valve",
            "buried",
            "The check valve is buried in the line and must be dug up to be looked at; "
            "move it into the pit.",
        )
    if valve.attitude == Attitude.ON_ITS_SIDE:
        yield (
            "valve",
            "on its side",
            "The check valve lies on its side, so its flap can stick; set it upright in the riser.",
        )
