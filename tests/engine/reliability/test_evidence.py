"""Histories become evidence: clocks, partial tests, fixes, doubted answers."""

from datetime import date, timedelta

import pytest

from drainservice.engine.failure_mode import FailureMode as M
from drainservice.engine.reliability.evidence import (
    SeenBeforeKnownGood,
    household_sensitivity,
    sights_of,
)
from drainservice.engine.reliability.history import PumpTest, SeenBy, SightKind
from drainservice.engine.reliability.posterior import posterior_after
from drainservice.engine.reliability.train import Build, BuildIsMissing, Train, nominal_per_a

START = date(2024, 1, 1)
YEAR = timedelta(days=365.25)
SOUND = Train((Build(START),))


def proof(on, passed=True, **more):
    return PumpTest(on, SightKind.PROOF, passed, SeenBy.TECHNICIAN, **more)


def bucket(on, passed=True, **more):
    return PumpTest(on, SightKind.BUCKET, passed, SeenBy.HOUSEHOLD, **more)


def exposures(tests, train=SOUND):
    return [round(s.exposure, 4) for s in sights_of(tests, train, START)]


def test_each_proof_test_starts_the_clock_again():
    # 366 and 365 days at 0.195 a year.
    assert exposures([proof(date(2025, 1, 1)), proof(date(2026, 1, 1))]) == [0.1954, 0.1949]


def test_partial_test_leaves_the_rest_ageing():
    # Bucket after 366 d sees 0.1455 of 0.195 a year: 0.1458; the proof test after 731 d sees that
    # part's second year and the rest's two years: 0.1455 x 0.9993 + 0.0495 x 2.0014 = 0.2445.
    got = exposures([bucket(date(2025, 1, 1)), proof(date(2026, 1, 1))])

    assert got == [pytest.approx(0.1458, abs=1e-4), pytest.approx(0.2445, abs=1e-4)]
    assert sum(got) == pytest.approx(0.195 * 731 / 365.25, abs=1e-3)


def test_float_lifted_dry_shows_less_than_a_bucket():
    dry = PumpTest(date(2025, 1, 1), SightKind.FLOAT_LIFTED_DRY, True, SeenBy.HOUSEHOLD, False)

    # Power 0.03 and 0.8 of the float's 0.06: 0.078 a year, over 366 days 0.0782.
    assert exposures([dry]) == [pytest.approx(0.0782, abs=1e-4)]


def test_water_that_never_reached_the_float_is_no_test():
    assert exposures([bucket(date(2025, 1, 1), level_passed_on=False)]) == []
    assert exposures([bucket(date(2025, 1, 1), passed=False, level_passed_on=False)]) == []


def test_mend_starts_the_clock_again_and_dead_time_does_not_count():
    tests = [
        proof(date(2025, 1, 1), passed=False, cause=M.FLOAT, mended_on=date(2025, 3, 1)),
        proof(date(2026, 3, 1)),
    ]
    got = sights_of(tests, SOUND, START)

    assert [s.passed for s in got] == [False, True]
    assert got[1].exposure == pytest.approx(0.195 * 365 / 365.25, abs=1e-4)


def test_nothing_is_learned_while_the_pump_is_known_dead():
    tests = [
        proof(date(2025, 1, 1), passed=False),
        bucket(date(2025, 2, 1), passed=False),
        proof(date(2025, 6, 1)),
        proof(date(2026, 6, 1)),
    ]

    # The pass of June 2025 proves it mended, and the clock starts there.
    assert exposures(tests) == [0.1954, 0.1949]


def test_failure_in_a_storm_is_a_failure_up_to_that_day():
    storm = PumpTest(date(2024, 7, 1), SightKind.STORM_FAILURE, False, SeenBy.HOUSEHOLD)

    assert exposures([storm]) == [round(0.195 * 182 / 365.25, 4)]


def test_fix_changes_the_rate_from_its_day_and_history_keeps_the_old():
    poor = Build(START, ((M.VALVE, 3.0), (M.AIR_LOCK, 10.0)))
    train = Train((poor, Build(date(2024, 7, 1))))

    # 182 d at 0.260 and 184 d at 0.195.
    want = (182 * 0.260 + 184 * 0.195) / 365.25
    assert exposures([proof(date(2025, 1, 1))], train) == [pytest.approx(want, abs=1e-4)]
    assert nominal_per_a(train, date(2024, 3, 1)) == pytest.approx(0.260)
    assert nominal_per_a(train, date(2025, 3, 1)) == pytest.approx(0.195)


