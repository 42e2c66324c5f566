"""One kind of look: gather its candidate dates, take the earliest, keep it out of hard frost."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import islice

from drainservice.engine.interval.due import Candidate, GovernedBy
from drainservice.engine.interval.facts import (
    Consequence,
    JurisdictionRule,
    LookKind,
    Origin,
    SystemFacts,
)
from drainservice.engine.interval.yearly import (
    days_from,
    first_after_frost,
    outside_frost,
    spells_after,
)

# Of two reasons on one day, the one a person would name first.
FIRST_NAMED = (
    GovernedBy.DOWN,
    GovernedBy.RULE,
    GovernedBy.SEASON,
    GovernedBy.NEVER_LOOKED_AT,
    GovernedBy.INTERVAL,
    GovernedBy.TREND,
    GovernedBy.TYPE_CAP,
    GovernedBy.CAP,
)
YEAR_CAP_DAYS = 365
RULE_COUNTS_DAYS = 182


@dataclass(frozen=True, slots=True)
class Ask:
    """What one kind of look is dated from.

    `base_on` is the day it was last done, or handed over or entered when `was_done` is False.
    `own` are its candidates from rate or trend; `season_needs` says whether the season from one
    day to another needs a look before it.
    """

    kind: LookKind
    base_on: date
    was_done: bool
    own: tuple[Candidate, ...]
    cap_days: int
    season_needs: Callable[[date, date], bool]


@dataclass(frozen=True, slots=True)
class Dated:
    """The date, its window, what governs it, the season it comes before (None: no season)."""

    due_on: date
    opens_on: date
    governed_by: GovernedBy
    candidates: tuple[Candidate, ...]
    season_on: date | None


def date_look(ask: Ask, facts: SystemFacts) -> Dated:
    """The earliest candidate governs; in hard frost it is moved before it, else behind it."""
    earliest_on = ask.base_on + timedelta(days=facts.settings.spacing_days)
    candidates = [*_spaced(ask, facts), _cap(ask, facts), *_type_caps(ask, facts)]
    candidates += [*_rules(ask, facts), *_never_looked_at(ask, facts)]
    governing = _earliest(candidates)
    season = _season(ask, facts, governing.on)
    if season is not None:
        candidates.append(season[0])
        governing = _earliest(candidates)
    due_on, governed_by = governing.on, governing.governed_by
    if governed_by is not GovernedBy.DOWN:
        due_on = outside_frost(governing.on, facts.hard_frosts, earliest_on)
    if due_on != governing.on:
        candidates.append(Candidate(GovernedBy.FROST, due_on, str(governed_by)))
        governed_by = GovernedBy.FROST
    season_on = season[1] if season is not None and governing is season[0] else None
    opens_on = _opens_on(due_on, season_on, ask.base_on, facts)
    if governed_by is GovernedBy.DOWN:
        opens_on = min(due_on, ask.base_on)
    ordered = tuple(sorted(candidates, key=lambda c: (c.on, _rank(c))))
    return Dated(due_on, opens_on, governed_by, ordered, season_on)


def _rank(candidate: Candidate) -> int:
    by = candidate.governed_by
    return FIRST_NAMED.index(by) if by in FIRST_NAMED else len(FIRST_NAMED)


def _earliest(candidates: list[Candidate]) -> Candidate:
    return min(candidates, key=lambda c: (c.on, _rank(c)))


def _spaced(ask: Ask, facts: SystemFacts) -> list[Candidate]:
    """Own candidates, no sooner than the spacing and the part's shortest interval allow."""
    shortest = [c.shortest_days for c in facts.type_caps if c.kind is ask.kind]
    soonest = ask.base_on + timedelta(days=max([facts.settings.spacing_days, *shortest]))
    return [
        c
        if c.governed_by is GovernedBy.DOWN
        else Candidate(c.governed_by, max(c.on, soonest), c.note)
        for c in ask.own
    ]


def _cap(ask: Ask, facts: SystemFacts) -> Candidate:
    """The yearly cap; for work done ahead of a season it reaches to the next one's window.

    Without that, work done ahead to level the season would make each year's date creep earlier.
    """
    on = ask.base_on + timedelta(days=ask.cap_days)
    if ask.was_done and ask.cap_days == YEAR_CAP_DAYS:
        ahead = timedelta(days=facts.settings.gap_days_other)
        behind = timedelta(days=facts.settings.due_before_season_days)
        for span in facts.wet_seasons:
            for year in (ask.base_on.year, ask.base_on.year + 1):
                start, again = span.from_year(year)[0], span.from_year(year + 1)[0] - behind
                if start - behind >= ask.base_on >= start - ahead:
                    return Candidate(GovernedBy.CAP, max(on, again), "anchored to the season")
    return Candidate(GovernedBy.CAP, on)


def _type_caps(ask: Ask, facts: SystemFacts) -> list[Candidate]:
    return [
        Candidate(GovernedBy.TYPE_CAP, ask.base_on + timedelta(days=cap.longest_days), cap.part)
        for cap in facts.type_caps
        if cap.kind is ask.kind
    ]


def _rules(ask: Ask, facts: SystemFacts) -> list[Candidate]:
    return [
        Candidate(GovernedBy.RULE, _rule_on(rule, ask), rule.source)
        for rule in facts.rules
        if rule.kind is ask.kind
    ]


def _rule_on(rule: JurisdictionRule, ask: Ask) -> date:
    """A look done within half a year before a rule's day counts for that day; judgement."""
    if rule.by_day is None:
        return ask.base_on + timedelta(days=rule.every_days or 0)
    counted = timedelta(days=RULE_COUNTS_DAYS)
    days = islice(days_from(rule.by_day, ask.base_on), 3)
    return next(day for day in days if not ask.was_done or day - ask.base_on > counted)


def _never_looked_at(ask: Ask, facts: SystemFacts) -> list[Candidate]:
    """A system built by others: before its next season, at most a year after entry."""
    if ask.was_done or facts.origin is not Origin.ADOPTED:
        return []
    behind = timedelta(days=facts.settings.due_before_season_days)
    year_on = ask.base_on + timedelta(days=YEAR_CAP_DAYS)
    before = [
        start - behind
        for start, _ in spells_after(facts.wet_seasons, ask.base_on, 2)
        if start - behind >= ask.base_on
    ]
    return [Candidate(GovernedBy.NEVER_LOOKED_AT, min([year_on, *before]))]


def _season(ask: Ask, facts: SystemFacts, due_on: date) -> tuple[Candidate, date] | None:
    """The first season that needs a look before it and whose window the date would miss."""
    behind = timedelta(days=facts.settings.due_before_season_days)
    spacing = timedelta(days=facts.settings.spacing_days)
    for start, end in spells_after(facts.wet_seasons, ask.base_on):
        on = start - behind
        if on >= due_on:
            return None
        if on >= ask.base_on + spacing and ask.season_needs(start, end):
            return Candidate(GovernedBy.SEASON, on, start.isoformat()), start
    return None


def _opens_on(due_on: date, season_on: date | None, base_on: date, facts: SystemFacts) -> date:
    settings = facts.settings
    is_mild = facts.consequence is Consequence.YARD
    ahead = settings.opens_before_season_days_yard if is_mild else settings.opens_before_season_days
    anchor = season_on or due_on + timedelta(days=settings.due_before_season_days)
    opens_on = max(anchor - timedelta(days=ahead), base_on + timedelta(days=settings.spacing_days))
    return min(due_on, first_after_frost(min(opens_on, due_on), facts.hard_frosts))
