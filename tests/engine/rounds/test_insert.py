"""Putting a visit into a round, against arithmetic by hand and rounds driven step by step."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainservice.engine.rounds import insert
from drainservice.engine.rounds.check import count_cost, drive_round
from drainservice.engine.rounds.facts import Break, Gate, Plan, PlanInputs, Round, Window
from drainservice.engine.rounds.insert import (
    NEW,
    Candidate,
    added_drive_s,
    candidate_of,
    places_for,
    put_in,
    room_at,
    spans_in,
    take_out,
)
from drainservice.engine.rounds.layers import NEVER_S
from drainservice.engine.rounds.tables import make_tables
from tests.engine.rounds.small_rounds import MIN, draw_round, make_shift, make_stop, with_gate

few = settings(max_examples=300, deadline=None)
seeds = st.integers(0, 10**9)
DRAWN = 3000


def worked():
    """The round home, A, B, C, home of the tables, and U between 9 and 12, 30 min. Minutes."""
    legs = {(0, 1): 20, (1, 2): 15, (2, 3): 25, (3, 0): 30}
    legs |= {(0, 4): 25, (4, 0): 25, (1, 4): 10, (4, 1): 10}
    legs |= {(2, 4): 12, (4, 2): 12, (3, 4): 20, (4, 3): 20}
    drives = tuple(
        tuple(0 if a == b else MIN * legs.get((a, b), 99) for b in range(5)) for a in range(5)
    )
    stops = (
        make_stop(1, 480, 600, 30),
        make_stop(2, 600, 720, 40),
        make_stop(3, 780, 900, 45),
        make_stop(4, 540, 720, 30),
    )
    pause = Break(690 * MIN, 810 * MIN, 30 * MIN)
    inputs = PlanInputs(drives, (make_shift(pause=pause),), stops)
    return inputs, make_tables(inputs, Round(0, (Gate(0), Gate(1), Gate(2))))


def test_the_places_of_an_example_worked_by_hand():
    inputs, tables = worked()

    places = places_for(tables, candidate_of(inputs, 3))

    # H-U-A adds 25+10-20 = 15: U 540, leaves 570, A 580 <= 600. Its latest: 600-10-30 = 560.
    # A-U-B adds 10+12-15 = 7: U max(530+10, 540) = 540, leaves 570, B 582 <= 720; break ahead,
    # latest min(720, 720-12-30 = 678) = 678. With the break behind, U could be max(540, 690)+30
    # = 720 at the earliest, after 678: no.
    # B-U-C adds 12+20-25 = 7: break after C never (L1_C); on the way from U: U 640+12 = 652, leaves
    # 682 <= 810, max(702, 690)+30 = 732 <= 900; latest min(810, 900-30-20 = 850)-30 = 780, window
    # 720. Break on the way to U: max(652, 690)+30 = 720 <= 720; its latest 900-20-30 = 850.
    # C-U-H: U 825+20 = 845 > 720: no.
    assert [(p.before, p.added_drive_s) for p in places] == [
        (0, 15 * MIN),
        (1, 7 * MIN),
        (2, 7 * MIN),
    ]
    assert places[0].spans_s == ((540 * MIN, 560 * MIN),)
    assert places[1].spans_s == ((540 * MIN, 678 * MIN),)
    assert places[2].spans_s == ((720 * MIN, 720 * MIN), (652 * MIN, 720 * MIN))
    assert [p.added_overtime_s for p in places] == [0, 0, 0]


def test_the_slack_of_the_example_is_138_minutes():
    inputs, tables = worked()
    at_s = 60 * 9 * MIN

    # Window 9 to 11 after A: U starts 540, and could start by 678.
    (span,) = spans_in(room_at(tables, 1, 10 * MIN, 12 * MIN, 30 * MIN), at_s, 720 * MIN)

    assert (span[0], span[1] - span[0]) == (540 * MIN, 138 * MIN)
    new = put_in(inputs.tariff, tables, candidate_of(inputs, 3), 1)
    assert new.planned.starts_s[1] == 540 * MIN
    assert new.planned.slack_s[1] == 138 * MIN


def driven_with(inputs, round_, before, number, stop=None):
    """The round with the stop put in, driven step by step; a changed stop may stand in for it."""
    if stop is not None:
        inputs = replace(inputs, stops=(*inputs.stops[:number], stop, *inputs.stops[number + 1 :]))
    return drive_round(inputs, with_gate(round_, before, number))


def differences_from_brute_force(rounds=DRAWN, most=6):
    """At every place of drawn rounds: fits or not, its spans to the second, added cost."""
    differences, checks, fitting = 0, 0, 0
    for seed in range(rounds):
        inputs, round_ = draw_round(seed, most)
        tables = make_tables(inputs, round_)
        candidate = candidate_of(inputs, most)
        found = {place.before: place for place in places_for(tables, candidate)}
        window = candidate.stop.windows[0]
        for before in range(len(round_.gates) + 1):
            spans = found[before].spans_s if before in found else ()
            driven = driven_with(inputs, round_, before, most)
            checks += 1
            fitting += driven is not None
            differences += (driven is not None) != (before in found)
            edges = {at + step for span in spans for at in span for step in (-1, 0, 1)}
            for at_s in sorted(edges | {window.from_s, window.to_s}):
                if not window.from_s <= at_s <= window.to_s:
                    continue
                at_once = replace(candidate.stop, windows=(Window(at_s, at_s),))
                may = driven_with(inputs, round_, before, most, at_once) is not None
                checks += 1
                differences += may != any(a <= at_s <= b for a, b in spans)
    return differences, checks, fitting


def test_every_place_of_thousands_of_rounds_equals_brute_force():
    differences, checks, fitting = differences_from_brute_force()

    assert differences == 0
    assert checks > 20_000
    assert fitting > 2000


def drops_the_break_on_the_way_in(tables, before, way_in_s):
    """A planted fault: the break never falls on the way to the visit (case 3)."""
    return tables.early1_s[before] + way_in_s


def test_brute_force_notices_that_a_break_on_the_way_was_dropped(monkeypatch):
    monkeypatch.setattr(insert, "rested_at", drops_the_break_on_the_way_in)

    assert differences_from_brute_force(300)[0] > 0


def test_brute_force_notices_swapped_layers(monkeypatch):
    exact = insert.room_at

    def swapped(tables, *rest):
        return exact(replace(tables, late0_s=tables.late1_s, late1_s=tables.late0_s), *rest)

    monkeypatch.setattr(insert, "room_at", swapped)

    assert differences_from_brute_force(300)[0] > 0


def test_brute_force_notices_a_forgotten_drive_home(monkeypatch):
    exact = insert.room_at

    def stays_out(tables, before, way_in_s, way_on_s, work_s):
        is_last = before == len(tables.gates)
        return exact(tables, before, way_in_s, 0 if is_last else way_on_s, work_s)

    monkeypatch.setattr(insert, "room_at", stays_out)

    assert differences_from_brute_force(300)[0] > 0


@few
@given(seeds)
def test_what_a_place_adds_is_what_the_judge_counts(seed):
    inputs, round_ = draw_round(seed, 4)
    tables = make_tables(inputs, round_)
    was = count_cost(inputs, Plan((round_,)) if round_.gates else Plan(()))

    for place in places_for(tables, candidate_of(inputs, 4)):
        now = count_cost(inputs, Plan((with_gate(round_, place.before, 4),)))
        assert now.driving - was.driving == place.added_drive_s
        assert now.overtime - was.overtime == inputs.tariff.overtime * place.added_overtime_s


@few
@given(seeds)
def test_putting_in_makes_the_tables_of_the_new_round_and_taking_out_restores_the_old(seed):
    inputs, round_ = draw_round(seed)
    tables = make_tables(inputs, round_)

    for before in range(len(round_.gates) + 1):
        new = put_in(inputs.tariff, tables, candidate_of(inputs, 6), before)
        assert new == make_tables(inputs, with_gate(round_, before, 6))
        assert take_out(inputs, new, before) == tables


def all_spans(inputs, round_):
    """Place by place, the starts at which the last stop fits."""
    places = places_for(make_tables(inputs, round_), candidate_of(inputs, len(inputs.stops) - 1))
    return {place.before: place.spans_s for place in places}


def assert_none_is_worse(before, after):
    for place, spans in before.items():
        for from_s, to_s in spans:
            assert any(a <= from_s and to_s <= b for a, b in after[place])


@few
@given(seeds, st.integers(0, 3600), st.integers(0, 3600))
def test_a_wider_window_never_takes_a_start_away(seed, earlier_s, later_s):
    inputs, round_ = draw_round(seed)
    wide = tuple(
        replace(
            stop,
            windows=(Window(stop.windows[0].from_s - earlier_s, stop.windows[0].to_s + later_s),),
        )
        for stop in inputs.stops
    )

    assert_none_is_worse(all_spans(inputs, round_), all_spans(replace(inputs, stops=wide), round_))


@few
@given(seeds, st.integers(0, 3600), st.integers(0, 3600))
def test_a_longer_shift_never_takes_a_start_away(seed, earlier_s, later_s):
    inputs, round_ = draw_round(seed)
    shift = inputs.shifts[0]
    long = replace(shift, starts_s=shift.starts_s - earlier_s, ends_s=shift.ends_s + later_s)

    assert_none_is_worse(
        all_spans(inputs, round_), all_spans(replace(inputs, shifts=(long,)), round_)
    )


def test_a_window_of_one_second_is_met():
    inputs, tables = worked()
    at_once = replace(inputs.stops[3], windows=(Window(545 * MIN, 545 * MIN + 1),))
    candidate = Candidate(at_once, *candidate_ways(inputs))

    # H-U-A: by 560; A-U-B: from 540 to 678. B-U-C: from 652, no.
    assert [place.before for place in places_for(tables, candidate)] == [0, 1]


def candidate_ways(inputs):
    candidate = candidate_of(inputs, 3)
    return candidate.ways_in_s, candidate.ways_on_s


def test_two_visits_on_one_site_need_no_drive_between_them():
    inputs, tables = worked()
    again = make_stop(1, 480, 720, 30, key=77)
    candidate = Candidate(again, tuple(row[1] for row in inputs.drives), inputs.drives[1])

    first, second, *_ = places_for(tables, candidate)

    # Before A or after it nothing is added; there it can start from 500 or from 530 on.
    assert (first.added_drive_s, second.added_drive_s) == (0, 0)
    assert first.spans_s[-1][0] == 500 * MIN
    assert second.spans_s[-1][0] == 530 * MIN


def test_a_shift_without_visits_pays_the_whole_way():
    inputs, _ = worked()
    empty = make_tables(inputs, Round(0))

    (place,) = places_for(empty, candidate_of(inputs, 3))

    # 25 there, 25 back. Earliest 540; latest in its window 720, for 1020-25-30 = 965 lies after.
    assert place.added_drive_s == 50 * MIN
    assert place.spans_s == ((720 * MIN, 720 * MIN), (540 * MIN, 720 * MIN))


def test_a_shift_that_stands_elsewhere_by_now_pays_from_there():
    inputs, _ = worked()
    shift = replace(inputs.shifts[0], leaves_from=2, starts_s=600 * MIN)
    empty = make_tables(replace(inputs, shifts=(shift,)), Round(0))

    (place,) = places_for(empty, candidate_of(inputs, 3))

    # From B 12, home 25; the way B-H is not driven by a round without visits.
    assert place.added_drive_s == 37 * MIN
    assert place.spans_s[-1][0] == 612 * MIN


def test_overtime_is_told_where_the_day_ends_late():
    inputs, round_ = worked()[0], Round(0, (Gate(0), Gate(1), Gate(2)))
    short = replace(inputs.shifts[0], ends_s=860 * MIN, overtime_s=60 * MIN)
    inputs = replace(inputs, shifts=(short,))
    late = replace(inputs.stops[3], windows=(Window(540 * MIN, 900 * MIN),))
    candidate = Candidate(late, *candidate_ways(inputs))

    places = {place.before: place for place in places_for(make_tables(inputs, round_), candidate)}

    # After C: 825+20 = 845, with the break on the way from B to C (waits there to 780); +30 = 875;
    # home 900: 40 min late; the round as it is comes home at 855.
    assert places[3].added_overtime_s == 40 * MIN
    # A-U-B: 540 to 570, B 600; all as before.
    assert places[1].added_overtime_s == 0


def test_a_fixed_start_is_its_only_start():
    inputs, tables = worked()
    locked = replace(inputs.stops[3], fixed_s=560 * MIN)

    places = places_for(tables, Candidate(locked, *candidate_ways(inputs)))

    assert [place.spans_s for place in places] == [((560 * MIN, 560 * MIN),)] * 2


def test_a_van_that_is_full_takes_nothing_more():
    inputs, _ = worked()
    stops = tuple(replace(stop, load=3) for stop in inputs.stops)
    for room, count in ((12, 3), (11, 0)):
        inputs = replace(inputs, stops=stops, shifts=(replace(inputs.shifts[0], room=room),))
        tables = make_tables(inputs, Round(0, (Gate(0), Gate(1), Gate(2))))
        # Three visits take 9; a fourth needs 12.
        assert len(places_for(tables, candidate_of(inputs, 3))) == count


def test_each_of_several_windows_is_tried():
    inputs, tables = worked()
    twice = replace(
        inputs.stops[3],
        windows=(Window(0, 1), Window(540 * MIN, 600 * MIN), Window(650 * MIN, 700 * MIN)),
    )

    places = places_for(tables, Candidate(twice, *candidate_ways(inputs)))

    assert [(place.before, place.window) for place in places] == [(0, 1), (1, 1), (1, 2), (2, 2)]


def test_a_new_visit_has_no_number_yet():
    inputs, tables = worked()
    candidate = Candidate(inputs.stops[3], *candidate_ways(inputs))

    assert put_in(inputs.tariff, tables, candidate, 1).gates[1] == Gate(NEW)
    assert added_drive_s(tables, 1, candidate) == 7 * MIN


@pytest.mark.parametrize("length_min", [500, 541])
def test_a_visit_longer_than_the_shift_fits_nowhere(length_min):
    inputs, _ = worked()
    # The shift is 540 min; less 50 of driving and 30 of break 460 are left.
    long = replace(inputs.stops[3], work_s=length_min * MIN)
    empty = make_tables(inputs, Round(0))

    assert places_for(empty, Candidate(long, *candidate_ways(inputs))) == []
    assert empty.early1_s[-1] < NEVER_S
