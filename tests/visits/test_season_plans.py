"""A season asked for and adopted: planned visits get their weeks, promises stay, nobody is told."""

import uuid
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from drainservice.accounts import history
from drainservice.accounts.models import Change
from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.season.check import assert_season_sound
from drainservice.engine.rounds.season.result import SeasonEffort
from drainservice.engine.rounds.season.stored import (
    SeasonCannotBeRead,
    SeasonQuestion,
    read_season,
    read_season_plan,
    season_as_json,
)
from drainservice.inspections.actions import find_due, record_inspection
from drainservice.inspections.models import Due
from drainservice.inspections.models.record import InspectionRecord, LookRecord
from drainservice.visits import actions, queries
from drainservice.visits.models import Plan, PlanState, State, Visit, VisitSystem
from drainservice.visits.queries import season_facts
from drainservice.visits.queries.season_facts import gather_season
from jobs.models import Job
from tests import makers
from tests.visits import busy_week
from tests.visits.test_adopting import messages
from tests.visits.test_plans import work_out

pytestmark = pytest.mark.django_db
YARD = Place(*busy_week.YARD)
SHORT = SeasonEffort(first_steps=50, rebuilds=500, last_steps=50)
# The county turns wet on 15 October 2027, a Friday; 16 weeks before is 25 June, in the week of
# Monday 21 June. The last week is that of Monday 11 October: 17 weeks with both.
FIRST, LAST = date(2027, 6, 21), date(2027, 10, 11)


@pytest.fixture
def town(dispatcher):
    """Six systems that nobody ever looked at, all past due, and a crew of two."""
    crew = busy_week.crew()
    systems = [
        makers.make_system(busy_week.site(n, north=0.01 * n, east=0.01)) for n in range(1, 7)
    ]
    find_due(asker=makers.clock())
    return {"crew": crew, "systems": systems, "sites": [s.site for s in systems]}


def season():
    return queries.next_season(makers.MONDAY)


def ask(dispatcher, **told):
    return actions.ask_season(season(), asker=dispatcher, **{"effort": SHORT} | told)


def adopted(dispatcher):
    return actions.adopt_plan(work_out(ask(dispatcher)), asker=dispatcher)


def book(town, n, day, dispatcher, state):
    """The visit of a system, promised on a day."""
    visit = actions.plan_visit(
        town["sites"][n],
        asker=dispatcher,
        purpose="look",
        systems={town["systems"][n]: ["pump", "first_look"]},
        meant_for=None,
    )
    held = busy_week.booked(busy_week.site(90 + n), town["crew"][0], day, 8, state=state)
    fields = ["day", "technician", "window_from", "window_to", "window_starts_at"]
    fields += ["window_ends_at", "slot_starts_at", "slot_ends_at"]
    values = {name: getattr(held, name) for name in fields}
    Visit.objects.filter(pk=held.pk).delete()
    Visit.objects.filter(pk=visit.pk).update(state=state, **values)
    return Visit.objects.get(pk=visit.pk)


def test_the_weeks_lie_before_the_day_on_which_the_county_turns_wet(town):
    found = season()

    assert (found.starts_on, found.first_week, found.mondays[-1]) == (
        date(2027, 10, 15),
        FIRST,
        LAST,
    )
    assert (found.weeks, found.last_day) == (17, date(2027, 10, 17))
    assert [found.week_of(day) for day in (FIRST, date(2027, 6, 27), date(2027, 6, 28))] == [
        0,
        0,
        1,
    ]
    assert found.week_of(date(2027, 6, 20)) is None


def test_a_season_that_is_near_begins_this_week(town):
    late = queries.next_season(makers.later(days=100))

    # 100 days after 10 May is 18 August, a Wednesday.
    assert late.first_week == date(2027, 8, 16)
    assert late.mondays[-1] == LAST


