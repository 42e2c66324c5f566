"""What the solver is asked, and what becomes of its answer."""

import warnings
from dataclasses import replace

import pytest

from drainservice.engine.rounds.check import find_faults
from drainservice.engine.rounds.facts import (
    DAY_S,
    Break,
    Gate,
    PlanInputs,
    Round,
    Shift,
    Stop,
    Window,
)
from drainservice.engine.rounds.search import vrp_model
from drainservice.engine.rounds.search.draft import empty_draft
from drainservice.engine.rounds.search.effort import never
from drainservice.engine.rounds.search.figures import make_figures
from drainservice.engine.rounds.search.mend import mend_rounds
from drainservice.engine.rounds.search.solve import start_draft
from drainservice.engine.rounds.search.vrp import Sketched, sketch_rounds, solver_version
from drainservice.engine.rounds.search.vrp_model import make_model
from tests.engine.rounds.drawn_plans import draw_plan

MIN = 60


def shift_of(technician=0, day=0, **changed):
    start = day * DAY_S
    return Shift(technician, day, start + 480 * MIN, start + 1020 * MIN, 0, 0, **changed)


def whole(day):
    return Window(day * DAY_S + 480 * MIN, day * DAY_S + 1020 * MIN)


def hours(day, from_h, to_h):
    return Window(day * DAY_S + from_h * 3600, day * DAY_S + to_h * 3600)


def model_of(shifts, *stops, present=()):
    places = 1 + len(stops)
    drives = tuple(tuple(900 * abs(a - b) for b in range(places)) for a in range(places))
    return make_model(make_figures(PlanInputs(drives, tuple(shifts), stops, present)))


def sketched(f, count=80, seed=1, should_stop=never, told=lambda done: None):
    return sketch_rounds(
        f, start_draft(f), seed=seed, count=count, should_stop=should_stop, told=told
    )


class TestModel:
    def test_whole_days_are_one_client_since_nights_close_themselves(self):
        stop = Stop(1, 1, 1800, (whole(0), whole(1)), worth=50)
        model = model_of((shift_of(), shift_of(day=1)), stop)

        (client,) = model.clients
        assert (client.early_s, client.late_s) == (whole(0).from_s, whole(1).to_s)
        assert (client.required, client.prize, client.group) == (False, 50 * 60, None)

    def test_mornings_of_two_days_are_alternatives_of_a_group(self):
        stop = Stop(1, 1, 1800, (hours(0, 9, 11), hours(1, 9, 11)), must=True)
        model = model_of((shift_of(), shift_of(day=1)), stop)

        assert [client.group for client in model.clients] == [0, 0]
        assert model.must_of_group == (True,)
        # One of them is served because the group asks for it, not because it is required itself.
        assert not any(client.required for client in model.clients)

    def test_a_promise_is_required(self):
        model = model_of((shift_of(),), Stop(1, 1, 1800, (hours(0, 9, 11),), must=True))

        assert model.clients[0].required
        assert model.clients[0].prize == 0

    def test_prizes_end_at_five_times_the_longest_way_there_and_back(self):
        stop = Stop(1, 1, 1800, (whole(0),), worth=100_000)

        assert model_of((shift_of(),), stop).clients[0].prize == 5 * 2 * 900

    def test_a_technician_who_may_not_come_costs_more_than_leaving_out(self):
        stop = Stop(1, 1, 1800, (whole(0),), worth=5_000, only=frozenset({0}))
        model = model_of((shift_of(0), shift_of(1)), stop)

        assert model.extra[0][0] == 0
        assert model.extra[1][0] > model.clients[0].prize

    def test_technicians_who_cost_the_same_share_a_profile(self):
        stops = (Stop(1, 1, 1800, (whole(0),), worth=9), Stop(2, 2, 1800, (whole(0),), usual=2))
        model = model_of((shift_of(0), shift_of(1), shift_of(2)), *stops)

        assert [kind.shifts for kind in model.kinds] == [(0, 1), (2,)]
        assert model.extra == ((0, 15 * 60), (0, 0))

    def test_a_preference_is_a_larger_prize_and_dearer_others(self):
        stop = Stop(1, 1, 1800, (whole(0),), worth=40, apart=((1, -20),))
        model = model_of((shift_of(0), shift_of(1)), stop)

        assert model.extra == ((20 * 60,), (0,))
        assert model.clients[0].prize == 60 * 60

    def test_what_was_told_keeps_its_windows_apart_with_the_price_of_moving(self):
        stop = Stop(1, 1, 1800, (whole(0), whole(1)), worth=40, move_units=7)
        model = model_of((shift_of(), shift_of(day=1)), stop, present=(Round(0, (Gate(0),)),))

        assert [client.options for client in model.clients] == [(0,), (1,)]
        assert model.extra == ((0, 7 * 60),)

    def test_a_stop_that_no_shift_may_serve_is_not_asked(self):
        assert model_of((shift_of(),), Stop(1, 1, 1800, (whole(3),), worth=40)).clients == ()


