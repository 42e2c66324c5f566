"""A season asked for, and adopted: planned visits get their weeks, and no household is told."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date, timedelta
from typing import Any

from django.db import transaction
from django.db.models import F

from drainservice.accounts import history, wall
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker
from drainservice.engine.rounds.season.facts import SeasonFacts
from drainservice.engine.rounds.season.result import SeasonEffort
from drainservice.engine.rounds.season.stored import SeasonQuestion, season_as_json
from drainservice.register.models import System
from drainservice.visits import queries
from drainservice.visits.actions.questions import (
    LONG,
    NothingToPlan,
    Question,
    digest_of_text,
    put_question,
)
from drainservice.visits.models import Plan, PlanKind, Round, State, Visit, VisitSystem
from drainservice.visits.queries.season_due import Wanted
from drainservice.visits.queries.season_facts import GatheredSeason, gather_season
from drainservice.visits.queries.seasons import SeasonAhead, seasons_ahead
from jobs import queue

PURPOSE = "look before the wet season"


@dataclass(frozen=True, slots=True)
class SeasonWhatIf:
    """Changed crew to try: (first Monday, last Monday, minutes more a week; fewer below 0)."""

    crew: tuple[tuple[date, date, int], ...] = ()

    def words(self) -> str:
        """ "with 40 h more a week from 7 Jun to 28 Jun" """
        said = []
        for first, last, minutes in self.crew:
            hours, word = abs(minutes) / 60, "more" if minutes >= 0 else "less"
            span = f"from {first.day} {first:%b} to {last.day} {last:%b}"
            said.append(f"with {hours:g} h {word} a week {span}")
        return ", ".join(said)[:200]


@transaction.atomic
def ask_season(
    season: SeasonAhead,
    *,
    asker: Asker,
    what_if: SeasonWhatIf | None = None,
    effort: SeasonEffort | None = None,
    seed: int = 1,
) -> Plan:
    """Ask for a week for everything that is due before the season; the plan under way, where one
    is. Errors: NothingToPlan, and nothing is stored."""
    words = what_if.words() if what_if else ""
    scope = f"{season.scope}; {digest_of_text(words)[:40]}" if words else season.scope
    under_way = queries.plan_under_way(PlanKind.SEASON, scope)
    if under_way is not None:
        return under_way
    gathered = gather_season(season, at=asker.at)
    if not gathered.facts.visits:
        raise NothingToPlan(
            "Nothing is due before this season, so there is nothing to plan. Count the due dates "
            "first (find_due), or wait until something falls due."
        )
    facts = _changed(gathered.facts, what_if) if what_if else gathered.facts
    return put_question(
        Question(
            kind=PlanKind.SEASON,
            scope=scope,
            first_on=season.first_week,
            last_on=season.last_day,
            inputs=season_as_json(SeasonQuestion(facts, gathered.begin_from)),
            effort=asdict(effort or SeasonEffort()),
            seed=seed,
            what_if=words,
            rounds=_what_stood(gathered),
        ),
        asker=asker,
    )


def want_seasons(*, asker: Asker) -> None:
    """On Mondays: leave word that the seasons are asked for anew."""
    today = accounts.today_of_firm(asker.at)
    if today.weekday() == 0:
        queue.put("seasons.wanted", key=today.isoformat(), at=asker.at, lane=LONG)


@transaction.atomic
def ask_seasons_near(*, asker: Asker) -> list[Plan]:
    """Every season that is near is asked for anew; nothing is adopted."""
    today = accounts.today_of_firm(asker.at)
    asked = []
    for season in seasons_ahead(today):
        if season.is_near(today):
            try:
                asked.append(ask_season(season, asker=asker))
            except NothingToPlan:
                continue
    return asked


def _changed(facts: SeasonFacts, what_if: SeasonWhatIf) -> SeasonFacts:
    weeks = []
    for week in facts.weeks:
        more = sum(m for first, last, m in what_if.crew if first <= week.starts_on <= last)
        weeks.append(replace(week, crew_min=max(0.0, week.crew_min + more)))
    return replace(facts, weeks=tuple(weeks))


def _what_stood(gathered: GatheredSeason) -> dict[str, Any]:
    season = gathered.season
    return {
        "starts_on": season.starts_on.isoformat(),
        "first_week": season.first_week.isoformat(),
        "weeks": season.weeks,
        "starts": [[place, a.isoformat(), b.isoformat()] for place, a, b in season.starts],
        "sites": {str(site): _stand(one) for site, one in gathered.wanted.items()},
        "promised_min": list(gathered.promised_min),
        "notes": list(gathered.notes),
    }


def _stand(one: Wanted) -> list[Any]:
    """How a site's visit stands: number, state and day; nothing where there is none."""
    visit = one.visit
    if visit is None:
        return []
    return [visit.pk, visit.state, visit.day.isoformat() if visit.day else None]


