"""The as-built check: defects that are known, and questions for what is not."""

from dataclasses import dataclass

from drainservice.engine.asbuilt.asks import ASKS
from drainservice.engine.asbuilt.facts import AsBuilt
from drainservice.engine.asbuilt.finding import NO_EFFECTS, DefectKind, Finding, FirstLookAsk, Part
from drainservice.engine.asbuilt.known import How, Known
from drainservice.engine.asbuilt.pit_rules import ACCESS_RULES, PIT_RULES
from drainservice.engine.asbuilt.pump_rules import LINE_RULES, PUMP_RULES
from drainservice.engine.asbuilt.rule import Rule
from drainservice.engine.asbuilt.valve_rules import VALVE_RULES

RULES = (*VALVE_RULES, *PUMP_RULES, *LINE_RULES, *PIT_RULES, *ACCESS_RULES)
SURENESS = (How.MEASURED, How.DRAWN, How.TOLD, How.ASSUMED, How.UNKNOWN)


@dataclass(frozen=True, slots=True)
class AsBuiltCheck:
    """Both halves of the check: what is wrong or must be known of, and what nobody knows."""

    findings: tuple[Finding, ...]
    asks: tuple[FirstLookAsk, ...]


def check_as_built(as_built: AsBuilt) -> AsBuiltCheck:
    """Findings and asks of one system, in the order of the parts."""
    return AsBuiltCheck(tuple(defects_of(as_built)), tuple(asks_of(as_built)))


def defects_of(as_built: AsBuilt) -> list[Finding]:
    """Every defect or circumstance that is known; an unknown fact is neither fine nor wrong.

    Two facts make one finding where it takes both: a line that holds water where the ground
    freezes, and a pump with a structure near. Common practice, no source.
    """
    found = [_finding(rule, as_built) for rule in RULES if _holds(rule, as_built)]
    return [*found, *_freezing_line(as_built), *_structure_near(as_built)]


def asks_of(as_built: AsBuilt) -> list[FirstLookAsk]:
    """Every fact nobody knows that matters here, each with what to find out and why."""
    return [
        FirstLookAsk(ask.fact, ask.part, ask.what, ask.why)
        for ask in ASKS
        if not getattr(as_built, ask.fact).is_known
        and not (ask.needs_pump and as_built.has_pump.holds(False))
        and not (ask.needs_valve and as_built.valve_is_present.holds(False))
    ]


def _holds(rule: Rule, as_built: AsBuilt) -> bool:
    fact = rule.fact(as_built)
    if rule.needs_pump and as_built.has_pump.holds(False):
        return False
    if rule.needs_valve and as_built.valve_is_present.holds(False):
        return False
    return fact.is_known and rule.is_wrong(fact.value)


def _finding(rule: Rule, as_built: AsBuilt) -> Finding:
    return Finding(
        kind=rule.kind,
        part=rule.part,
        how=rule.fact(as_built).how,
        consequence=rule.consequence,
        action=rule.action,
        effects=rule.effects,
        is_defect=rule.is_defect,
        mend_now=rule.mend_now,
    )


def _least_sure(*facts: Known[bool]) -> How:
    return max((fact.how for fact in facts), key=SURENESS.index)


def _freezing_line(as_built: AsBuilt) -> list[Finding]:
    if as_built.has_pump.holds(False):
        return []
    if not (as_built.line_holds_water.holds(True) and as_built.ground_freezes.holds(True)):
        return []
    return [
        Finding(
            kind=DefectKind.LINE_HOLDS_WATER_FREEZES,
            part=Part.LINE,
            how=_least_sure(as_built.line_holds_water, as_built.ground_freezes),
            consequence="The line holds water and the ground freezes: ice blocks it in the first "
            "thaw, when it is needed most.",
            action="Lay the line to drain, or empty it before frost; look in autumn and spring.",
            effects=NO_EFFECTS,
        )
    ]


def _structure_near(as_built: AsBuilt) -> list[Finding]:
    if not (as_built.structure_is_near.holds(True) and as_built.has_pump.holds(True)):
        return []
    return [
        Finding(
            kind=DefectKind.NEAR_STRUCTURE_DEPENDS_ON_PUMP,
            part=Part.PIT,
            how=_least_sure(as_built.structure_is_near, as_built.has_pump),
            consequence="The pit is close to a structure and depends on its pump: if the pump is "
            "dead, water goes towards the building.",
            action="Test before every wet season; offer an alarm, and a battery where power fails.",
            effects=NO_EFFECTS,
            is_defect=False,
        )
    ]