def test_places_that_turn_wet_soon_after_the_first_are_planned_with_it(town):
    hills = makers.make_jurisdiction(name="Hills", wet_seasons=[("11-01", "03-01")])
    far = makers.make_jurisdiction(name="Coast", wet_seasons=[("02-01", "04-01")])
    for n, place in enumerate((hills, far)):
        makers.make_system(busy_week.site(70 + n, jurisdiction=place))

    found = queries.seasons_ahead(date(2027, 5, 10))

    assert [one.starts_on for one in found] == [date(2027, 10, 15), date(2028, 2, 1)]
    assert len(found[0].starts) == 2
    # 1 November 2027 is a Monday: its last dry day lies in the week of 25 October.
    assert found[0].mondays[-1] == date(2027, 10, 25)


def test_the_crew_has_nine_hours_less_half_an_hour_five_days_a_week_each(town):
    gathered = gather_season(season(), at=makers.MONDAY)

    # Assumed hours: 8 to 17 with 30 min of break: 510 min; two people, five days: 5,100.
    # Independence Day 2027 falls on Sunday 4 July and is kept on Monday 5 July; Labor Day is
    # Monday 6 September (5 U.S.C. 6103); Columbus Day is Monday 11 October.
    crew = {week.starts_on: week.crew_min for week in gathered.facts.weeks}
    assert crew[date(2027, 6, 21)] == 5100
    assert crew[date(2027, 7, 5)] == crew[date(2027, 9, 6)] == 4080


def test_each_site_wants_one_visit_with_all_that_is_due_there(town):
    second = makers.make_system(town["sites"][0], place="by the shed")
    find_due(asker=makers.clock())

    gathered = gather_season(season(), at=makers.MONDAY)

    assert sorted(gathered.wanted) == sorted(site.pk for site in town["sites"])
    assert set(gathered.wanted[town["sites"][0].pk].looks) == {
        town["systems"][0].pk,
        second.pk,
    }
    assert len(gathered.facts.visits) == 6


def test_the_day_of_a_rule_is_a_hard_end_and_other_dates_are_weighed(town):
    # 21 June and 24 days: Thursday 15 July, in the fourth week.
    system = town["systems"][0]
    due = Due.objects.current().filter(system=system).first()
    Due.objects.filter(pk=due.pk).update(governed_by="rule", due_on=FIRST + timedelta(days=24))

    gathered = gather_season(season(), at=makers.MONDAY)

    last = {visit.key: visit.last for visit in gathered.facts.visits}
    assert last[system.site_id] == 3
    assert [last[site.pk] for site in town["sites"][1:]] == [None] * 5


def test_nobody_looks_again_within_a_month(town):
    system = town["systems"][0]
    record = InspectionRecord(
        id=uuid.uuid4(), on=FIRST - timedelta(days=10), looks=(LookRecord("pump", "done"),)
    )
    later = FIRST - timedelta(days=9)
    at = makers.MONDAY + (later - makers.MONDAY.date())
    record_inspection(system, asker=makers.clock(at), record=record)

    gathered = gather_season(season(), at=at)

    # 11 June and 30 days: 11 July, 20 days into the season, in its third week.
    earliest = {visit.key: visit.earliest for visit in gathered.facts.visits}
    assert earliest[system.site_id] == 2
    assert earliest[town["sites"][1].pk] == 0


def test_the_question_is_kept_and_read_again_as_it_was(town, dispatcher):
    plan = ask(dispatcher)
    question = read_season(plan.inputs)

    gathered = gather_season(season(), at=makers.MONDAY)
    assert question == SeasonQuestion(gathered.facts, gathered.begin_from)
    assert season_as_json(question) == plan.inputs


def test_a_season_that_was_worked_out_is_sound_and_found_again_by_its_turns(town, dispatcher):
    plan = work_out(ask(dispatcher))

    found = read_season_plan(plan.proposal)
    assert plan.state == PlanState.READY
    assert_season_sound(read_season(plan.inputs).facts, found)
    assert all(week is not None for _, week in found.weeks)
    copy = Plan.objects.get(pk=plan.pk)
    copy.effort = plan.done
    assert actions.solving.find_season(copy, _Quiet()).proposal == plan.proposal


class _Quiet:
    def should_stop(self):
        return False

    def tell(self, **progress):
        pass