def adopt_season(plan: Plan, *, asker: Asker) -> dict[str, int]:
    """Within the caller's transaction: visits made, changed, and left as they were, because they
    were promised, moved or looked at since. Nobody is told."""
    # Of two plans of one season adopted at once, the second sees what the first has made.
    list(Plan.objects.select_for_update().filter(kind=PlanKind.SEASON).order_by("pk"))
    season = queries.season_of(plan)
    now = gather_season(season, at=asker.at)
    this_week = accounts.today_of_firm(asker.at) - timedelta(days=6)
    told: dict[str, int] = {"made": 0, "changed": 0, "left_as_they_were": 0}
    new: list[tuple[Wanted, date]] = []
    for site, week in plan.proposal["weeks"]:
        monday = None if week is None else season.mondays[week]
        one = now.wanted.get(site)
        asked = plan.rounds["sites"].get(str(site))
        is_as_asked = one is not None and not one.is_kept and _stand(one) == asked
        if one is None or not is_as_asked or (monday is not None and monday < this_week):
            told["left_as_they_were"] += 1
        elif one.visit is None:
            if monday is not None:
                new.append((one, monday))
        elif _give_week(one, monday, asker):
            told["changed"] += 1
    told["made"] = len(new)
    _make(new, asker)
    return told


def _make(new: Sequence[tuple[Wanted, date]], asker: Asker) -> None:
    visits = [
        Visit(
            site=one.site,
            purpose=PURPOSE,
            meant_for=monday,
            minutes=one.minutes,
            wanted_by=one.wanted_by,
        )
        for one, monday in new
    ]
    history.enter_rows(visits, asker=asker)
    systems = System.objects.in_bulk([s for one, _ in new for s in one.looks])
    history.enter_rows(
        [
            VisitSystem(visit=visit, system=systems[number], looks_wanted=looks)
            for visit, (one, _) in zip(visits, new, strict=True)
            for number, looks in one.looks.items()
        ],
        asker=asker,
    )


def _give_week(one: Wanted, monday: date | None, asker: Asker) -> bool:
    """Another week for what nobody was promised; an offer only learns which week it is meant for,
    since it stands until a person makes another."""
    visit = one.visit
    if visit is None or visit.state not in {State.PLANNED, State.OFFERED}:
        return False
    new: dict[str, Any] = {"meant_for": monday}
    if visit.state == State.PLANNED:
        new["wanted_by"] = one.wanted_by
        if visit.slot_starts_at is None:
            new["minutes"] = one.minutes
        elif monday is None or not monday <= _day(visit) < monday + timedelta(days=7):
            _leave_round(visit)
            new |= dict.fromkeys(["technician", "slot_starts_at", "slot_ends_at", "day"])
    before = visit.version
    history.keep(visit, asker=asker, **new)
    return visit.version != before


def _day(visit: Visit) -> date:
    assert visit.slot_starts_at is not None
    return wall.today_in(visit.site.zone, visit.slot_starts_at)


def _leave_round(visit: Visit) -> None:
    Round.objects.filter(technician=visit.technician_id, day=_day(visit)).update(
        version=F("version") + 1
    )