class TestLargePlans:
    """Memory is bounded: first technicians share their tables, then the solver is not asked."""

    def test_only_skills_are_told(self, monkeypatch):
        stops = (
            Stop(1, 1, 1800, (whole(0),), worth=9, usual=0),
            Stop(2, 2, 1800, (whole(0),), worth=9, skills=frozenset({"electric"})),
        )
        shifts = (shift_of(0), shift_of(1), shift_of(2, skills=frozenset({"electric"})))
        assert len(model_of(shifts, *stops).extra) == 3
        # Three profiles of 2 x 2 cells are 12; two are 8.
        monkeypatch.setattr(vrp_model, "MOST_CELLS", 8)
        model = model_of(shifts, *stops)

        assert [kind.shifts for kind in model.kinds] == [(0, 1), (2,)]
        assert model.extra[0][0] == model.extra[1][0] == model.extra[1][1] == 0
        assert model.extra[0][1] >= 60_000
        assert not model.is_too_large

    def test_a_plan_beyond_the_bound_is_not_asked_at_all(self, monkeypatch):
        monkeypatch.setattr(vrp_model, "MOST_CELLS", 1)
        f = make_figures(draw_plan(4, technicians=3, days=2, stops=14))

        assert sketched(f) == Sketched((), 0)


class TestSketches:
    @pytest.mark.parametrize("seed", range(20))
    def test_mended_sketches_hold_and_lose_no_promise(self, seed):
        inputs = draw_plan(seed, technicians=3, days=2, stops=12, scale=0.6)
        f = make_figures(inputs)
        start = start_draft(f)
        for sketch in sketched(f).sketches:
            mended = mend_rounds(f, sketch, start)

            assert find_faults(inputs, mended.as_plan()) == []

    def test_the_same_count_and_seed_give_the_same_sketches(self):
        f = make_figures(draw_plan(4, technicians=3, days=2, stops=14, scale=0.6))

        assert sketched(f, seed=3) == sketched(f, seed=3)

    def test_a_wish_to_stop_is_heard_within_twenty_iterations(self):
        f, asked = make_figures(draw_plan(4, technicians=3, days=2, stops=14)), []

        def should_stop():
            asked.append(1)
            return len(asked) > 2

        assert sketched(f, count=10_000, should_stop=should_stop).done == 40

    def test_progress_is_told_every_twenty_iterations(self):
        f, heard = make_figures(draw_plan(4, technicians=3, days=2, stops=14)), []
        sketched(f, count=50, told=heard.append)

        assert heard == [0, 20, 40]

    def test_no_warning_of_its_penalties_comes_through(self):
        """Two promises at one moment, one technician: no plan holds, and it would warn."""
        nine = hours(0, 9, 9)
        stops = (Stop(1, 1, 1800, (nine,), must=True), Stop(2, 1, 1800, (nine,), must=True))
        f = make_figures(PlanInputs(((0, 600), (600, 0)), (shift_of(),), stops))
        with warnings.catch_warnings():
            warnings.simplefilter("error")

            assert sketched(f, count=2_000).done == 2_000

    def test_the_break_shortens_the_paid_hours(self):
        """540 min of shift, a break of 60: two visits of 240 min hold, as 480 and 60 are 540; the
        break may start when the first is over at 720."""
        shift = shift_of(pause=Break(700 * MIN, 760 * MIN, 60 * MIN))
        stops = tuple(Stop(n, 0, 240 * MIN, (whole(0),), worth=500) for n in (1, 2))
        f = make_figures(PlanInputs(((0,),), (shift,), stops))
        sketch = sketched(f).sketches[0]
        mended = mend_rounds(f, sketch)

        assert len(sketch[0]) == 2
        assert len(mended.ways[0].options) == 2
        assert mended.ways[0].cost == 0

    def test_overtime_is_counted_with_the_break(self):
        """Two visits of 250 min and a break of 60 are 560 of 540 paid: 20 min at 2 units are 40,
        more than the 30 that leaving one out costs, less than 50."""
        for worth, made in ((30, 1), (50, 2)):
            pause = Break(700 * MIN, 760 * MIN, 60 * MIN)
            stops = tuple(Stop(n, 0, 250 * MIN, (whole(0),), worth=worth) for n in (1, 2))
            shift = shift_of(pause=pause, overtime_s=60 * MIN)
            f = make_figures(PlanInputs(((0,),), (shift,), stops))

            assert len(sketched(f).sketches[0][0]) == made

    def test_the_van_is_not_loaded_beyond_its_room(self):
        stops = tuple(Stop(n, 0, 1800, (whole(0),), worth=50, load=3) for n in (1, 2, 3))
        for room, made in ((5, 1), (6, 2), (None, 3)):
            shifts = (shift_of(room=room), shift_of(room=0))
            f = make_figures(PlanInputs(((0,),), shifts, stops))

            assert [len(options) for options in sketched(f).sketches[0]] == [made, 0]

    def test_visits_on_one_site_pay_for_the_wrong_technician_each(self):
        """Two stops at one place have no drive between them, yet each costs its 15 units."""
        shifts = (shift_of(0), replace(shift_of(1), starts_s=900 * MIN))
        stops = tuple(Stop(n, 1, 1800, (hours(0, 8, 10),), worth=14, usual=1) for n in (1, 2))
        f = make_figures(PlanInputs(((0, 0), (0, 0)), shifts, stops))

        assert sketched(f).sketches[0] == ((), ())

    def test_nothing_asked_is_nothing_sketched(self):
        f = make_figures(PlanInputs(((0,),), (shift_of(),), ()))

        assert sketched(f).sketches == ()
        assert empty_draft(f).cost == 0


def test_the_version_names_the_solver():
    assert solver_version().startswith("pyvrp 0.14.")
