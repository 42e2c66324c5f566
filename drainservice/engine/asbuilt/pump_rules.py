"""Pump, power and line as rules; common practice, no source.

The sizes of the effects are judgement, no source, to be replaced by the firm's own tests.
"""

from drainservice.engine.asbuilt.facts import Joint, PumpBase
from drainservice.engine.asbuilt.finding import DefectKind as D
from drainservice.engine.asbuilt.finding import Effects, Part
from drainservice.engine.asbuilt.rule import Rule, equals
from drainservice.engine.failure_mode import FailureMode as M
from drainservice.engine.units import GALLON_M3

# Four 5-gallon buckets: more than this nobody carries to a pit.
MANY_BUCKETS_M3 = 20 * GALLON_M3

PUMP_RULES = (
    Rule(
        D.PUMP_ON_LOOSE_STONE,
        Part.PUMP,
        lambda b: b.pump_base,
        equals(PumpBase.LOOSE_STONE),
        "The pump stands on loose stone: it tilts, the float catches, and grit goes through it.",
        "Set it on a flat solid base.",
        Effects(rate_factors=((M.PUMP, 1.7), (M.FLOAT, 1.3)), sediment_factor=1.5),
    ),
    Rule(
        D.BUCKET_SELDOM_STARTS_PUMP,
        Part.PUMP,
        lambda b: b.water_to_start_m3,
        lambda volume_m3: bool(volume_m3 > MANY_BUCKETS_M3),
        "A bucket will not start this pump: it takes more water than anyone should carry.",
        "Ask for the test with a garden hose, and say for how many minutes.",
        is_defect=False,
    ),
    Rule(
        D.RUNS_WITHOUT_RAIN,
        Part.PUMP,
        lambda b: b.runs_without_rain,
        equals(True),
        "The pump runs without rain: groundwater, water leaking back, or its own outlet coming "
        "home. It does not hide a failure, it wears.",
        "Find where the water comes from; count starts at every visit.",
        Effects(rate_factors=((M.PUMP, 1.5), (M.FLOAT, 1.5)), starts_factor=3.0),
    ),
    Rule(
        D.NO_ALARM,
        Part.PUMP,
        lambda b: b.has_alarm,
        equals(False),
        "There is no high-water alarm: if the pump dies, nobody knows until water stands.",
        "Offer an alarm.",
    ),
    Rule(
        D.NO_GFCI,
        Part.POWER,
        lambda b: b.outlet_is_gfci,
        equals(False),
        "The outlet is not GFCI-protected: a fault near water can kill.",
        "Unplug before reaching in; have a licensed electrician fit a protected outlet.",
    ),
)
LINE_RULES = (
    Rule(
        D.TEE_JOINT,
        Part.LINE,
        lambda b: b.joint,
        equals(Joint.TEE),
        "The line meets the main through a tee: leaves and grit catch at the square corner.",
        "Flush the joint yearly; change it to a wye when the line is open anyway.",
        Effects(rate_factors=((M.DISCHARGE, 1.3),)),
    ),
)
