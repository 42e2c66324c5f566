"""Autumn and spring looks, where the ground freezes hard."""

from datetime import date, timedelta

from drainservice.engine.explain import Sentence
from drainservice.engine.interval.due import Candidate, DueDate, DueKind, GovernedBy, StandsOn
from drainservice.engine.interval.facts import LookKind, SystemFacts
from drainservice.engine.interval.pump_belief import last_done
from drainservice.engine.interval.yearly import first_after_frost, outside_frost, spell_holding

# Judgement, no source: a week clear of the frost in autumn, two weeks after it in spring.
AUTUMN_AHEAD_DAYS = 7
AUTUMN_OPENS_DAYS = 60
SPRING_AFTER_DAYS = 14
SPRING_MATTERS_DAYS = 60


Window = tuple[date, date, date]


def frost_dues(facts: SystemFacts, today: date, can_be_judged: bool) -> list[DueDate]:
    """The next autumn look and the next spring look; none where no hard frost is given.

    An autumn look that was missed stands until its frost begins, a spring look for two months
    after the frost; then the next year's takes its place.
    """
    if not facts.hard_frosts:
        return []
    moot = today - timedelta(days=SPRING_MATTERS_DAYS)
    autumns = [w for w in _autumns(facts, today) if w[2] >= today]
    springs = [w for w in _springs(facts, today) if w[2] >= moot]
    return [
        _due(DueKind.AUTUMN, _first_open(facts, LookKind.AUTUMN, autumns), can_be_judged),
        _due(DueKind.SPRING, _first_open(facts, LookKind.SPRING, springs), can_be_judged),
    ]


def _first_open(facts: SystemFacts, kind: LookKind, windows: list[Window]) -> Window:
    """Not looked at since it opened, and due after the system came."""
    done_on = last_done(facts, kind) or facts.origin_on - timedelta(days=AUTUMN_OPENS_DAYS)
    later = [w for w in windows if w[0] > done_on and w[1] >= facts.origin_on]
    return min(later, key=lambda window: window[1])


def _autumns(facts: SystemFacts, today: date) -> list[Window]:
    """(opens, due, first day of frost) of the autumns round today, due a week before the frost."""
    years = range(today.year - 1, today.year + 4)
    starts = [span.from_year(year)[0] for span in facts.hard_frosts for year in years]
    return [_autumn(facts, start) for start in starts]


def _autumn(facts: SystemFacts, start: date) -> Window:
    opens_on = first_after_frost(start - timedelta(days=AUTUMN_OPENS_DAYS), facts.hard_frosts)
    due_on = outside_frost(start - timedelta(days=AUTUMN_AHEAD_DAYS), facts.hard_frosts, opens_on)
    return min(opens_on, due_on), due_on, start


def _springs(facts: SystemFacts, today: date) -> list[Window]:
    """(opens, due, last day of frost) round today, before a wet season that follows closely."""
    years = range(today.year - 2, today.year + 4)
    ends = [span.from_year(year)[1] for span in facts.hard_frosts for year in years]
    free = [end for end in ends if spell_holding(facts.hard_frosts, end + timedelta(1)) is None]
    return [_spring(facts, end) for end in free]


def _spring(facts: SystemFacts, end: date) -> Window:
    opens_on = end + timedelta(days=1)
    due_on = end + timedelta(days=SPRING_AFTER_DAYS)
    ahead = timedelta(days=facts.settings.due_before_season_days)
    seasons = [s.from_year(end.year)[0] - ahead for s in facts.wet_seasons]
    due_on = min([due_on, *(on for on in seasons if opens_on <= on)])
    return opens_on, outside_frost(due_on, facts.hard_frosts, opens_on), end


def _due(kind: DueKind, window: Window, can_be_judged: bool) -> DueDate:
    opens_on, due_on, frost_on = window
    values = (("due_on", due_on.isoformat()), ("frost_on", frost_on.isoformat()))
    return DueDate(
        kind=kind,
        due_on=due_on,
        opens_on=opens_on,
        governed_by=GovernedBy.FROST,
        candidates=(Candidate(GovernedBy.FROST, due_on, frost_on.isoformat()),),
        reason=(Sentence(f"{kind}_look", values),),
        stands_on=StandsOn.OUR_JUDGEMENT,
        range_from_on=due_on,
        range_to_on=due_on,
        would_lengthen=(),
        honesty=(Sentence("advice_only"),),
        posterior=None,
        can_be_judged=can_be_judged,
    )
