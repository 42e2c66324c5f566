"""Whatever order visits are given in, at no moment do two of a technician's times overlap."""

from datetime import UTC, datetime, timedelta
from itertools import combinations
from types import SimpleNamespace
from unittest.mock import patch

from hypothesis import given
from hypothesis import strategies as st

from drainservice.visits.actions.slots import NewTime, write_times

EIGHT = datetime(2027, 5, 11, 8, tzinfo=UTC)


def visit_at(number, technician, hour, hours):
    starts_at = None if hour is None else EIGHT + timedelta(hours=hour)
    return SimpleNamespace(
        pk=number,
        technician_id=technician if hour is not None else None,
        slot_starts_at=starts_at,
        slot_ends_at=None if starts_at is None else starts_at + timedelta(hours=hours),
    )


@st.composite
def a_change(draw):
    """Up to eight visits of one or two hours in two rounds, dealt anew."""
    hours = draw(st.lists(st.integers(1, 2), min_size=1, max_size=8))

    def deal():
        order = draw(st.permutations(range(len(hours))))
        free, places = {1: 0, 2: 0}, {}
        for number in order:
            who = draw(st.sampled_from([1, 2, None]))
            if who is None:
                places[number] = (None, None)
                continue
            start = free[who] + draw(st.integers(0, 1))
            places[number] = (who, start)
            free[who] = start + hours[number]
        return places

    before, after = deal(), deal()
    visits = [visit_at(n, *before[n], hours[n]) for n in range(len(hours))]
    return visits, [(visits[n], *after[n], hours[n]) for n in range(len(hours))]


def overlaps(visits):
    placed = [v for v in visits if v.slot_starts_at is not None]
    return [
        (a.pk, b.pk)
        for a, b in combinations(placed, 2)
        if a.technician_id == b.technician_id
        and a.slot_starts_at < b.slot_ends_at
        and b.slot_starts_at < a.slot_ends_at
    ]


@given(a_change())
def test_every_step_leaves_all_times_apart_and_the_last_is_what_was_wanted(change):
    visits, wanted = change
    writes = []

    def keep(visit, *, asker, **new):
        if "technician" in new:
            who = new.pop("technician")
            visit.technician_id = None if who is None else who.pk
        for name, value in new.items():
            setattr(visit, name, value)
        writes.append(visit.pk)
        assert overlaps(visits) == []

    times = []
    for visit, who, start, hours in wanted:
        goal = visit_at(visit.pk, who, start, hours)
        person = None if who is None else SimpleNamespace(pk=who)
        times.append(NewTime(visit, person, goal.slot_starts_at, goal.slot_ends_at))
    with patch("drainservice.visits.actions.slots.history.keep", keep):
        write_times(times, asker=None)

    for visit, who, start, hours in wanted:
        goal = visit_at(visit.pk, who, start, hours)
        assert (visit.technician_id, visit.slot_starts_at) == (
            goal.technician_id,
            goal.slot_starts_at,
        )
    # Each is written once, and at most each but one is parked before.
    assert len(writes) < 2 * len(visits)


def test_who_has_no_time_yet_waits_while_two_change_places_before_it():
    """Found by the law above: the first to be written has no time of its own to be parked."""
    new, a, b = visit_at(0, 1, None, 1), visit_at(1, 1, 0, 1), visit_at(2, 1, 1, 1)
    andrea = SimpleNamespace(pk=1)
    hour = timedelta(hours=1)
    times = [
        NewTime(new, andrea, EIGHT, EIGHT + hour / 2),
        NewTime(a, andrea, EIGHT + hour, EIGHT + 2 * hour),
        NewTime(b, andrea, EIGHT + hour / 2, EIGHT + hour),
    ]

    def keep(visit, *, asker, **new_values):
        new_values.pop("technician", None)
        for name, value in new_values.items():
            setattr(visit, name, value)
        visit.technician_id = 1
        assert overlaps([new, a, b]) == []

    with patch("drainservice.visits.actions.slots.history.keep", keep):
        write_times(times, asker=None)

    assert [v.slot_starts_at for v in (new, b, a)] == [EIGHT, EIGHT + hour / 2, EIGHT + hour]
