"""What the demonstration shows: every reason and story, nothing real, all of it in history."""

import re
from collections import Counter, defaultdict
from datetime import date, time, timedelta

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import transaction

from drainservice.accounts import asker as askers
from drainservice.accounts import wall
from drainservice.accounts.models import Account, Change, Channel, Firm, Household, Kept, Person
from drainservice.engine.interval.due import GovernedBy
from drainservice.inspections.models import Down, Due, LookKind, Recommendation, Result, SelfCheck
from drainservice.inspections.queries.weighed import KINDS
from drainservice.register.models import Agreement, LocateTicket, Part, Pump, Site, System
from drainservice.reminders.models import Reminder
from drainservice.visits import queries as visits
from drainservice.visits.models import BOOKED, Area, CrewMember, Plan, Skill, State, Visit
from drainservice.web.demo import names
from drainservice.web.demo.county import STAFF, TOWNS, ZONE

pytestmark = pytest.mark.django_db
TODAY = date(2027, 5, 10)
TOMORROW = TODAY + timedelta(days=1)
NOW = wall.instant(TODAY, time(7, 30), ZONE)


@pytest.fixture(scope="module")
def _loaded(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock(), transaction.atomic():
        call_command("load_demo", systems=70, today=TODAY, verbosity=0)
        yield
        transaction.set_rollback(True)


@pytest.fixture(autouse=True)
def _demo(_loaded, db):
    """Each test looks at 70 systems, loaded once as of a Monday in May."""


def dues(**kept):
    return Due.objects.current().filter(system__status="in_use", **kept)


def kept_tables():
    return [m for m in apps.get_models() if issubclass(m, Kept)]


def test_every_reason_for_a_date_occurs():
    assert set(dues().values_list("governed_by", flat=True)) == set(GovernedBy)


def test_every_kind_of_look_is_due_somewhere():
    seen = set(dues().values_list("kind", flat=True))

    assert seen == {*LookKind.values, "mend", "access"}


def test_every_state_of_a_date_occurs():
    week, later = TODAY + timedelta(days=7), TODAY + timedelta(days=60)

    assert dues(due_on__lt=TODAY, can_be_judged=True).exists()
    assert dues(due_on__range=(TODAY, week)).exists()
    assert dues(due_on__gt=week, due_on__lte=later).exists()
    assert dues(due_on__gt=later).exists()
    assert dues(can_be_judged=False).exists()


def test_overdue_pump_tests_and_clogged_pits_are_flagged():
    assert {"past_pump_test", "clogged_pit", "past"} <= set(dues().values_list("flag", flat=True))


def test_every_verdict_of_a_test_occurs_and_every_sum_was_made():
    # Nobody in the demonstration has read the levels of a resting pit on a main.
    made = set(Result.objects.values_list("what", flat=True))
    assert made == set(KINDS) - {"other_pit"}
    assert set(Result.objects.values_list("verdict", flat=True)) >= {"good", "watch", "act"}


def test_visits_stand_in_every_state_that_does_not_depend_on_the_hour():
    states = set(Visit.objects.values_list("state", flat=True))

    assert states == set(State.values) - {State.AT_PIT}


def test_each_technician_has_visits_today_and_tomorrow():
    for day in (TODAY, TODAY + timedelta(days=1)):
        rounds = Counter(
            Visit.objects.filter(day=day, state="agreed").values_list(
                "technician__handle", flat=True
            )
        )
        assert set(rounds) == {"andrea", "basil", "cleo", "dmitri"}
        assert max(rounds.values()) <= 5


def rounds_on(day, at=NOW):
    found = visits.rounds_of_day(askers.command(at, door="test"), day)
    return {one.technician.handle: one for one in found.rounds}


def test_rounds_begin_at_two_bases_and_everybody_has_a_van_and_a_town():
    members = CrewMember.objects.select_related("base", "van")

    assert Counter(member.base.name for member in members) == {
        "the yard": 3,
        "the harbor shed": 1,
    }
    assert len({member.van.name for member in members}) == 4
    assert set(Area.objects.values_list("name", flat=True)) == {town[0] for town in TOWNS}


def test_a_home_of_each_town_lies_in_the_area_of_its_technician():
    # Towns are drawn within 0.015 by 0.018 degrees of their middles, areas within 0.02 by 0.024.
    for area in Area.objects.select_related("account"):
        lats, lons = zip(*area.corners, strict=True)
        for site in Site.objects.filter(city=area.name):
            assert min(lats) < site.latitude < max(lats)
            assert min(lons) < site.longitude < max(lons)


def test_two_hold_an_electric_licence_with_a_last_day_and_one_van_carries_a_camera():
    licences = Skill.objects.filter(word="electric", valid_until__gt=TODAY)
    day = TODAY + timedelta(days=2)

    assert set(licences.values_list("account__handle", flat=True)) == {"andrea", "cleo"}
    seeing = [s.technician.handle for s in visits.shifts_on([day]) if "camera" in s.skills]
    assert seeing == ["basil"]


def test_one_starts_late_and_one_has_had_fridays_off_since_a_day_of_the_past():
    # 10 May 2027 is a Monday; the pattern changed 75 days before it.
    friday, long_ago = date(2027, 5, 14), date(2027, 1, 15)
    starts = {
        shift.technician.handle: wall.local(shift.starts_at, ZONE).time()
        for shift in visits.shifts_on([friday])
    }

    assert starts == {"andrea": time(8), "basil": time(8), "cleo": time(9)}
    assert {s.technician.handle for s in visits.shifts_on([long_ago])} == {*starts, "dmitri"}


def test_everybody_has_a_break():
    breaks = {s.technician.handle: s.pause.minutes for s in visits.shifts_on([TODAY])}

    assert breaks["cleo"] == 45
    assert set(breaks.values()) == {30, 45}


def test_nobody_drives_on_a_holiday_of_the_county_nor_on_the_yard_day():
    # The last Monday of May is Memorial Day (5 U.S.C. 6103): 31 May 2027.
    assert "Memorial Day" in visits.why_closed(date(2027, 5, 31))
    assert visits.why_closed(date(2027, 5, 26)) == "Closed: yard day, vans and stock."
    assert not visits.shifts_on([date(2027, 5, 26), date(2027, 5, 31)])


def test_no_promise_lies_where_nobody_goes():
    ahead = Visit.objects.filter(day__gt=TOMORROW, state__in=BOOKED)
    going = {
        (shift.technician.pk, shift.day)
        for shift in visits.shifts_on(sorted(set(ahead.values_list("day", flat=True))))
    }

    assert ahead.exists()
    assert all((visit.technician_id, visit.day) in going for visit in ahead)


def test_rounds_can_be_driven_but_for_the_two_that_went_wrong():
    broken = {
        (day, handle)
        for day in (TODAY + timedelta(days=n) for n in range(25))
        for handle, one in rounds_on(day).items()
        if not one.is_kept
    }

    assert broken == {(TODAY, "basil"), (TOMORROW, "cleo")}


def test_a_technician_is_ill_tomorrow_and_most_promises_have_a_place_with_others():
    found = rounds_on(TOMORROW)["cleo"]
    aid = visits.first_aid_for(TOMORROW, at=NOW)
    numbers = {visit.pk for visit in found.visits}
    stops = {aid.proposal.inputs.stops[gate.stop].key
             for round_ in aid.proposal.plan.rounds for gate in round_.gates}  # fmt: skip

    assert found.crew.because == "fever"
    assert [one.technician.handle for one in aid.day.away] == ["cleo"]
    assert numbers
    assert len(numbers & stops) > len(numbers) / 2


def test_a_promise_of_today_is_in_danger_since_a_van_does_not_start():
    found = rounds_on(TODAY)["basil"]
    first = min(found.visits, key=lambda visit: visit.slot_starts_at)
    shift = found.crew.shift

    assert "does not start" in found.crew.why
    assert first.state == State.AGREED
    assert shift.starts_at > first.window_ends_at


def test_the_season_is_adopted_and_each_visit_of_it_has_its_week_and_no_message():
    plan = Plan.objects.get(kind="season", state="adopted")
    season = visits.season_of(plan)
    meant = Visit.objects.filter(purpose="look before the wet season")

    assert meant.count() == plan.done["made"] > 10
    assert all(season.week_of(visit.meant_for) is not None for visit in meant)
    assert not Reminder.objects.filter(visit__in=meant).exists()


def test_a_week_was_closed_since_and_the_season_that_waits_leaves_it_empty():
    adopted = Plan.objects.get(kind="season", state="adopted")
    ready = Plan.objects.get(kind="season", state="ready")
    season = visits.season_of(adopted)
    shut = [
        number
        for number, monday in enumerate(season.mondays)
        if "paved" in visits.why_closed(monday)
    ]
    before = dict(adopted.proposal["weeks"])
    after = dict(ready.proposal["weeks"])

    assert len(shut) == 1
    assert shut[0] in before.values()
    assert shut[0] not in after.values()
    assert after.keys() >= before.keys()


def test_a_season_and_rounds_wait_to_be_looked_at_and_a_what_if_was_tried():
    ready = Plan.objects.filter(state="ready")

    assert sorted(ready.values_list("kind", "what_if")) == [
        ("rounds", ""),
        ("rounds", "with 60 min more a shift"),
        ("season", ""),
    ]
    assert Plan.objects.count() == 4


def test_the_rounds_that_wait_cost_less_than_those_that_stand_and_are_up_to_date():
    plan = Plan.objects.get(kind="rounds", what_if="")
    rounds = visits.gather_rounds(at=NOW, days=[plan.first_on, plan.last_on])
    stood = {f"{who} {day.isoformat()}": number for (who, day), number in rounds.versions.items()}

    assert plan.cost["total"] < plan.cost["before"]["total"]
    assert plan.cost["driving"] < plan.cost["before"]["driving"]
    assert plan.rounds["versions"] == stood


def test_nobody_is_told_twice():
    told = Reminder.objects.values_list("visit", "use", "sequence", "about", "person", "channel")

    assert max(Counter(map(repr, told)).values()) == 1


def test_two_systems_on_one_site_are_one_visit():
    visit = Visit.objects.get(
        day=TODAY, site__in=[s for s in Site.objects.all() if s.systems.count() == 2]
    )

    assert visit.visit_systems.count() == 2


def test_a_dead_pump_without_a_spare_is_down_with_a_stop_gap():
    down = Down.objects.get(proven_at__isnull=True, stop_gap__contains="borrowed")

    assert down.told_at is not None
    assert dues(system=down.pump.system, kind="mend", governed_by="down").exists()


def test_a_pump_was_swapped_under_warranty():
    old = Pump.objects.get(until_because="dead within its warranty")
    new = Pump.objects.get(system=old.system, until_on__isnull=True)

    assert old.until_on == new.from_on
    assert old.serial != new.serial
    assert "claim" in new.warranty_claim


def test_one_pump_is_clearly_tired():
    ratios = [
        result.outputs["ratio"]
        for result in Result.objects.filter(what="flow_against_duty", verdict="act")
    ]

    assert min(ratios) < 0.75


def test_one_pit_clogs_year_by_year():
    slow = Result.objects.filter(what="soakage", verdict="act").first()
    system = slow.look.inspection.system
    times = [
        result.outputs["judged_s"]
        for result in Result.objects.filter(
            what="soakage", look__inspection__system=system
        ).order_by("look__inspection__on")
    ]

    assert times == sorted(times)
    assert times[-1] > 2 * times[0]


def test_a_buried_sideways_valve_is_known_and_will_be_dug_up_within_its_ticket():
    system = System.objects.get(defects__kind="valve_buried")
    visit = Visit.objects.get(visit_systems__system=system, is_digging=True)
    ticket = LocateTicket.objects.get(site=system.site)

    assert system.defects.filter(kind="valve_on_side").exists()
    assert ticket.valid_from <= visit.day <= ticket.valid_until


def test_what_nobody_knows_is_a_first_look_and_no_defect():
    system = System.objects.filter(origin="adopted", pit__isnull=True).first()

    assert dues(system=system, kind="first_look").exists()
    assert not system.defects.exists()


def test_new_pavers_leave_the_dates_and_make_access_due():
    visit = Visit.objects.get(not_reached_because__contains="pavers")
    system = visit.systems.get()

    assert dues(system=system, kind="access", governed_by="lid_covered").exists()
    assert not dues(system=system, can_be_judged=True, kind="pump").exists()


def test_a_visit_was_moved_twice():
    visit = Visit.objects.get(was_moved=True)

    assert visit.sequence == 2
    assert visit.state == "agreed"


def test_a_split_household_waits_for_a_person():
    visit = Visit.objects.filter(needs_person_since__isnull=False, answers__word="yes").get()

    assert {a.word for a in visit.answers.all()} == {"yes", "another_day"}
    assert visit.state == "offered"


def test_not_my_house_stops_asking_and_the_system_stays():
    household = Household.objects.get(asking_stopped_at__isnull=False)
    site = Site.objects.get(parts__person__memberships__household=household, parts__part="lives")

    assert site.systems.get().status == "in_use"


def test_one_household_never_answers():
    called_off = Visit.objects.filter(called_off_because="Nobody answered.")
    site = called_off.first().site

    assert called_off.count() == 2
    assert Visit.objects.get(site=site, state="offered").answers.count() == 0


def test_a_bucket_test_that_said_it_ran_was_proved_false():
    check = SelfCheck.objects.get(proved_false_on__isnull=False)

    assert check.answer == "ran_and_stopped"
    assert Down.objects.filter(pump__system=check.system, proven_at__isnull=False).exists()


def test_tenant_and_landlord_play_their_own_parts():
    played = defaultdict(lambda: defaultdict(set))
    for site, person, part in Part.objects.values_list("site", "person", "part"):
        played[site][person].add(part)

    let = [list(people.values()) for people in played.values() if len(people) == 2]

    assert any({"decides", "pays"} in parts and {"lives", "access"} in parts for parts in let)


def test_an_advice_was_declined_and_another_not_answered():
    assert {"declined", "no_answer"} <= set(Recommendation.objects.values_list("answer", flat=True))


def test_an_agreement_has_ended_and_one_covers_many_systems():
    assert Agreement.objects.filter(ends_on__lt=TODAY).exists()
    assert max(a.systems.count() for a in Agreement.objects.all()) >= 3


def test_a_spanish_household_is_asked_in_its_language():
    assert Visit.objects.filter(
        state="offered", site__parts__person__memberships__household__language="es"
    ).exists()


def test_a_house_changed_hands_and_its_history_stays():
    site = Site.objects.filter(parts__ends_on__isnull=False).distinct().get()

    assert site.parts.filter(ends_on__isnull=True).count() == 4
    assert site.systems.get().inspections.count() == 3


def test_no_message_speaks_of_a_visit_that_is_over():
    assert Reminder.objects.exists()
    assert not Reminder.objects.filter(visit__day__lt=TODAY).exists()
    assert not Reminder.objects.filter(visit__isnull=True).exists()


def test_the_mailbox_holds_mail_of_the_last_week_and_more_waits_for_its_time():
    kept = Reminder.objects.filter(job__state="sent")

    assert {"offer", "agreed", "moved"} <= set(kept.values_list("use", flat=True))
    assert all(kept.values_list("kept_here", flat=True))
    assert Reminder.objects.filter(job__state="waiting", use="get_ready").exists()
    assert not Reminder.objects.filter(job__state__in=["refused", "unsure"]).exists()


def test_no_fact_of_the_past_waits_in_the_queue():
    states = apps.get_model("jobs", "Job").objects.filter(is_message=False)

    assert set(states.exclude(kind="hold.expired").values_list("state", flat=True)) == {"done"}


def test_telephones_ring_nowhere_and_mail_goes_nowhere():
    telephones = Channel.objects.filter(kind="telephone").values_list("address", flat=True)
    mails = list(Channel.objects.filter(kind="mail").values_list("address", flat=True))

    assert all(re.fullmatch(r"\d{3}55501\d\d", number) for number in telephones)
    assert all(re.fullmatch(r".+@example\.(com|net|org)", mail) for mail in mails)
    assert len(set(mails)) == len(mails)
    assert len(set(telephones)) == len(telephones)


def test_every_name_and_street_is_from_the_invented_lists():
    known = {*names.FIRST.split(), *names.LAST.split()}
    known |= {*names.SPANISH_FIRST.split(), *names.SPANISH_LAST.split()}
    staff = {name for name, _, _ in STAFF}
    people = set(Person.objects.values_list("name", flat=True)) - staff
    streets = {
        address.split(" ", 1)[1] for address in Site.objects.values_list("address", flat=True)
    }

    assert all(set(name.split()) <= known for name in people)
    assert streets <= {*names.STREETS.split("|"), "Heron Court"}


def test_nobody_has_a_password_and_the_firm_is_a_demonstration():
    assert Firm.objects.get().is_demo
    assert not any(account.has_usable_password() for account in Account.objects.all())


def test_every_kept_row_stands_in_history():
    missing = {}
    for model in kept_tables():
        told = set(
            Change.objects.filter(
                subject=model._meta.label_lower, action__in=["entered", "asked"]
            ).values_list("subject_id", flat=True)
        )
        rows = {str(pk) for pk in model.objects.values_list("pk", flat=True)}
        if rows - told:
            missing[model.__name__] = len(rows - told)

    assert missing == {}


def test_nothing_is_dated_after_the_moment_of_loading():
    now = max(Change.objects.values_list("at", flat=True))

    # 7:30 in Los Angeles in May is 14:30 UTC.
    assert now.isoformat() == "2027-05-10T14:30:00+00:00"
