"""What the page of the season needs: weeks with their water and rim, and the plans of it."""

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker
from drainservice.engine.rounds.season.facts import SeasonFacts
from drainservice.engine.rounds.season.reason import WeekReason, find_reasons
from drainservice.engine.rounds.season.result import SeasonPlan
from drainservice.engine.rounds.season.stored import read_season, read_season_plan
from drainservice.engine.rounds.season.words import (
    say_fit,
    say_gap,
    say_level,
    say_price,
    say_reason,
    say_set_aside,
)
from drainservice.register.models import Site
from drainservice.visits.models import Plan, PlanKind, PlanState, State, Visit
from drainservice.visits.queries.closed import the_terms
from drainservice.visits.queries.plans import plans_for
from drainservice.visits.queries.season_facts import crew_minutes, promised_minutes
from drainservice.visits.queries.seasons import SeasonAhead, seasons_ahead


@dataclass(frozen=True, slots=True)
class WeekLoad:
    """One week as it stands: minutes of visits meant for it of which nobody was told, and of those
    promised, against the crew's; `rim_min` is the crew less the reserve."""

    monday: date
    planned_min: int
    promised_min: float
    crew_min: float
    rim_min: float

    @property
    def over_min(self) -> float:
        """Above the rim."""
        return max(0.0, self.planned_min + self.promised_min - self.rim_min)


@dataclass(frozen=True, slots=True)
class SeasonStanding:
    """A season as it stands today, without any search, and its plans."""

    season: SeasonAhead
    weeks: tuple[WeekLoad, ...]
    under_way: Plan | None
    ready: Plan | None
    adopted: Plan | None


def season_standing(asker: Asker, season: SeasonAhead) -> SeasonStanding:
    """Weeks as they are filled now, and the newest plans."""
    reserve = the_terms().reserve_percent / 100
    today = accounts.today_of_firm(asker.at)
    crew = crew_minutes(season, today)
    promised = promised_minutes(season)
    planned: Counter[int] = Counter()
    meant = Visit.objects.standing().filter(
        state=State.PLANNED, meant_for__gte=season.first_week, meant_for__lte=season.last_day
    )
    for meant_for, minutes in meant.values_list("meant_for", "minutes"):
        planned[season.week_of(meant_for) or 0] += minutes
    weeks = tuple(
        WeekLoad(monday, planned[n], promised[n], crew[n], crew[n] * (1 - reserve))
        for n, monday in enumerate(season.mondays)
    )
    return SeasonStanding(
        season,
        weeks,
        under_way=_newest(asker, season, PlanState.THINKING),
        ready=_newest(asker, season, PlanState.READY),
        adopted=_newest(asker, season, PlanState.ADOPTED),
    )


def _newest(asker: Asker, season: SeasonAhead, state: str) -> Plan | None:
    """The newest that stands so, what-ifs of the season among them."""
    plans = plans_for(asker).filter(kind=PlanKind.SEASON, state=state)
    return plans.filter(scope__startswith=season.scope).first()


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A site for which no week was found, or that was not planned at all, and why."""

    site: Site
    words: str
    is_set_aside: bool
    units: float


@dataclass(frozen=True, slots=True)
class SeasonTold:
    """A proposal in sentences: does it fit, how good is it, each week's level and what an hour
    more would save, and what is left out, worst first."""

    plan: SeasonPlan
    fits: str
    would: str
    gap: str
    levels: tuple[str, ...]
    prices: tuple[str, ...]
    left_out: tuple[LeftOut, ...]
    set_aside: str
    moved_offers: tuple[int, ...]
    notes: tuple[str, ...]


def season_told(plan: Plan) -> SeasonTold:
    """The proposal of a plan that is ready or adopted. Errors: SeasonCannotBeRead."""
    found, facts = read_season_plan(plan.proposal), read_season(plan.inputs).facts
    week_of = found.week_of()
    offered = {v.key: v.offered for v in facts.visits if v.offered is not None}
    would = plan.proposal.get("one_more") or {}
    return SeasonTold(
        plan=found,
        fits=say_fit(found),
        would=would.get("words", "") if would.get("placed", 0) > 0 else "",
        gap=say_gap(found),
        levels=tuple(say_level(level) for level in found.levels),
        prices=tuple(say_price(level) for level in found.levels),
        left_out=_left_out(found, find_reasons(facts, found, found.left_out), facts),
        set_aside=say_set_aside(found),
        moved_offers=tuple(key for key, week in offered.items() if week_of.get(key) != week),
        notes=tuple(plan.rounds.get("notes", ())),
    )


def _left_out(
    found: SeasonPlan, reasons: tuple[WeekReason, ...], facts: SeasonFacts
) -> tuple[LeftOut, ...]:
    sites = Site.objects.in_bulk([*found.left_out, *(one.key for one in found.set_aside)])
    rows = [
        LeftOut(sites[one.key], say_reason(one, facts), False, one.units)
        for one in sorted(reasons, key=lambda one: (-one.units, one.key))
        if one.key in sites
    ]
    aside = [
        LeftOut(sites[one.key], one.words, True, 0.0) for one in found.set_aside if one.key in sites
    ]
    return (*rows, *aside)


def why_this_week(plan: Plan, site_id: int) -> str:
    """Why a site has the week it has in a proposal; empty where the plan does not know it."""
    found, facts = read_season_plan(plan.proposal), read_season(plan.inputs).facts
    reasons = find_reasons(facts, found, [site_id])
    return say_reason(reasons[0], facts) if reasons else ""


def season_of(plan: Plan) -> SeasonAhead:
    """The season as it was asked for: its weeks keep their numbers."""
    told = plan.rounds
    return SeasonAhead(
        starts_on=date.fromisoformat(told["starts_on"]),
        first_week=date.fromisoformat(told["first_week"]),
        weeks=told["weeks"],
        starts=tuple(
            (place, date.fromisoformat(first), date.fromisoformat(last))
            for place, first, last in told["starts"]
        ),
    )


def next_season(at: datetime) -> SeasonAhead | None:
    """The season that lies ahead; None where no place has one."""
    found = seasons_ahead(accounts.today_of_firm(at))
    return found[0] if found else None