def test_buried_valve_is_only_partly_seen_by_a_proof_test():
    train = Train((Build(START, ((M.VALVE, 1.5),), ((M.VALVE, 0.3),)),))

    # 0.185 of the others and 0.3 x 0.015 of the valve.
    assert exposures([proof(date(2025, 1, 1))], train) == [
        pytest.approx((0.185 + 0.0045) * 366 / 365.25, abs=1e-4)
    ]


def test_old_pump_ages_from_its_installation():
    train = Train((Build(START),), installed_on=date(2016, 1, 1))

    # Aged 8 to 9 the pump line is 0.1181 instead of 0.06.
    assert nominal_per_a(train, START) == pytest.approx(0.195 + 0.0581, abs=2e-4)


def test_answers_that_proved_false_weigh_less():
    # (9+0)/(10+0) = 0.9; two wrong: 9/12; ten right: 19/20.
    assert household_sensitivity(0, 0) == pytest.approx(0.9)
    assert household_sensitivity(0, 2) == pytest.approx(0.75)
    assert household_sensitivity(10, 0) == pytest.approx(0.95)
    sights = sights_of([bucket(date(2025, 1, 1))], SOUND, START, 0.75)
    assert [s.sensitivity for s in sights] == [0.75]


def test_sure_pass_makes_a_doubted_one_moot():
    tests = [bucket(date(2025, 1, 1)), proof(date(2025, 2, 1))]

    got, alone = sights_of(tests, SOUND, START, 0.75), sights_of(tests[1:], SOUND, START)
    assert [s.passed for s in got] == [True]
    assert got[0].exposure == pytest.approx(alone[0].exposure, rel=1e-12)


def test_answer_found_false_the_next_day_does_not_blacken_the_pump():
    """good ──366 d──▶ household "it ran" ──1 d──▶ found dead"""
    tests = [bucket(date(2025, 1, 1)), proof(date(2025, 1, 2), passed=False)]
    sights = sights_of(tests, SOUND, START, 0.9)
    alone = sights_of(tests[1:], SOUND, START)

    # m1 = 0.1458, m = 0.1959: (1 - a1) 0.1 + a1 - e^-m stands against 1 - e^-m alone; both speak of
    # one failure within a year, not of one within a day.
    assert sights[0].doubted == (pytest.approx(0.1458, abs=1e-4),)
    doubted, sure = (posterior_after(s, 0.195).mean() for s in (sights, alone))
    assert 0.8 * sure < doubted < sure


def test_household_alone_does_not_raise_the_dead():
    tests = [proof(date(2025, 1, 1), passed=False), bucket(date(2025, 2, 1))]

    assert [s.passed for s in sights_of(tests, SOUND, START, 0.9)] == [False]


def test_test_before_the_pump_was_known_good_is_refused_in_words():
    with pytest.raises(SeenBeforeKnownGood, match="Correct one of the two dates"):
        sights_of([proof(date(2023, 1, 1))], SOUND, START)
    with pytest.raises(BuildIsMissing, match="as-built facts"):
        Train(())


def test_only_a_pass_seen_by_more_than_the_household_proves_a_pump_again():
    failed = proof(date(2025, 1, 1), passed=False)
    later = proof(date(2026, 1, 1))

    # A bucket test between changes nothing: the pump is proven, and its clock starts, in 2026.
    for between in (bucket(date(2025, 2, 1)), proof(date(2025, 2, 1), passed=False)):
        tests = [failed, between, later, proof(date(2027, 1, 1))]
        assert [s.passed for s in sights_of(tests, SOUND, START)] == [False, True]
        assert exposures(tests)[-1] == 0.1949  # 365 days


def test_every_doubted_answer_before_the_end_is_kept_in_order():
    days = [date(2024, 4, 1), date(2024, 7, 1), date(2024, 10, 1), date(2025, 1, 1)]

    (sight,) = sights_of([bucket(day) for day in days], SOUND, START, 0.9)

    assert sight.passed
    assert sight.sensitivity == 0.9
    assert len(sight.doubted) == 3
    assert list(sight.doubted) == sorted(sight.doubted)
    # The last of the four is the sight itself: 366 days of 0.1455 a year.
    assert sight.exposure == pytest.approx(0.1455 * 366 / 365.25, rel=1e-3)
    assert sight.exposure > sight.doubted[-1]
