"""Check valve and weep hole as rules; common practice, no source.

The sizes of the effects are judgement, no source, to be replaced by the firm's own tests.
"""

from drainservice.engine.asbuilt.facts import ValveAttitude, ValvePlace
from drainservice.engine.asbuilt.finding import DefectKind as D
from drainservice.engine.asbuilt.finding import Effects, Part
from drainservice.engine.asbuilt.rule import Rule, equals
from drainservice.engine.failure_mode import FailureMode as M

VALVE_RULES = (
    Rule(
        D.NO_CHECK_VALVE,
        Part.CHECK_VALVE,
        lambda b: b.valve_is_present,
        equals(False),
        "Without a check valve the line drains back into the pit after every run, and the pump "
        "starts again and again until it wears out.",
        "Fit a check valve in the pit, upright, its arrow with the flow.",
        Effects(rate_factors=((M.PUMP, 1.5), (M.FLOAT, 1.5)), starts_factor=2.0),
    ),
    Rule(
        D.VALVE_LEAKS,
        Part.CHECK_VALVE,
        lambda b: b.valve_leaks,
        equals(True),
        "The check valve leaks: the line runs back and the pump runs more often than it rains.",
        "Clean the flap and its seat, or fit a new valve.",
        Effects(rate_factors=((M.PUMP, 1.3), (M.FLOAT, 1.3)), starts_factor=1.5),
        needs_valve=True,
    ),
    Rule(
        D.VALVE_ON_SIDE,
        Part.CHECK_VALVE,
        lambda b: b.valve_attitude,
        equals(ValveAttitude.ON_SIDE),
        "The check valve lies on its side: the flap can stick, open or shut.",
        "Set the valve upright. Until then measure the rise after stop at each visit.",
        Effects(rate_factors=((M.VALVE, 3.0),), leak_back_factor=3.0),
        needs_valve=True,
    ),
    Rule(
        D.VALVE_UPSIDE_DOWN,
        Part.CHECK_VALVE,
        lambda b: b.valve_attitude,
        equals(ValveAttitude.UPSIDE_DOWN),
        "The check valve hangs upside down: its own flap can block the line.",
        "Turn the valve upright now.",
        Effects(rate_factors=((M.VALVE, 4.0),), leak_back_factor=3.0),
        needs_valve=True,
        mend_now=True,
    ),
    Rule(
        D.VALVE_AGAINST_FLOW,
        Part.CHECK_VALVE,
        lambda b: b.valve_arrow_with_flow,
        equals(False),
        "The arrow on the check valve points against the flow: no water can leave the pit.",
        "Turn the valve round now; the pump counts as down until it is proven.",
        Effects(rate_factors=((M.VALVE, 4.0),)),
        needs_valve=True,
        mend_now=True,
    ),
    Rule(
        D.VALVE_BURIED,
        Part.CHECK_VALVE,
        lambda b: b.valve_place,
        equals(ValvePlace.BURIED),
        "The check valve is buried: it cannot be serviced without digging, and a test sees little "
        "of it.",
        "Offer to move it into the pit. Until then judge it by the rise after stop at every visit.",
        Effects(rate_factors=((M.VALVE, 1.5),), proof_coverage=((M.VALVE, 0.3),)),
        needs_valve=True,
    ),
    Rule(
        D.NO_WEEP_HOLE,
        Part.CHECK_VALVE,
        lambda b: b.weep_hole_is_present,
        equals(False),
        "There is no weep hole between pump and check valve: air caught there keeps the pump from "
        "moving water though it hums.",
        "Drill a small weep hole in the riser below the valve at the next visit. Until then begin "
        "every test with a dry sump.",
        Effects(rate_factors=((M.AIR_LOCK, 10.0),)),
        needs_valve=True,
    ),
)
