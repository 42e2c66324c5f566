"""What the planner shows: a season adopted and asked anew, rounds that could be shorter, what would
be if, somebody ill tomorrow, and a promise of today in danger."""

from collections import Counter
from contextlib import suppress
from datetime import date, datetime, time, timedelta

from drainservice.accounts import wall
from drainservice.accounts.models import Account
from drainservice.engine.rounds.search.effort import Effort
from drainservice.engine.rounds.season.result import SeasonEffort
from drainservice.visits import actions as visits
from drainservice.visits.models import Plan, State, Visit
from drainservice.visits.queries import next_season, shifts_on
from drainservice.visits.queries.seasons import SeasonAhead
from drainservice.web.demo.bookings import Office
from drainservice.web.demo.county import TOWNS, ZONE
from drainservice.web.demo.days import as_account
from drainservice.web.demo.endings import work_out_plans

# Small, and in counts: the same on every machine.
SEASON = SeasonEffort(first_steps=60, rebuilds=800, last_steps=60)
ROUNDS = Effort(solver=150, looks=4_000, rebuilds=250)
CROSSED = 2
AT_LAST = timedelta(minutes=5)
LATE_BY = timedelta(minutes=20)


def plan_season(office: Office) -> None:
    """The season, asked and adopted, and asked anew since nobody can drive in one of its weeks."""
    asker = as_account(office.county.dispatcher, office.days.now)
    season = next_season(asker.at)
    if season is None:
        return
    plan = visits.ask_season(season, asker=asker, effort=SEASON)
    work_out_plans(office.days)
    adopted = visits.adopt_plan(Plan.objects.get(pk=plan.pk), asker=asker)
    _close_fullest_week(office, season, adopted)
    visits.ask_season(season, asker=asker, effort=SEASON, seed=2)
    work_out_plans(office.days)


def cross_rounds(office: Office) -> None:
    """Visits of the season fetched forward by hand, into rounds of whoever usually goes elsewhere:
    a planner drives less."""
    crew, asker = office.county.technicians, as_account(office.county.dispatcher, office.days.now)
    day = planned_days(office)[0]
    waiting = Visit.objects.standing().filter(
        state=State.PLANNED, slot_starts_at__isnull=True, skills_wanted=[]
    )
    for number, technician in enumerate(crew):
        town, _, _, _ = TOWNS[(number + 2) % len(crew)]
        near = waiting.filter(site__city=town).select_related("site").order_by("pk")
        for visit in near[:CROSSED]:
            # A round that is full already stays as it is.
            with suppress(visits.NoTimeFree):
                visits.put_in_round(visit, technician=technician, day=day, asker=asker)


def plan_rounds(office: Office) -> None:
    """The rounds of two days, and what an hour more would do."""
    asker = as_account(office.county.dispatcher, office.days.now)
    days = planned_days(office)
    visits.ask_rounds(days, asker=asker, effort=ROUNDS)
    longer = visits.WhatIf(longer_min=60)
    visits.ask_rounds(days[:1], asker=asker, effort=ROUNDS, what_if=longer)
    work_out_plans(office.days)


def planned_days(office: Office) -> list[date]:
    """The first two days after tomorrow on which most of the crew work."""
    ahead = [office.days.ago(-n) for n in range(2, 13)]
    going = [shift.day for shift in shifts_on(ahead)]
    return [day for day in ahead if going.count(day) > 2][:2]


def fall_ill(office: Office) -> None:
    """A technician rings in for tomorrow: their promises are to be kept by others."""
    days, cleo = office.days, office.county.technicians[2]
    visits.enter_absence(
        cleo,
        asker=as_account(office.county.dispatcher, days.now),
        from_at=wall.instant(days.ago(-1), time(0), ZONE),
        until_at=wall.instant(days.ago(-2), time(0), ZONE),
        because="fever",
    )


def run_late(office: Office) -> None:
    """A round of today that cannot be kept any more: its technician is held up at the pit where the
    hour of loading allows it, else by the van. In the evening there is nothing left to be late for.
    """
    basil, now = office.county.technicians[1], office.days.now
    agreed = _agreed_today(office, basil)
    ahead = [visit for visit in agreed if _closes(visit) > now]
    if not ahead:
        return
    arrived_at = min(now, _closes(agreed[0]) - AT_LAST)
    if _is_held_up(agreed, arrived_at, now):
        visits.arrive(agreed[0], asker=as_account(basil, arrived_at))
        return
    van = basil.crew_member.van
    assert van is not None  # everybody was given one
    visits.enter_van_out(
        van,
        asker=as_account(office.county.dispatcher, now),
        from_at=min(now, wall.instant(office.days.today, time(7), ZONE)),
        until_at=_closes(ahead[0]) + LATE_BY,
        because="it does not start",
    )


def _is_held_up(agreed: list[Visit], arrived_at: datetime, now: datetime) -> bool:
    """Whether who came to the first gate then leaves too late for the second, still to come."""
    if len(agreed) < 2 or _opens(agreed[0]) > arrived_at:
        return False
    free_at = max(now, arrived_at + timedelta(minutes=agreed[0].minutes))
    return now < _closes(agreed[1]) < free_at


def _agreed_today(office: Office, technician: Account) -> list[Visit]:
    rows = Visit.objects.standing().filter(
        technician=technician, day=office.days.today, state=State.AGREED
    )
    return list(rows.select_related("site", "technician__person").order_by("slot_starts_at", "pk"))


def _opens(visit: Visit) -> datetime:
    assert visit.window_starts_at is not None  # agreed: a constraint says so
    return visit.window_starts_at


def _closes(visit: Visit) -> datetime:
    assert visit.window_ends_at is not None  # agreed: a constraint says so
    return visit.window_ends_at


def _close_fullest_week(office: Office, season: SeasonAhead, plan: Plan) -> None:
    """Nobody drives in the week, a month or more ahead, for which most visits are meant."""
    first = season.week_of(max(season.first_week, office.days.ago(-35))) or 0
    weeks = Counter(week for _, week in plan.proposal["weeks"] if week is not None)
    fullest = max(range(first, season.weeks), key=lambda week: (weeks[week], -week))
    monday = season.mondays[fullest]
    visits.close_days(
        asker=as_account(office.county.dispatcher, office.days.now),
        first_on=monday,
        last_on=monday + timedelta(days=4),
        name="the yard is paved anew",
    )
