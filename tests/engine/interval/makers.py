"""An ordinary yard system with one wet season, to be changed one fact at a time."""

from dataclasses import replace
from datetime import date

from drainservice.engine.asbuilt import facts as f
from drainservice.engine.asbuilt.facts import AsBuilt
from drainservice.engine.asbuilt.known import told
from drainservice.engine.interval.facts import (
    AsBuiltSince,
    Consequence,
    LookKind,
    LookOutcome,
    LookRecord,
    Origin,
    PumpFacts,
    SystemFacts,
)
from drainservice.engine.interval.settings import FirmSettings
from drainservice.engine.interval.yearly import MonthDay, Span
from drainservice.engine.reliability.history import PumpTest, SeenBy, SightKind
from drainservice.engine.reliability.rates import FloatKind, PumpClass

HANDED_OVER_ON = date(2024, 5, 10)
TODAY = date(2026, 11, 25)
SUMMER = Span(MonthDay(6, 1), MonthDay(9, 30))
WINTER = Span(MonthDay(12, 15), MonthDay(3, 10))

SOUND = AsBuilt(
    has_pump=told(True),
    valve_is_present=told(True),
    valve_attitude=told(f.ValveAttitude.UPRIGHT),
    weep_hole_is_present=told(True),
    pump_base=told(f.PumpBase.SOLID),
    cover=told(f.Cover.FLUSH_LID),
    has_alarm=told(True),
    has_backup=told(False),
)


def make_build(**values):
    """The sound build with some facts told otherwise."""
    return replace(SOUND, **{name: told(value) for name, value in values.items()})


def make_system(**values):
    """A system handed over in May 2024, its pump last proven on 10 November 2026."""
    given = {
        "origin": Origin.HANDED_OVER,
        "origin_on": HANDED_OVER_ON,
        "consequence": Consequence.NEAR_STRUCTURE,
        "as_built": (AsBuiltSince(HANDED_OVER_ON, SOUND),),
        "pump": PumpFacts(PumpClass.GOOD_SUBMERSIBLE, FloatKind.VERTICAL),
        "settings": FirmSettings(),
        "looks": (look(LookKind.PUMP, date(2026, 11, 10)),),
        "wet_seasons": (SUMMER,),
    }
    return SystemFacts(**(given | values))


def look(kind, on, outcome=LookOutcome.DONE, why_not=""):
    """One look of a kind, done unless said otherwise."""
    return LookRecord(kind, on, outcome, why_not)


def proof(on, passed=True, **more):
    """A technician's proof test."""
    return PumpTest(on, SightKind.PROOF, passed, SeenBy.TECHNICIAN, **more)


def bucket(on, passed=True, **more):
    """A household's bucket test."""
    return PumpTest(on, SightKind.BUCKET, passed, SeenBy.HOUSEHOLD, **more)
