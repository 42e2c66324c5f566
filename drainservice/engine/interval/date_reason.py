"""Why a date of any kind governs, as sentences without language or units."""

from datetime import date

from drainservice.engine.explain import Sentence
from drainservice.engine.interval.dating import Dated
from drainservice.engine.interval.due import Candidate, GovernedBy
from drainservice.engine.interval.facts import LookKind
from drainservice.engine.units import YEAR_DAYS

MONTH_DAYS = YEAR_DAYS / 12


def due_sentence(kind: LookKind, dated: Dated) -> Sentence:
    """Do this by that day."""
    return Sentence("due", (("look", str(kind)), ("due_on", dated.due_on.isoformat())))


def date_sentences(dated: Dated, base_on: date) -> list[Sentence]:
    """What governed the date; a season is told by its own sentence, frost by its own beside it."""
    frost = next((c for c in dated.candidates if c.governed_by is GovernedBy.FROST), None)
    if frost is None:
        return _because(_governing(dated, dated.governed_by), base_on)
    first = _governing(dated, GovernedBy(frost.note))
    moved = (("was_on", first.on.isoformat()), ("due_on", frost.on.isoformat()))
    return [*_because(first, base_on), Sentence("moved_by_frost", moved)]


def _governing(dated: Dated, by: GovernedBy) -> Candidate:
    return next(c for c in dated.candidates if c.governed_by is by)


def _because(candidate: Candidate, base_on: date) -> list[Sentence]:
    days = (candidate.on - base_on).days
    base = ("base_on", base_on.isoformat())
    match candidate.governed_by:
        case GovernedBy.INTERVAL:
            return [Sentence("interval", (base, ("interval_months", round(days / MONTH_DAYS))))]
        case GovernedBy.CAP:
            key = "cap_anchored" if candidate.note else "cap"
            return [Sentence(key, (base, ("cap_days", days)))]
        case GovernedBy.TYPE_CAP:
            return [Sentence("type_cap", (("part", candidate.note), ("cap_days", days)))]
        case GovernedBy.RULE:
            return [Sentence("rule", (("source", candidate.note),))]
        case GovernedBy.NEVER_LOOKED_AT:
            return [Sentence("never_looked_at", (base,))]
        case _:
            return []
