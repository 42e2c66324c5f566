"""What the firm's own drives teach: medians counted by hand, and bounds."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.engine.rounds.roads.learning import (
    DriveCannotBe,
    Driven,
    Factor,
    Factors,
    distance_band,
    hour_band,
    is_plausible,
    learn_factors,
)


def drives(actual_s, *, km=2.0, hour=10, times=1):
    return [Driven(km, hour, 600, s) for s in actual_s for _ in range(times)]


def test_the_median_of_thirty_drives_is_learned():
    # 15 drives at 1.1 and 15 at 1.3 times 600 s: the median lies half-way, at 1.2.
    learned = learn_factors(drives([660, 780], times=15))

    assert [(one.distance_band, one.hour_band, one.drives) for one in learned.found] == [
        (0, None, 30),
        (0, 1, 30),
    ]
    assert learned.of(0) == pytest.approx(1.2)
    assert learned.of(0, 10) == pytest.approx(1.2)


def test_twenty_nine_drives_teach_nothing():
    assert learn_factors(drives([780], times=29)) == Factors()
    assert Factors().of(0) == 1.0


def test_each_distance_and_hour_learns_from_its_own_drives():
    learned = learn_factors(
        [
            *drives([660], km=2, hour=8, times=30),
            *drives([780], km=2, hour=10, times=60),
            *drives([540], km=20, hour=10, times=30),
        ]
    )

    # At all hours 30 times 1.1 and 60 times 1.3: the median is 1.3.
    assert learned.of(0, 8) == pytest.approx(1.1)
    assert learned.of(0, 10) == pytest.approx(1.3)
    assert learned.of(0) == pytest.approx(1.3)
    assert learned.of(0, 20) == pytest.approx(1.3)
    assert learned.of(2, 10) == pytest.approx(0.9)
    assert learned.of(1, 10) == 1.0


def test_lunches_among_the_drives_hardly_move_it():
    learned = learn_factors([*drives([660], times=40), *drives([2400], times=10)])

    assert learned.of(0) == pytest.approx(1.1)


@pytest.mark.parametrize(("actual_s", "factor"), [(2400, 1.6), (200, 0.7)])
def test_what_is_learned_stays_within_bounds(actual_s, factor):
    assert learn_factors(drives([actual_s], times=30)).of(0) == factor


@pytest.mark.parametrize(
    ("actual_s", "is_one"),
    [
        (119, False),
        (120, True),
        (3000, True),
        (3001, False),
        (0, False),
        (-600, False),
        (math.nan, False),
    ],
)
def test_a_drive_takes_a_fifth_to_five_times_the_model(actual_s, is_one):
    assert is_plausible(600, actual_s) is is_one


def test_no_drive_takes_three_hours():
    assert is_plausible(9000, 3 * 3600 - 1)
    assert not is_plausible(9000, 3 * 3600)


def test_bands_begin_where_they_say():
    assert [distance_band(km) for km in (0, 2.999, 3, 9.999, 10, 30, 5000)] == [0, 0, 1, 1, 2, 3, 3]
    assert [hour_band(hour) for hour in (0, 8, 9, 14, 15, 18, 19, 23)] == [0, 0, 1, 1, 2, 2, 3, 3]


@pytest.mark.parametrize("wrong", [{"model_s": 0}, {"km": -1.0}, {"hour": 24}, {"hour": -1}])
def test_a_drive_that_cannot_be_is_refused(wrong):
    with pytest.raises(DriveCannotBe, match="cannot be learned from"):
        Driven(**({"km": 2.0, "hour": 10, "model_s": 600, "actual_s": 700} | wrong))


@given(
    st.lists(
        st.builds(
            Driven,
            st.floats(0, 60),
            st.integers(0, 23),
            st.integers(1, 9000),
            st.integers(-100, 20_000),
        ),
        max_size=120,
    ),
    st.randoms(),
)
def test_the_order_of_drives_teaches_nothing(some, lots):
    shuffled = list(some)
    lots.shuffle(shuffled)

    learned = learn_factors(some)

    assert learned == learn_factors(shuffled)
    assert all(0.7 <= one.value <= 1.6 and one.drives >= 30 for one in learned.found)
    assert all(isinstance(one, Factor) for one in learned.found)