def test_adopting_makes_a_planned_visit_a_site_with_its_monday_looks_and_minutes(town, dispatcher):
    plan = work_out(ask(dispatcher))

    done = actions.adopt_plan(plan, asker=dispatcher)

    week_of = read_season_plan(plan.proposal).week_of()
    assert done.done["made"] == 6
    for site, system in zip(town["sites"], town["systems"], strict=True):
        visit = Visit.objects.get(site=site)
        assert (visit.state, visit.day) == (State.PLANNED, None)
        assert visit.meant_for == FIRST + timedelta(weeks=week_of[site.pk])
        assert visit.meant_for.weekday() == 0
        assert visit.wanted_by is not None
        row = VisitSystem.objects.get(visit=visit)
        assert (row.system, bool(row.looks_wanted)) == (system, True)
        assert visit.minutes >= 15


def test_adopting_a_season_tells_no_household(town, dispatcher):
    book(town, 0, FIRST + timedelta(days=1), dispatcher, State.AGREED)
    book(town, 1, FIRST + timedelta(days=2), dispatcher, State.OFFERED)

    adopted(dispatcher)

    assert messages() == []
    assert set(Job.objects.values_list("kind", flat=True)) <= {
        "plan.wanted",
        "system.entered",
        "system.changed",
    }


def test_what_is_promised_stays_and_counts_in_its_week(town, dispatcher):
    agreed = book(town, 0, FIRST + timedelta(days=8), dispatcher, State.AGREED)

    plan = work_out(ask(dispatcher))
    actions.adopt_plan(plan, asker=dispatcher)

    assert read_season_plan(plan.proposal).week_of()[agreed.site_id] == 1
    now = Visit.objects.get(site=agreed.site)
    assert (now.pk, now.state, now.day, now.version) == (
        agreed.pk,
        State.AGREED,
        agreed.day,
        agreed.version,
    )


def test_an_offer_that_would_move_stands_and_only_learns_its_week(town, dispatcher):
    offer = book(town, 0, FIRST + timedelta(days=1), dispatcher, State.OFFERED)
    plan = work_out(ask(dispatcher))
    weeks = [[key, 5 if key == offer.site_id else week] for key, week in plan.proposal["weeks"]]
    Plan.objects.filter(pk=plan.pk).update(proposal=plan.proposal | {"weeks": weeks})

    actions.adopt_plan(Plan.objects.get(pk=plan.pk), asker=dispatcher)

    now = Visit.objects.get(pk=offer.pk)
    assert (now.state, now.day, now.sequence) == (State.OFFERED, offer.day, offer.sequence)
    assert now.meant_for == FIRST + timedelta(weeks=5)
    assert messages() == []


def test_an_offer_that_stands_may_stay_though_its_pump_was_looked_at_lately(town, dispatcher):
    offer = book(town, 0, FIRST + timedelta(days=1), dispatcher, State.OFFERED)
    gathered = gather_season(season(), at=makers.MONDAY)
    gathered.wanted[offer.site_id].earliest_on = FIRST + timedelta(weeks=6)

    visit = _visit_of(gathered, offer.site_id)

    assert (visit.earliest, visit.offered) == (0, 0)


def _visit_of(gathered, site_id):
    one = gathered.wanted[site_id]
    chances = {one.site.jurisdiction_id: gathered.facts.storm_chances}
    return season_facts._visit(one, YARD, 0, gathered.season, makers.MONDAY.date(), chances)


def test_a_visit_promised_after_the_question_is_left_as_it_is(town, dispatcher):
    plan = work_out(ask(dispatcher))
    agreed = book(town, 0, FIRST + timedelta(days=8), dispatcher, State.AGREED)

    done = actions.adopt_plan(plan, asker=dispatcher)

    assert (done.done["made"], done.done["left_as_they_were"]) == (5, 1)
    assert Visit.objects.filter(site=agreed.site).count() == 1


def test_a_second_plan_moves_the_visits_of_the_first_and_makes_none_twice(town, dispatcher):
    adopted(dispatcher)
    second = work_out(ask(dispatcher, seed=2))

    done = actions.adopt_plan(second, asker=dispatcher)

    assert done.done["made"] == 0
    assert Visit.objects.standing().count() == 6


