"""Minutes on site: sums shown, waiting against every order of work."""

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.engine.rounds.minutes import (
    LOOK_TIMES,
    LookTime,
    MinutesCannotBe,
    StopTime,
    minutes_in_words,
    time_of_visit,
)

KINDS = sorted(LOOK_TIMES)


def test_a_proof_test_alone_is_coming_testing_and_closing():
    # 8 + 15 + 7 = 30
    assert time_of_visit([["pump"]]).minutes == 30


def test_waiting_overlaps_the_other_tests():
    # Hands on: 8 + pump 15 + percolation 20 - 12 + silt 5 + 7 = 43; the wait is over at
    # 8 + 20 = 28. 43 made up to five is 45; looks, coming and closing sum to 55: 12 are saved.
    found = time_of_visit([["pump", "percolation", "sediment"]])
    assert (found.minutes, found.exact_min, found.overlap_min) == (45, 43, 12)
    assert minutes_in_words(found) == (
        "45 min: proof test 15, percolation 20, silt 5, coming and closing 15, less 12 while a "
        "test waits, made up to five"
    )


def test_a_test_that_only_waits_lasts_as_long_as_its_wait():
    # Hands on: 8 + 8 + 7 = 23; the wait is over at 8 + 20 = 28, made up to five: 30.
    found = time_of_visit([["percolation"]])
    assert (found.minutes, found.exact_min) == (30, 28)


def test_two_systems_at_one_site_are_one_stop():
    # 8 + 15 + 15 + 7 = 45, not 30 + 30.
    found = time_of_visit([["pump"], ["pump"]])
    assert found.minutes == 45
    assert minutes_in_words(found) == "45 min: proof test 2 x 15, coming and closing 15"


def test_a_look_named_twice_at_one_system_is_one_look():
    assert time_of_visit([["pump", "pump"]]) == time_of_visit([["pump"]])


def test_each_further_defect_adds_its_minutes():
    # 8 + 60 + 7 + 2 x 5 = 85
    found = time_of_visit([["mend"]], defects=2)
    assert found.minutes == 85
    assert minutes_in_words(found) == (
        "85 min: mending 60, coming and closing 15, what else is to mend 10"
    )


def test_nobody_stays_longer_than_a_day():
    assert time_of_visit([["first_look"]] * 20).minutes == 720


def test_what_was_learned_keeps_the_wait_of_the_water():
    assert LookTime(20, 12).taking(25) == LookTime(25, 12)
    assert LookTime(20, 12).taking(9) == LookTime(9, 9)
    with pytest.raises(MinutesCannotBe):
        LookTime(5, 6)


looks = st.builds(
    lambda hands, wait: LookTime(hands + wait, wait), st.integers(0, 40), st.integers(0, 40)
)


def soonest_end(every, arriving, closing):
    """Brute force: every order of the hands-on parts, one pair of hands, each wait after its own
    part; closing by the same hands, beside what still waits."""
    ends = []
    for order in permutations(every):
        clock, last = arriving, 0
        for look in order:
            clock += look.hands_on_min
            last = max(last, clock + look.waiting_min if look.waiting_min else 0)
        ends.append(max(clock + closing, last))
    return min(ends)


@given(st.lists(looks, min_size=1, max_size=5), st.integers(0, 20), st.integers(0, 20))
def test_no_order_of_work_is_over_sooner(every, arriving, closing):
    times = {str(i): look for i, look in enumerate(every)}
    found = time_of_visit([times], stop=StopTime(arriving, closing), times=times)
    assert found.exact_min == soonest_end(every, arriving, closing)


@given(st.lists(st.lists(st.sampled_from(KINDS)), max_size=4), st.sampled_from(KINDS))
def test_one_more_look_never_shortens_a_visit_and_parts_add_up(systems, kind):
    found, more = time_of_visit(systems), time_of_visit([*systems, [kind]])
    assert more.minutes >= found.minutes
    assert found.minutes % 5 == 0
    whole = sum(n * each for _, n, each in found.parts) + found.stop_min + found.defects_min
    assert found.exact_min == whole - found.overlap_min
    assert found.overlap_min >= 0
