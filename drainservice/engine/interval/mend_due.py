"""What must be mended or made reachable, with its own date."""

from datetime import date, timedelta

from drainservice.engine.asbuilt.check import defects_of
from drainservice.engine.asbuilt.finding import DefectKind, Finding
from drainservice.engine.explain import Sentence
from drainservice.engine.interval.due import Candidate, DueDate, DueKind, GovernedBy, StandsOn
from drainservice.engine.interval.facts import Consequence, SystemFacts

PUMP = "pump"
UNREACHABLE = (DefectKind.LID_BURIED, DefectKind.NO_ACCESS_LID)


def mend_days(facts: SystemFacts) -> int:
    """Days in which a dead part is to be proven again, by what it would do here."""
    days = facts.settings.mend_days
    return {
        Consequence.YARD: days.yard,
        Consequence.NEAR_STRUCTURE: days.near_structure,
        Consequence.LIVING_SPACE: days.living_space,
        Consequence.FLOODED_BEFORE: days.flooded_before,
    }[facts.consequence]


def pump_mend_by(facts: SystemFacts, dead_since: date | None) -> date | None:
    """By when the pump is to be proven again; a valve against the flow counts as a dead pump."""
    against = _held_since(facts, DefectKind.VALVE_AGAINST_FLOW)
    since = [day for day in (dead_since, against) if day is not None]
    return min(since) + timedelta(days=mend_days(facts)) if since else None


def mend_dues(facts: SystemFacts, pump_dead_since: date | None) -> list[DueDate]:
    """One for each part that is down and each defect that cannot wait."""
    down = {d.part: d.since for d in sorted(facts.down, key=lambda d: d.since, reverse=True)}
    if pump_dead_since is not None:
        down[PUMP] = pump_dead_since
    dues = [_down(facts, part, since) for part, since in sorted(down.items())]
    urgent = [f for f in defects_of(facts.as_built[-1].facts) if f.mend_now]
    return [*dues, *(_defect(facts, finding) for finding in urgent)]


def access_dues(facts: SystemFacts) -> list[DueDate]:
    """Making the lid reachable, due some days after it was found covered or is known buried."""
    found = [f.kind for f in defects_of(facts.as_built[-1].facts) if f.kind in UNREACHABLE]
    days = [_held_since(facts, kind) for kind in found]
    days.append(facts.lid_unreachable_since)
    since = min((day for day in days if day is not None), default=None)
    if since is None:
        return []
    defect = str(found[0]) if found else "lid_covered"
    due_on = since + timedelta(days=facts.settings.access_days)
    said = Sentence("access", (("since_on", since.isoformat()), ("due_on", due_on.isoformat())))
    return [_plain(DueKind.ACCESS, since, due_on, GovernedBy.LID_COVERED, said, defect)]


def lid_is_unreachable(facts: SystemFacts) -> bool:
    """True while nobody can look into the pit."""
    kinds = {f.kind for f in defects_of(facts.as_built[-1].facts)}
    return facts.lid_unreachable_since is not None or bool(kinds & set(UNREACHABLE))


def _held_since(facts: SystemFacts, kind: DefectKind) -> date | None:
    """Since when this defect has held without a break, None where it does not hold now."""
    since: date | None = None
    for entry in reversed(facts.as_built):
        if kind not in {f.kind for f in defects_of(entry.facts)}:
            return since
        since = entry.since
    return since


def _down(facts: SystemFacts, part: str, since: date) -> DueDate:
    due_on = since + timedelta(days=mend_days(facts))
    values = (("part", part), ("since_on", since.isoformat()), ("due_on", due_on.isoformat()))
    return _plain(DueKind.MEND, since, due_on, GovernedBy.DOWN, Sentence("mend", values), part)


def _defect(facts: SystemFacts, finding: Finding) -> DueDate:
    since = _held_since(facts, finding.kind) or facts.origin_on
    due_on = since + timedelta(days=mend_days(facts))
    values = (("defect", str(finding.kind)), ("due_on", due_on.isoformat()))
    said = Sentence("mend_defect", values)
    return _plain(DueKind.MEND, since, due_on, GovernedBy.DEFECT, said, str(finding.kind))


def _plain(
    kind: DueKind,
    since: date,
    due_on: date,
    governed_by: GovernedBy,
    said: Sentence,
    defect: str,
) -> DueDate:
    return DueDate(
        kind=kind,
        due_on=due_on,
        opens_on=since,
        governed_by=governed_by,
        candidates=(Candidate(governed_by, due_on, defect),),
        reason=(said,),
        stands_on=StandsOn.OUR_JUDGEMENT,
        range_from_on=due_on,
        range_to_on=due_on,
        would_lengthen=(),
        honesty=(Sentence("advice_only"),),
        posterior=None,
        defect=defect,
    )