def test_a_planned_visit_in_a_round_leaves_it_when_its_week_is_another(town, dispatcher):
    adopted(dispatcher)
    visit = Visit.objects.order_by("pk").first()
    andrea = town["crew"][0]
    actions.rounds.raise_versions([(andrea.pk, date(2027, 9, 14))])
    starts_at = makers.later(days=127)
    Visit.objects.filter(pk=visit.pk).update(
        technician=andrea,
        day=date(2027, 9, 14),
        slot_starts_at=starts_at,
        slot_ends_at=starts_at + timedelta(minutes=45),
    )
    plan = work_out(ask(dispatcher))
    weeks = [[key, 0 if key == visit.site_id else week] for key, week in plan.proposal["weeks"]]
    told = Visit.objects.get(pk=visit.pk)
    rounds = plan.rounds
    assert rounds["sites"][str(visit.site_id)] == [told.pk, "planned", "2027-09-14"]
    Plan.objects.filter(pk=plan.pk).update(proposal=plan.proposal | {"weeks": weeks})

    actions.adopt_plan(Plan.objects.get(pk=plan.pk), asker=dispatcher)

    now = Visit.objects.get(pk=visit.pk)
    assert (now.meant_for, now.technician, now.slot_starts_at, now.day) == (FIRST, None, None, None)
    row = andrea.rounds.get(day=date(2027, 9, 14))
    assert row.version == 3


def meant_for(town, day):
    """Ninety minutes at the first site, of which nobody was told."""
    return actions.plan_visit(
        town["sites"][0],
        asker=makers.clock(),
        purpose="mend what was found",
        systems={town["systems"][0]: ["pump", "first_look"]},
        meant_for=day,
        minutes=90,
    )


def test_what_is_meant_for_the_next_week_is_not_put_off_to_the_season(town, dispatcher):
    # Today is Monday 10 May; the season's first week is that of 21 June.
    visit = meant_for(town, date(2027, 5, 17))

    adopted(dispatcher)

    now = Visit.objects.get(site=town["sites"][0])
    assert (now.pk, now.meant_for, now.minutes) == (visit.pk, date(2027, 5, 17), 90)
    assert Visit.objects.count() == 6


def test_within_the_season_it_keeps_its_week_and_its_minutes(town):
    # 100 days later it is Wednesday 18 August, and the first week is its own; 23 August is week 1.
    meant_for(town, date(2027, 8, 23))
    at = makers.later(days=100)

    found = gather_season(queries.next_season(at), at=at)

    kept = next(v for v in found.facts.visits if v.key == town["sites"][0].pk)
    assert (kept.promised, kept.work_min) == (1, 90.0)
    assert [v.promised for v in found.facts.visits].count(None) == 5


def test_adopting_a_season_is_undone_as_one(town, dispatcher):
    before = list(Visit.objects.standing().values())

    done = adopted(dispatcher)
    known = Change.objects.count()
    history.undo(done.group, asker=dispatcher)
    actions.mind_undone(done.group)

    assert list(Visit.objects.standing().values()) == before == []
    assert Plan.objects.get(pk=done.pk).state == PlanState.READY
    assert Change.objects.count() > known


def test_a_what_if_of_the_crew_is_said_in_words_counts_and_is_not_adopted(town, dispatcher):
    what_if = actions.SeasonWhatIf(crew=((FIRST, FIRST + timedelta(weeks=1), 600),))

    plan = work_out(ask(dispatcher, what_if=what_if))

    assert plan.what_if == "with 10 h more a week from 21 Jun to 28 Jun"
    crew = [week.crew_min for week in read_season(plan.inputs).facts.weeks]
    assert crew[:3] == [5700, 5700, 4080]
    with pytest.raises(actions.CannotAdopt):
        actions.adopt_plan(plan, asker=dispatcher)


def test_a_season_needs_no_fitting_and_says_so(town, dispatcher):
    with pytest.raises(actions.DoesNotFitAnyMore, match="needs no fitting"):
        actions.rebase_plan(work_out(ask(dispatcher)), asker=dispatcher)


def test_fewer_crew_than_work_leaves_out_with_reasons_and_says_what_one_more_would_do(
    town, dispatcher
):
    # 5,100 less 5,000 leave 100 minutes a week, 85 of them to be filled: less than one visit.
    none = actions.SeasonWhatIf(crew=((FIRST, LAST, -5000),))

    told = queries.season_told(work_out(ask(dispatcher, what_if=none)))

    assert told.fits.startswith(("These ", "This one"))
    assert len(told.left_out) == len(told.plan.left_out) > 0
    assert all("Left out" in row.words for row in told.left_out)
    assert "One more technician in" in told.would


