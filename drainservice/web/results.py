"""A computed result as it is read: its title, what was measured against what, and the verdict."""

from dataclasses import dataclass, replace

from drainservice.engine.explain import SentenceUnknown
from drainservice.engine.interval.plain import StoredFormUnreadable
from drainservice.engine.units import UnitSystem
from drainservice.inspections import queries as inspections
from drainservice.inspections.models import Result
from drainservice.inspections.models.verdicts import verdict_key
from drainservice.inspections.queries import Sum

TITLES = {
    "flow_against_duty": "Flow against duty",
    "shared_main": "With the others on its main",
    "back_flow": "Back through the check valve",
    "other_pit": "Back from the main",
    "soakage": "Time to drain",
    "silt": "Silt against its limit",
}
UNREADABLE = "It was stored in another form and cannot be told any more; its readings stand."


@dataclass(frozen=True, slots=True)
class Said:
    """One result as it is read: a title, the sum in words, the verdict, or what is missing."""

    title: str
    sum: str
    verdict: str
    word: str
    missing: str = ""


def say_result(result: Result | Sum, system: UnitSystem) -> Said:
    """A stored or previewed result in the reader's units, in the engine's own words.

    The verdict's sentence is set apart, since the page shows it by itself.
    """
    title = TITLES.get(result.what, result.what.replace("_", " "))
    if "missing" in result.outputs:
        return Said(title, "", "", "", str(result.outputs["missing"]))
    try:
        kept = inspections.read_kept(result)
        key = verdict_key(result.what, kept.verdict)
        judged = replace(kept, said=tuple(s for s in kept.said if s.key == key))
        rest = replace(kept, said=tuple(s for s in kept.said if s.key != key))
        return Said(title, rest.tell(system), judged.tell(system), result.verdict)
    except (StoredFormUnreadable, SentenceUnknown):
        return Said(title, "", "", "", UNREADABLE)
