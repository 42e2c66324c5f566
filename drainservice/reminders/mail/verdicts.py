"""What the tests of a look found, in words for the household: of several sums the worst."""

from django.utils.translation import gettext as _

from drainservice.inspections.models import Look, Result
from drainservice.inspections.models.inspection import Verdict

WORST_FIRST = (Verdict.ACT, Verdict.REPEAT, Verdict.WATCH, Verdict.GOOD)
# What other pumps on a main leave of this one's flow is for the office, not a finding of the test.
NOT_TOLD = {"shared_main"}


def verdict_words(look: Look) -> str:
    """One sentence; empty where nothing was weighed."""
    results = Result.objects.standing().filter(look=look).exclude(what__in=NOT_TOLD)
    given = sorted(results.exclude(verdict=""), key=_badness)
    return _words(given[0].what)[Verdict(given[0].verdict)] if given else ""


def _badness(result: Result) -> int:
    return WORST_FIRST.index(Verdict(result.verdict))


def _words(what: str) -> dict[Verdict, str]:
    again = _("Not clear yet; we measure again.")
    if what == "soakage":
        return {
            Verdict.GOOD: _("The ground takes the water as fast as it should."),
            Verdict.WATCH: _(
                "The ground takes the water more slowly than before; we keep watching it."
            ),
            Verdict.REPEAT: again,
            Verdict.ACT: _("The ground takes the water too slowly now; the pit is clogging."),
        }
    if what == "silt":
        return {
            Verdict.GOOD: _("There is little silt on the floor of the pit."),
            Verdict.WATCH: _(
                "Silt has gathered in the pit; we clean it out at one of the next visits."
            ),
            Verdict.REPEAT: again,
            Verdict.ACT: _("There is too much silt in the pit; it must be cleaned out."),
        }
    if what in {"back_flow", "other_pit"}:
        return {
            Verdict.GOOD: _("Good."),
            Verdict.WATCH: _("It lets some water back; we look again soon."),
            Verdict.REPEAT: again,
            Verdict.ACT: _("It lets the water back; it must be mended."),
        }
    return {
        Verdict.GOOD: _("Good."),
        Verdict.WATCH: _("Weaker than when new; we look again soon."),
        Verdict.REPEAT: again,
        Verdict.ACT: _("Too weak; it must be mended."),
    }