def test_what_the_page_reads_adds_up(town, dispatcher):
    book(town, 0, FIRST + timedelta(days=1), dispatcher, State.AGREED)
    adopted(dispatcher)

    standing = queries.season_standing(dispatcher, season())

    assert standing.adopted is not None
    assert standing.ready is standing.under_way is None
    planned = sum(v.minutes for v in Visit.objects.filter(state=State.PLANNED))
    assert sum(week.planned_min for week in standing.weeks) == planned
    assert [week.promised_min for week in standing.weeks[:2]] == [45, 0]
    # 15 % is kept free: 5,100 x 0.85 = 4,335.
    assert standing.weeks[0].rim_min == pytest.approx(4335)


def test_why_a_site_has_its_week_is_said(town, dispatcher):
    plan = work_out(ask(dispatcher))

    assert queries.why_this_week(plan, town["sites"][0].pk).startswith("Week of ")
    assert queries.why_this_week(plan, 999_999) == ""


def test_on_a_monday_a_season_that_is_near_is_asked_for_and_not_adopted(town):
    near = makers.later(days=35)

    actions.want_seasons(asker=makers.clock(makers.later(days=1)))
    assert not Job.objects.filter(kind="seasons.wanted").exists()
    actions.want_seasons(asker=makers.clock(near))
    assert Job.objects.get(kind="seasons.wanted").lane == "long"
    assert actions.ask_seasons_near(asker=makers.clock()) == []
    asked = actions.ask_seasons_near(asker=makers.clock(near))

    assert [plan.state for plan in asked] == [PlanState.THINKING]
    assert not Visit.objects.exists()


# What cannot be planned ends in a sentence, and the visit is kept.


def test_a_site_without_coordinates_has_a_week_and_is_said(town, dispatcher):
    site = busy_week.site(50, latitude=None, longitude=None)
    makers.make_system(site)
    find_due(asker=makers.clock())

    plan = work_out(ask(dispatcher))

    assert read_season_plan(plan.proposal).week_of()[site.pk] is not None
    assert any("50 Alder Rd" in note and "20 min" in note for note in plan.rounds["notes"])


def test_a_season_without_crew_fails_with_a_sentence(dispatcher):
    makers.make_system(busy_week.site(1))
    find_due(asker=makers.clock())

    plan = work_out(ask(dispatcher))

    assert plan.state == PlanState.FAILED
    assert "In no week has the crew a minute left" in plan.failed_because


def test_nothing_due_is_said_before_anything_is_stored(dispatcher):
    makers.make_system(busy_week.site(1))

    with pytest.raises(actions.NothingToPlan, match="Nothing is due before this season"):
        ask(dispatcher)

    assert not Plan.objects.exists()


def test_without_a_wet_season_there_is_none_ahead(dispatcher):
    dry = makers.make_jurisdiction(wet_seasons=[])
    makers.make_system(busy_week.site(1, jurisdiction=dry))

    assert season() is None


def test_the_rows_are_gathered_by_as_many_statements_for_six_sites_as_for_twelve(
    town,
):
    with CaptureQueriesContext(
        connection,
    ) as six:
        gather_season(season(), at=makers.MONDAY)
    for n in range(20, 26):
        makers.make_system(busy_week.site(n, north=0.01))
    find_due(asker=makers.clock())
    with CaptureQueriesContext(connection) as twelve:
        gather_season(season(), at=makers.MONDAY)

    assert len(twelve) == len(six)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("no", "This is no JSON"),
        ('{"form":2,"kind":"season"}', "This is no season"),
        ('{"form":1,"kind":"season"}', "is missing in the season"),
        (
            '{"form":1,"kind":"season","visits":[{"key":"x","costs":{}}],"weeks":[]}',
            "missing|not of its kind",
        ),
    ],
)
def test_a_text_that_is_no_season_is_refused_in_words(text, says):
    with pytest.raises(SeasonCannotBeRead, match=says):
        read_season(text)
