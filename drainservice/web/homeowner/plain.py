"""The last result and the pit itself in words that need no trade."""

from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from drainservice.inspections import queries as inspections
from drainservice.inspections.models import Inspection, Look, LookKind
from drainservice.register.models import System


@dataclass(frozen=True, slots=True)
class LastResult:
    """Whether it works, as one sentence; since when we know it; what else was said."""

    says: str
    on: date | None
    more: tuple[str, ...] = ()
    is_wrong: bool = False


def last_result(system: System, *, is_down: bool) -> LastResult:
    """The newest word on the pump, then on silt and drain time."""
    found = inspections.inspections_of(system)
    more = tuple(_more(system))
    tested = _last_pump_test(found)
    if is_down:
        says = _("The pump does not work. We have it on our list until it is proven again.")
        return LastResult(says, tested.inspection.on if tested else None, more, is_wrong=True)
    if tested is None:
        return LastResult(_("We have not tested the pump here yet."), None, more)
    if tested.passed:
        says = _("It works: the pump ran, the water fell, and it stopped.")
        return LastResult(says, tested.inspection.on, more)
    says = _("The pump failed its test. Please ring us if nobody has told you what comes next.")
    return LastResult(says, tested.inspection.on, more, is_wrong=True)


def _last_pump_test(found: list[Inspection]) -> Look | None:
    """Newest first; what was corrected later does not count."""
    for inspection in found:
        if hasattr(inspection, "corrected_by"):
            continue
        looks: list[Look] = list(inspection.looks.all())
        tested = [k for k in looks if k.kind == LookKind.PUMP and k.passed is not None]
        if tested:
            return tested[0]
    return None


def _more(system: System) -> list[str]:
    words = []
    flow = inspections.last_result(system, "flow_against_duty")
    if flow is not None and flow.verdict == "watch":
        words.append(_("The pump is weaker than when it was new; we look again in spring."))
    if flow is not None and flow.verdict == "act":
        words.append(_("The pump is too weak for its height; it should be mended or replaced."))
    drain = inspections.last_result(system, "soakage")
    if drain is not None:
        words.append(_DRAIN[drain.verdict]())
    silt = inspections.last_result(system, "silt")
    if silt is not None:
        words.append(_SILT[silt.verdict]())
    return words


_DRAIN = {
    "good": lambda: _("The ground takes the water as fast as it should."),
    "watch": lambda: _("The ground takes the water more slowly than before; we keep watching it."),
    "act": lambda: _("The ground takes the water too slowly now; the pit is clogging."),
}
_SILT = {
    "good": lambda: _("There is little silt on the floor of the pit."),
    "watch": lambda: _("Silt has gathered in the pit; we clean it out at one of the next visits."),
    "act": lambda: _("There is too much silt in the pit; it must be cleaned out."),
}
