"""Due dates of whole systems: every kind of reason, and what only moves what."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from drainservice.engine.asbuilt import facts as f
from drainservice.engine.asbuilt.facts import AsBuilt
from drainservice.engine.asbuilt.known import told
from drainservice.engine.interval.due import DueKind, GovernedBy, StandsOn
from drainservice.engine.interval.due_dates import (
    AsBuiltMissing,
    AsBuiltOutOfOrder,
    DatedAfterToday,
    due_dates,
)
from drainservice.engine.interval.facts import (
    AsBuiltSince,
    Consequence,
    Demand,
    DownNow,
    HouseholdRecord,
    JurisdictionRule,
    LookKind,
    LookOutcome,
    Origin,
    PumpFacts,
    RuleSaysNoDay,
    ShortestAboveLongest,
    Trend,
    TypeCap,
)
from drainservice.engine.interval.pump_belief import believe_pump
from drainservice.engine.interval.settings import FirmSettings, SeasonRule, WindowsDoNotFit
from drainservice.engine.interval.yearly import MonthDay, Span
from drainservice.engine.reliability.flood_belief import mean_flood_chance
from drainservice.engine.reliability.floods import monthly_stretches
from drainservice.engine.reliability.prior import RatePrior
from drainservice.engine.reliability.rates import FloatKind, PumpClass
from tests.engine.interval.makers import (
    HANDED_OVER_ON,
    SOUND,
    SUMMER,
    TODAY,
    WINTER,
    bucket,
    look,
    make_build,
    make_system,
    proof,
)

SIDEWAYS = make_build(valve_attitude=f.ValveAttitude.ON_SIDE, weep_hole_is_present=False)


def due_of(kind, system, today=TODAY):
    return due_dates(system, today=today).of(kind)


def pump_of(today=TODAY, **values):
    return due_of(DueKind.PUMP, make_system(**values), today)


def built(facts):
    return (AsBuiltSince(HANDED_OVER_ON, facts),)


def seen_on(*days):
    return tuple(look(LookKind.PUMP, day) for day in days)


def keys_of(due):
    return [sentence.key for sentence in due.reason]


def values_of(due, key):
    return dict(next(s.values for s in due.reason if s.key == key))


def test_season_moves_the_date_up_to_before_it():
    # Computed: poor valve 10.3 months would be 18 September; the season starts 1 June.
    due = pump_of(as_built=built(SIDEWAYS))

    assert (due.due_on, due.opens_on) == (date(2027, 5, 25), date(2027, 4, 17))
    assert due.governed_by is GovernedBy.SEASON
    assert values_of(due, "season_and_age") == {"season_on": "2027-06-01", "age_days": 203}
    assert values_of(due, "range") == {"low_months": 5, "high_months": 37}
    assert values_of(due, "dead_after_year_with")["dead_share"] == pytest.approx(0.217, abs=1e-3)


def test_all_candidates_are_kept_the_earliest_first():
    due = pump_of(as_built=built(SIDEWAYS))

    # floor(365.25 x 0.8547) = 312 days from 10 November 2026; the cap 365.
    assert [(c.governed_by, c.on) for c in due.candidates] == [
        (GovernedBy.SEASON, date(2027, 5, 25)),
        (GovernedBy.INTERVAL, date(2027, 9, 18)),
        (GovernedBy.CAP, date(2027, 11, 10)),
    ]


def test_what_would_lengthen_it_is_each_fix_and_the_bucket_test():
    due = pump_of(as_built=built(SIDEWAYS))
    days = {gain.key: gain.interval_days_then for gain in due.would_lengthen}

    # One fix at a time: 0.240 a year gives 11.1 months, 0.215 gives 12.4 (b/9 years each).
    assert days["valve_on_side"] == int(365.25 * (2 / 0.240) / 9)
    assert days["no_weep_hole"] == int(365.25 * (2 / 0.215) / 9)
    assert days["household_test"] > days["no_weep_hole"]
    assert set(days) == {"valve_on_side", "no_weep_hole", "household_test"}


def test_early_visit_is_not_due_again_before_the_same_season():
    # Computed: 73 days before a season of four months the mean dead chance is below 7 %.
    due = pump_of(today=date(2027, 4, 1), looks=seen_on(date(2027, 3, 20)))

    # 13.7 months = 416 days from 20 March 2027 is 9 May 2028, before 25 May 2028.
    assert (due.due_on, due.governed_by) == (date(2028, 5, 9), GovernedBy.INTERVAL)


def test_gap_rule_would_ask_again_before_the_same_season():
    settings = FirmSettings(season_rule=SeasonRule.BY_GAP)
    due = pump_of(today=date(2027, 4, 1), looks=seen_on(date(2027, 3, 20)), settings=settings)

    assert (due.due_on, due.governed_by) == (date(2027, 5, 25), GovernedBy.SEASON)


def test_yearly_cap_is_anchored_to_the_season():
    # Yard only: 20 % gives 2.56 years, so the cap governs; done 20 March 2027, ahead of 1 June.
    due = pump_of(
        today=date(2027, 4, 1),
        looks=seen_on(date(2027, 3, 20)),
        consequence=Consequence.YARD,
    )

    assert (due.due_on, due.governed_by) == (date(2028, 5, 25), GovernedBy.CAP)
    assert due.opens_on == date(2028, 6, 1) - timedelta(days=60)


def test_dates_of_years_in_a_row_do_not_creep_earlier():
    days = [date(2027, 5, 20)]
    for _ in range(4):
        due = pump_of(today=days[-1], looks=seen_on(*days), consequence=Consequence.YARD)
        days.append(due.due_on)

    assert days[1:] == [date(y, 5, 25) for y in (2028, 2029, 2030, 2031)]


def test_season_without_need_leaves_the_interval():
    due = pump_of(wet_seasons=())

    # floor(365.25 x 10.256/9) = 416 days exceed the cap of 365.
    assert (due.due_on, due.governed_by) == (date(2027, 11, 10), GovernedBy.CAP)
    assert due.posterior.interval_days == 416


def test_season_does_not_ask_for_two_looks_within_the_spacing():
    # Looked at on 10 May; 25 May is 15 days later. b/49 = 76 days give 25 July instead.
    due = pump_of(
        today=date(2027, 5, 11), looks=seen_on(date(2027, 5, 10)), target_chosen=told(0.02)
    )

    assert (due.due_on, due.governed_by) == (date(2027, 7, 25), GovernedBy.INTERVAL)


def test_living_space_is_tested_twice_a_year():
    due = pump_of(consequence=Consequence.LIVING_SPACE, wet_seasons=())

    # b/19 = 0.5398 years = 197 days.
    assert (due.due_on, due.governed_by) == (date(2027, 5, 26), GovernedBy.INTERVAL)
    assert due.posterior.target == 0.05


def test_owner_may_choose_another_target():
    due = pump_of(target_chosen=told(0.02), wet_seasons=())

    # b/49 = 0.2093 years = 76 days.
    assert due.due_on == date(2026, 11, 10) + timedelta(days=76)


def test_failure_brings_the_date_forward_and_a_pass_does_not():
    years = [date(2025, 11, 10), date(2026, 11, 10)]
    passed = pump_of(tests=tuple(proof(d) for d in years), wet_seasons=())
    failed = pump_of(
        tests=(proof(years[0]), proof(years[1], passed=False, mended_on=years[1])),
        wet_seasons=(),
    )

    assert failed.posterior.interval_days < 416 < passed.posterior.interval_days
    assert failed.due_on < passed.due_on
    assert values_of(failed, "own_history") == {"tests": 2, "failures": 1}


def test_bucket_test_that_never_reached_the_float_changes_nothing():
    dry = tuple(bucket(date(2026, m, 1), level_passed_on=False) for m in (2, 5, 8, 11))

    assert pump_of(tests=dry) == pump_of()


def test_quarterly_bucket_tests_lengthen_when_they_are_truly_given():
    given = tuple(bucket(date(2026, m, 1)) for m in (2, 5, 8, 11))
    due = pump_of(tests=given, wet_seasons=())

    assert "household_tests_count" in keys_of(due)
    assert due.posterior.interval_days > pump_of(wet_seasons=()).posterior.interval_days
    assert "household_test" not in {gain.key for gain in due.would_lengthen}


def test_answers_of_years_ago_do_not_count_as_testing_now():
    given = tuple(bucket(date(2025, m, 1)) for m in (2, 5, 8, 11))

    assert "household_tests_count" not in keys_of(pump_of(tests=given))


def test_answers_that_proved_false_weigh_less_and_the_reason_says_so():
    given = tuple(bucket(date(2026, m, 1)) for m in (2, 5, 8, 11))
    trusted = pump_of(tests=given)
    doubted = pump_of(tests=given, household=HouseholdRecord(answers_right=1, answers_wrong=4))

    assert doubted.posterior.interval_days < trusted.posterior.interval_days
    assert values_of(doubted, "household_weighs_less") == {"wrong": 4}


def test_look_that_was_not_done_moves_nothing():
    tried = (
        *seen_on(date(2026, 11, 10)),
        look(LookKind.PUMP, date(2026, 11, 20), LookOutcome.NOT_DONE, "gate"),
        look(LookKind.PUMP, date(2026, 11, 21), LookOutcome.IN_PART, ""),
    )

    assert pump_of(looks=tried) == pump_of()


def test_each_look_moves_only_its_own_date():
    before = due_dates(make_system(), today=TODAY)
    sediment = look(LookKind.SEDIMENT, date(2026, 11, 20))
    system = make_system(looks=(*seen_on(date(2026, 11, 10)), sediment))
    after = due_dates(system, today=TODAY)

    moved = {due.kind for due in before if after.of(due.kind) != due}
    assert moved == {DueKind.SEDIMENT}


def test_two_seasons_each_have_their_look():
    """1 Feb - 31 Mar and 1 Jul - 31 Aug; a test before one is stale for the other."""
    seasons = (
        Span(MonthDay(2, 1), MonthDay(3, 31)),
        Span(MonthDay(7, 1), MonthDay(8, 31)),
    )
    first = pump_of(wet_seasons=seasons, consequence=Consequence.LIVING_SPACE)
    # Done on 25 January 2027, the July season finds it 157 days old: mean dead chance above 5 %.
    second = pump_of(
        today=date(2027, 2, 1),
        looks=seen_on(date(2027, 1, 25)),
        wet_seasons=seasons,
        consequence=Consequence.LIVING_SPACE,
    )

    assert (first.due_on, first.governed_by) == (date(2027, 1, 25), GovernedBy.SEASON)
    assert (second.due_on, second.governed_by) == (date(2027, 6, 24), GovernedBy.SEASON)


def test_no_look_falls_in_hard_frost():
    # 76 days from 10 November would be 25 January, in frost from 15 December to 10 March.
    due = pump_of(target_chosen=told(0.02), hard_frosts=(WINTER,), wet_seasons=())

    assert (due.due_on, due.governed_by) == (date(2026, 12, 14), GovernedBy.FROST)
    assert values_of(due, "moved_by_frost") == {"was_on": "2027-01-25", "due_on": "2026-12-14"}


def test_look_moves_behind_the_frost_where_it_cannot_come_before():
    # Last look 1 December: the day before frost is 13 days later, closer than the spacing of 30.
    due = pump_of(
        today=date(2026, 12, 2),
        looks=seen_on(date(2026, 12, 1)),
        target_chosen=told(0.02),
        hard_frosts=(WINTER,),
        wet_seasons=(),
    )

    assert due.due_on == date(2027, 3, 11)


def test_frost_brings_an_autumn_and_a_spring_look():
    dues = due_dates(make_system(hard_frosts=(WINTER,)), today=TODAY)

    assert dues.of(DueKind.AUTUMN).due_on == date(2026, 12, 8)
    assert dues.of(DueKind.SPRING).due_on == date(2027, 3, 24)
    done = make_system(
        hard_frosts=(WINTER,),
        looks=(look(LookKind.AUTUMN, date(2026, 11, 20)), *seen_on(date(2026, 11, 10))),
    )
    assert due_of(DueKind.AUTUMN, done).due_on == date(2027, 12, 8)
    assert due_dates(make_system(), today=TODAY).of(DueKind.AUTUMN) is None


def test_rule_of_the_jurisdiction_governs_with_its_source():
    rule = JurisdictionRule(LookKind.PERCOLATION, "County code 12.4", every_days=90)
    done = (look(LookKind.PERCOLATION, date(2026, 11, 10)),)
    due = due_of(DueKind.PERCOLATION, make_system(rules=(rule,), looks=done))

    assert (due.due_on, due.governed_by) == (date(2027, 2, 8), GovernedBy.RULE)
    assert due.stands_on is StandsOn.RULE
    assert values_of(due, "rule") == {"source": "County code 12.4"}


@pytest.mark.parametrize(
    ("done_on", "due_on"),
    [
        (date(2026, 11, 10), date(2027, 10, 15)),
        # Within half a year before 15 October it counts for that day.
        (date(2026, 9, 1), date(2027, 9, 1)),
    ],
)
def test_rule_by_a_day_of_the_year(done_on, due_on):
    # A city's list asks for a self-inspection before 15 October (San Francisco).
    rule = JurisdictionRule(LookKind.LID, "Self-inspection list", by_day=MonthDay(10, 15))
    system = make_system(rules=(rule,), looks=(look(LookKind.LID, done_on),), wet_seasons=())

    assert due_of(DueKind.LID, system).due_on == due_on


def test_catalogue_caps_bind_both_ways():
    longest = TypeCap(LookKind.PUMP, "pump", 30, 120)
    shortest = TypeCap(LookKind.PUMP, "pump", 150, 400)
    capped = pump_of(type_caps=(longest,), wet_seasons=())
    held = pump_of(type_caps=(shortest,), target_chosen=told(0.02), wet_seasons=())

    assert (capped.due_on, capped.governed_by) == (date(2027, 3, 10), GovernedBy.TYPE_CAP)
    assert held.due_on == date(2026, 11, 10) + timedelta(days=150)


def test_pit_trend_gives_half_the_time_to_its_limit():
    # 10 November 2026 to 10 June 2027 are 212 days; half of them 106.
    trend = Trend(
        LookKind.PERCOLATION,
        date(2026, 11, 10),
        date(2027, 6, 10),
        date(2028, 1, 1),
        date(2029, 1, 1),
        5,
        "72 h",
    )
    done = (look(LookKind.PERCOLATION, date(2026, 11, 10)),)
    system = make_system(trends=(trend,), looks=done)
    due = due_of(DueKind.PERCOLATION, system)
    later = due_of(DueKind.PERCOLATION, system, TODAY + timedelta(days=60))

    assert (due.due_on, due.governed_by) == (date(2027, 2, 24), GovernedBy.TREND)
    assert (due.range_from_on, due.range_to_on) == (date(2027, 6, 10), date(2029, 1, 1))
    assert due.stands_on is StandsOn.READINGS
    # It does not recede from night to night.
    assert later == due


def test_pit_already_past_its_limit_is_due_after_the_spacing():
    trend = Trend(
        LookKind.SEDIMENT,
        date(2026, 11, 10),
        date(2026, 11, 1),
        date(2026, 11, 10),
        date(2027, 1, 1),
        3,
        "60 % of the sump",
    )
    done = (look(LookKind.SEDIMENT, date(2026, 11, 10)),)

    due = due_of(DueKind.SEDIMENT, make_system(trends=(trend,), looks=done))
    assert due.due_on == date(2026, 12, 10)


def test_adopted_system_has_a_first_look_and_no_false_defect():
    system = make_system(
        origin=Origin.ADOPTED,
        origin_on=date(2026, 10, 1),
        as_built=(AsBuiltSince(date(2026, 10, 1), AsBuilt()),),
        looks=(),
    )
    dues = due_dates(system, today=TODAY)
    first = dues.of(DueKind.FIRST_LOOK)

    # A week before 1 June 2027, within a year of entry.
    assert (first.due_on, first.governed_by) == (date(2027, 5, 25), GovernedBy.NEVER_LOOKED_AT)
    assert values_of(first, "first_look_settles") == {"unknown": 24}
    assert dues.of(DueKind.MEND) is None
    assert dues.of(DueKind.PUMP).due_on == date(2027, 5, 25)
    assert dues.of(DueKind.ALARM) is None


def test_adopted_system_without_a_season_is_looked_at_within_a_year():
    entered = date(2026, 10, 1)
    system = make_system(origin=Origin.ADOPTED, origin_on=entered, looks=(), wet_seasons=())

    assert due_of(DueKind.FIRST_LOOK, system).due_on == date(2027, 10, 1)


def test_first_look_once_done_is_not_asked_again():
    system = make_system(
        origin=Origin.ADOPTED, looks=(look(LookKind.FIRST_LOOK, date(2026, 11, 1)),)
    )

    assert due_of(DueKind.FIRST_LOOK, system) is None


def test_adopted_pump_found_dead_at_once_says_little_about_its_rate():
    entered = date(2026, 11, 1)
    system = make_system(
        origin=Origin.ADOPTED,
        origin_on=entered,
        tests=(proof(date(2026, 11, 10), passed=False, mended_on=date(2026, 11, 12)),),
    )
    due = due_of(DueKind.PUMP, system)

    # Nobody knows since when it was dead, so the prior stands and the clock starts at the mend.
    assert due.posterior.mean_per_a == pytest.approx(0.195, rel=1e-6)
    assert {c.governed_by: c.on for c in due.candidates}[GovernedBy.CAP] == date(2027, 11, 12)


def test_pump_that_is_down_is_due_for_mending():
    down = (DownNow(date(2026, 11, 20), "pump", "loan pump"),)
    dues = due_dates(make_system(down=down), today=TODAY)
    mend, pump = dues.of(DueKind.MEND), dues.of(DueKind.PUMP)

    # A week near a structure.
    assert (mend.due_on, mend.defect) == (date(2026, 11, 27), "pump")
    assert (pump.due_on, pump.governed_by) == (date(2026, 11, 27), GovernedBy.DOWN)
    assert pump.opens_on <= date(2026, 11, 20)
    assert "pump_is_down" in keys_of(pump)
    assert pump.would_lengthen == ()


def test_failed_test_not_yet_mended_counts_as_down():
    dues = due_dates(make_system(tests=(proof(date(2026, 11, 20), passed=False),)), today=TODAY)

    assert dues.of(DueKind.MEND).due_on == date(2026, 11, 27)
    proven = make_system(
        tests=(proof(date(2026, 11, 20), passed=False), proof(date(2026, 11, 24))),
    )
    assert due_of(DueKind.MEND, proven) is None


def test_defect_that_cannot_wait_has_its_own_date():
    wrong = make_build(valve_arrow_with_flow=False)
    as_built = (AsBuiltSince(date(2026, 11, 20), wrong),)
    dues = due_dates(make_system(as_built=as_built), today=TODAY)

    assert dues.of(DueKind.MEND).defect == "valve_against_flow"
    assert dues.of(DueKind.PUMP).governed_by is GovernedBy.DOWN


def test_defect_is_counted_from_when_it_last_began():
    """unsafe 2024 ── locked 2025 ── unsafe again 1 Oct 2026 ── still, 1 Nov 2026"""
    unsafe, safe = make_build(lid_is_child_safe=False), make_build(lid_is_child_safe=True)
    as_built = (
        AsBuiltSince(HANDED_OVER_ON, unsafe),
        AsBuiltSince(date(2025, 6, 1), safe),
        AsBuiltSince(date(2026, 10, 1), unsafe),
        AsBuiltSince(date(2026, 11, 1), unsafe),
    )

    mend = due_of(DueKind.MEND, make_system(as_built=as_built))
    assert (mend.defect, mend.due_on) == ("lid_not_child_safe", date(2026, 10, 8))


def test_lid_under_new_pavers_keeps_its_date_and_becomes_due_for_access():
    system = make_system(lid_unreachable_since=date(2026, 11, 15))
    dues = due_dates(system, today=TODAY)

    assert dues.of(DueKind.ACCESS).due_on == date(2026, 12, 15)
    assert dues.of(DueKind.PUMP).due_on == pump_of().due_on
    assert not dues.of(DueKind.PUMP).can_be_judged
    assert due_of(DueKind.ACCESS, make_system()) is None


def test_system_without_a_lid_cannot_be_judged():
    system = make_system(as_built=built(make_build(cover=f.Cover.NO_LID)))
    dues = due_dates(system, today=TODAY)

    assert dues.of(DueKind.ACCESS).defect == "no_access_lid"
    assert not any(d.can_be_judged for d in dues if d.kind is not DueKind.ACCESS)


def test_pit_without_a_pump_is_not_asked_to_prove_one():
    kinds = {due.kind for due in due_dates(make_system(pump=None), today=TODAY)}

    assert kinds == {DueKind.PERCOLATION, DueKind.SEDIMENT, DueKind.LID}


def test_line_near_trees_is_flushed_yearly():
    done = (look(LookKind.LINE, date(2026, 11, 10)),)
    plain = due_of(DueKind.LINE, make_system(looks=done))
    near = due_of(
        DueKind.LINE, make_system(looks=done, as_built=built(make_build(tree_is_near=True)))
    )

    assert plain.due_on == date(2028, 11, 9)
    assert near.due_on == date(2027, 11, 10)


def test_fix_lengthens_from_its_day():
    fixed = (*built(SIDEWAYS), AsBuiltSince(date(2026, 11, 20), SOUND))

    assert pump_of(as_built=fixed).posterior.nominal_per_a == pytest.approx(0.195)
    assert pump_of(as_built=built(SIDEWAYS)).posterior.nominal_per_a == pytest.approx(0.260)


def test_new_pump_starts_with_a_clean_record():
    new = PumpFacts(PumpClass.GOOD_SUBMERSIBLE, FloatKind.VERTICAL, told(date(2026, 11, 12)))
    failed = proof(date(2026, 11, 10), passed=False, mended_on=date(2026, 11, 12))
    due = pump_of(pump=new, tests=(failed,))

    assert due.posterior.tests_counted == 0
    assert due.posterior.mean_per_a == pytest.approx(0.195, rel=1e-6)
    assert {c.governed_by: c.on for c in due.candidates}[GovernedBy.CAP] == date(2027, 11, 12)


def test_old_pump_is_tested_sooner_and_replacing_it_is_said_to_be_wise():
    old = PumpFacts(PumpClass.BUDGET, FloatKind.TETHERED, told(date(2014, 5, 1)))
    due = pump_of(pump=old)

    assert due.posterior.nominal_per_a > 0.4
    assert values_of(due, "replace_pump")["age_years"] == 12


def test_many_starts_are_pointed_out():
    pump = PumpFacts(
        PumpClass.GOOD_SUBMERSIBLE, FloatKind.VERTICAL, starts_counted=900, starts_expected=300.0
    )

    assert values_of(pump_of(pump=pump), "too_many_starts") == {"counted": 900, "expected": 300}


def test_use_wears_the_pump():
    # 2,000 starts a year of 100,000 and 50 hours of 1,000: 0.02 + 0.05 a year more.
    pump = PumpFacts(
        PumpClass.GOOD_SUBMERSIBLE,
        FloatKind.VERTICAL,
        starts_per_a=2000,
        hours_per_a=50,
        life_hours=1000,
    )

    assert pump_of(pump=pump).posterior.nominal_per_a == pytest.approx(0.195 + 0.07)


def test_reason_says_which_of_three_it_stands_on():
    judged = pump_of()
    answered = pump_of(settings=FirmSettings(dead_in_spring=told(0.08)))
    own = RatePrior(shape=2, inverse_scale=2.2, tests=64, failures=9)
    tested = pump_of(settings=FirmSettings(dead_in_spring=told(0.08), prior=own))

    assert judged.stands_on is StandsOn.OUR_JUDGEMENT
    assert answered.stands_on is StandsOn.YOUR_ANSWER
    # 8 of 100: 0.085 a year.
    assert answered.posterior.mean_per_a == pytest.approx(0.085, abs=6e-4)
    assert tested.stands_on is StandsOn.YOUR_TESTS
    assert values_of(tested, "stands_on_your_tests") == {"tests": 64, "failures": 9}
    assert "rates_are_judgement" not in [s.key for s in tested.honesty]


def test_many_storms_and_outages_are_told_honestly():
    shares = (0, 0, 0, 0, 0.1, 0.25, 0.25, 0.2, 0.2, 0, 0, 0)
    due = pump_of(storm_demand=Demand(30, shares, 0.05))

    assert {"flood_chance", "many_storms", "outage_floor"} <= set(keys_of(due))
    # 1 - e^(-30 x 0.05)
    assert due.posterior.outage_floor_per_a == pytest.approx(0.7769, abs=1e-4)
    backed = built(make_build(has_backup=True))
    with_battery = pump_of(storm_demand=Demand(30, shares, 0.05), as_built=backed)
    assert "outage_floor" not in keys_of(with_battery)


def test_flood_chance_is_that_of_the_rates_averaged():
    # Computed for l = 0.2, D = 4 over one year: 0.139; over the gamma rate of 0.195 a little less.
    due = pump_of(storm_demand=Demand(4, (1 / 12,) * 12, 0.0), wet_seasons=())

    assert due.posterior.floods_per_a == pytest.approx(0.128, abs=0.004)


def test_dates_come_earliest_first():
    days = [due.due_on for due in due_dates(make_system(hard_frosts=(WINTER,)), today=TODAY)]

    assert days == sorted(days)


def test_impossible_facts_are_refused_in_words():
    mixed = (AsBuiltSince(date(2026, 1, 1), SOUND), AsBuiltSince(date(2025, 1, 1), SOUND))
    with pytest.raises(AsBuiltMissing, match="all of it may be unknown"):
        due_dates(make_system(as_built=()), today=TODAY)
    with pytest.raises(AsBuiltOutOfOrder, match="give the oldest first"):
        due_dates(make_system(as_built=mixed), today=TODAY)
    with pytest.raises(WindowsDoNotFit, match="the first must be the larger"):
        FirmSettings(due_before_season_days=50)
    with pytest.raises(ValueError, match=r"target is 1\.5; give a number between 0 and 1"):
        pump_of(target_chosen=told(1.5))
    with pytest.raises(DatedAfterToday, match="had its pump look on 2026-11-10"):
        due_dates(make_system(), today=date(2026, 11, 1))
    with pytest.raises(RuleSaysNoDay, match="either a number of days or a day"):
        JurisdictionRule(LookKind.LID, "County code")
    with pytest.raises(ShortestAboveLongest, match="shortest must be above zero"):
        TypeCap(LookKind.PUMP, "pump", 200, 100)
    with pytest.raises(ValueError, match="twelve numbers"):
        pump_of(storm_demand=Demand(4, (1.0,), 0.0))


def test_two_systems_alike_but_for_consequence_differ_by_their_target():
    mild, harsh = (
        replace(make_system(wet_seasons=(SUMMER,)), consequence=c)
        for c in (Consequence.YARD, Consequence.FLOODED_BEFORE)
    )

    assert due_of(DueKind.PUMP, harsh).due_on < due_of(DueKind.PUMP, mild).due_on


@pytest.mark.parametrize(
    ("done_on", "due_on"),
    [
        (date(2026, 4, 16), date(2027, 4, 16)),  # 182 days before 15 October: it counts, cap next
        (date(2026, 4, 15), date(2026, 10, 15)),  # 183 days: it does not
    ],
)
def test_half_a_year_before_a_rules_day_is_182_days(done_on, due_on):
    rule = JurisdictionRule(LookKind.LID, "Self-inspection list", by_day=MonthDay(10, 15))
    system = make_system(rules=(rule,), looks=(look(LookKind.LID, done_on),), wet_seasons=())

    assert due_of(DueKind.LID, system).due_on == due_on


def test_a_look_done_as_the_season_begins_is_not_ahead_of_it():
    due = pump_of(
        today=date(2027, 6, 1), looks=seen_on(date(2027, 5, 29)), consequence=Consequence.YARD
    )

    # Three days before 1 June, inside the seven: the plain cap.
    assert "cap" in keys_of(due)
    assert due.due_on == date(2028, 5, 28)


def test_floods_are_those_of_the_months_that_follow_the_last_proof():
    november = tuple(float(month == 11) for month in range(1, 13))
    system = make_system(storm_demand=Demand(6, november, 0.0), wet_seasons=())
    due = due_of(DueKind.PUMP, system)
    known = believe_pump(system, system.pump, TODAY)
    years = (due.due_on - known.base_on).days / 365.25

    # 10 November is month 10 and nine days of 30.4375 on.
    stretches = monthly_stretches(6, november, 10 + 9 / 30.4375, years)
    expected = mean_flood_chance(known.belief, stretches)

    assert due.posterior.floods_per_a == pytest.approx(expected, rel=1e-9)
    assert due.posterior.p50_per_a == known.belief.quantile(0.5)


def test_where_nobody_counted_storms_no_flood_is_claimed():
    due = pump_of()

    assert (due.posterior.floods_per_a, due.posterior.outage_floor_per_a) == (0.0, 0.0)
    assert "flood_chance" not in keys_of(due)


def test_a_fix_that_gains_less_than_two_weeks_is_not_offered():
    # A wye for a tee: 0.204 to 0.195 a year. At U = 0.10 that is 1.089 to 1.140 years, 18 days
    # more; at U = 0.05, 0.516 to 0.540 years, 9 days.
    tee = built(make_build(joint=f.Joint.TEE))
    near = pump_of(as_built=tee)
    inside = pump_of(as_built=tee, consequence=Consequence.LIVING_SPACE)

    assert "tee_joint" in [gain.key for gain in near.would_lengthen]
    assert "tee_joint" not in [gain.key for gain in inside.would_lengthen]


def test_no_range_reaches_further_than_fifty_years():
    settings = FirmSettings(dead_in_spring=told(0.004))

    assert pump_of(settings=settings).posterior.interval_p90_days == 18_262


def test_a_pump_that_is_down_counts_as_dead_in_every_figure():
    down = (DownNow(date(2026, 11, 20), "pump"),)
    due = pump_of(down=down, storm_demand=Demand(4, (1 / 12,) * 12, 0.0))

    assert (due.posterior.dead_share, due.posterior.dead_after_year) == (1.0, 1.0)
    # A harmful storm comes within the year with chance 1 - e^-4.
    assert due.posterior.floods_per_a == pytest.approx(0.98168, abs=1e-5)
    assert pump_of().posterior.dead_share < 0.1
