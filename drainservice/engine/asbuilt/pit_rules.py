"""Pit, stone, fabric, trees and lid as rules; common practice, no source.

The sizes of the effects are judgement, no source, to be replaced by the firm's own tests.
"""

from drainservice.engine.asbuilt.facts import Cover, Fabric, Stone
from drainservice.engine.asbuilt.finding import DefectKind as D
from drainservice.engine.asbuilt.finding import Effects, Part
from drainservice.engine.asbuilt.rule import Rule, equals
from drainservice.engine.failure_mode import FailureMode as M

IN_THE_PIT = (M.FLOAT, M.PUMP, M.VALVE, M.AIR_LOCK)

PIT_RULES = (
    Rule(
        D.INSERT_NOT_SUPPORTED,
        Part.PIT,
        lambda b: b.insert_is_supported,
        equals(False),
        "The insert is not supported: it sinks and tilts, and the float with it.",
        "Bed the insert level.",
        Effects(rate_factors=((M.FLOAT, 1.3),)),
        needs_pump=False,
    ),
    Rule(
        D.FINE_STONE,
        Part.PIT,
        lambda b: b.stone,
        lambda stone: stone in (Stone.SMALL, Stone.GRADED),
        "The stone is small or graded: it holds less water, stays damp and invites roots.",
        "Nothing practical short of rebuilding; look more often.",
        Effects(drain_slope_per_a=0.05),
        needs_pump=False,
    ),
    Rule(
        D.WRONG_FABRIC,
        Part.PIT,
        lambda b: b.fabric,
        lambda fabric: fabric in (Fabric.LANDSCAPING, Fabric.NONE),
        "The pit is not lined with non-woven geotextile: landscaping fabric clogs, and no fabric "
        "lets soil wash in.",
        "Measure the drain time at every visit and plan for a rebuild.",
        Effects(drain_slope_per_a=0.10, soak_factor=0.7),
        needs_pump=False,
    ),
    Rule(
        D.NEAR_TREES,
        Part.PIT,
        lambda b: b.tree_is_near,
        equals(True),
        "Large trees stand near: roots and leaves find the pit and the line.",
        "Look into the line yearly; clear gutters after the leaves have fallen.",
        Effects(rate_factors=((M.DISCHARGE, 2.0),), drain_slope_per_a=0.03),
        needs_pump=False,
        is_defect=False,
    ),
    Rule(
        D.NO_LEAF_TRAP,
        Part.PIT,
        lambda b: b.leaf_trap_is_present,
        equals(False),
        "There is no leaf trap: what the gutters carry ends in the pit.",
        "Fit a leaf trap at the downspouts.",
        Effects(drain_slope_per_a=0.03),
        needs_pump=False,
    ),
)
ACCESS_RULES = (
    Rule(
        D.NO_ACCESS_LID,
        Part.ACCESS_POINT,
        lambda b: b.cover,
        equals(Cover.NO_LID),
        "There is no lid: nothing in the pit can be seen, measured or mended; a test shows only "
        "whether water comes out at the outlet.",
        "Build an access first; until then the system cannot be judged.",
        Effects(proof_coverage=tuple((mode, 0.0) for mode in IN_THE_PIT)),
        needs_pump=False,
    ),
    Rule(
        D.LID_BURIED,
        Part.ACCESS_POINT,
        lambda b: b.cover,
        equals(Cover.BURIED_LID),
        "The lid is buried or paved over: nobody can look until it is reachable.",
        "Bring the lid up to grade.",
        needs_pump=False,
    ),
    Rule(
        D.LID_NOT_CHILD_SAFE,
        Part.ACCESS_POINT,
        lambda b: b.lid_is_child_safe,
        equals(False),
        "The lid is not child-safe: a child can open it and fall in.",
        "Close and lock it now.",
        needs_pump=False,
        mend_now=True,
    ),
)
