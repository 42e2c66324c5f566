"""A round's tables in the search: against the tables told elsewhere, and against plain driving."""

from dataclasses import replace

import pytest

from drainservice.engine.rounds.check import count_cost, find_faults
from drainservice.engine.rounds.facts import Break, Gate, Plan, Round, Window
from drainservice.engine.rounds.search.figures import make_figures
from drainservice.engine.rounds.search.way import best_spot, make_way, put_in, without
from drainservice.engine.rounds.tables import make_tables
from tests.engine.rounds.drawn_plans import draw_plan
from tests.engine.rounds.small_rounds import draw_inputs, draw_round

# Beyond any second of the drawn rounds.
NEVER = 10**9


def as_way(f, round_):
    options = tuple(f.first_option[gate.stop] + gate.window for gate in round_.gates)
    return make_way(f, round_.shift, options)


@pytest.mark.parametrize("first", range(0, 600, 100))
def test_a_way_has_the_home_times_and_latest_starts_of_the_tables(first):
    kept = 0
    for seed in range(first, first + 100):
        inputs, round_ = draw_round(seed)
        if not round_.gates:
            continue
        way, tables = as_way(make_figures(inputs), round_), make_tables(inputs, round_)

        assert way is not None
        assert way.home_s == tables.home_s
        n = len(round_.gates)
        if inputs.shifts[0].pause is None:
            late = [max(a, b) for a, b in zip(way.l0, way.l1, strict=True)]
            assert late[1 : n + 1] == tables.late0_s[1 : n + 1]
        else:
            for mine, theirs in ((way.l0, tables.late0_s), (way.l1, tables.late1_s)):
                assert [max(x, -1) for x in mine[1 : n + 1]] == [
                    max(x, -1) for x in theirs[1 : n + 1]
                ]
            for mine, theirs in ((way.e0, tables.early0_s), (way.e1, tables.early1_s)):
                assert [min(x, NEVER) for x in mine[1 : n + 1]] == [
                    min(x, NEVER) for x in theirs[1 : n + 1]
                ]
        kept += 1
    assert kept > 50


@pytest.mark.parametrize("first", range(0, 1000, 100))
def test_the_best_spot_is_the_cheapest_place_that_plain_driving_allows(first):
    refused = 0
    for seed in range(first, first + 100):
        inputs, round_ = draw_round(seed)
        f, stop = make_figures(inputs), len(inputs.stops) - 1
        way = as_way(f, round_)
        found = best_spot(f, way, stop)
        costs = []
        for before in range(len(round_.gates) + 1):
            gates = (*round_.gates[:before], Gate(stop), *round_.gates[before:])
            cost = cost_if_it_holds(inputs, gates)
            if cost is not None:
                costs.append(cost - way.cost)

        assert (None if found is None else found[0]) == min(costs, default=None)
        if found is not None:
            assert make_way(f, 0, put_in(way, found)).cost == way.cost + found[0]
        refused += found is None
    assert 5 < refused < 95


TEN_MIN = 600


def coarse(inputs):
    """All times on a grid of ten minutes, so that things often just fit, to the second."""

    def cut(seconds):
        return seconds // TEN_MIN * TEN_MIN

    shift = inputs.shifts[0]
    pause = shift.pause
    if pause is not None:
        pause = Break(cut(pause.earliest_s), cut(pause.latest_s), cut(pause.length_s))
    shift = replace(
        shift, starts_s=cut(shift.starts_s), ends_s=cut(shift.ends_s), pause=pause, room=6
    )
    stops = tuple(
        replace(
            stop,
            work_s=cut(stop.work_s),
            windows=tuple(Window(cut(w.from_s), cut(w.to_s)) for w in stop.windows),
            load=number % 3,
        )
        for number, stop in enumerate(inputs.stops)
    )
    drives = tuple(tuple(cut(s) for s in row) for row in inputs.drives)
    return replace(inputs, drives=drives, shifts=(shift,), stops=stops)


@pytest.mark.parametrize("first", range(0, 1000, 100))
def test_what_just_fits_fits(first):
    """As above, where windows, break, home and load are often met exactly."""
    for seed in range(first, first + 100):
        drawn, random = draw_inputs(seed)
        inputs = coarse(drawn)
        f, stop, gates = make_figures(inputs), len(inputs.stops) - 1, ()
        for number in range(random.randint(0, 6)):
            before = random.randint(0, len(gates))
            tried = (*gates[:before], Gate(number), *gates[before:])
            holds = cost_if_it_holds(inputs, tried) is not None
            assert (as_way(f, Round(0, tried)) is not None) is holds
            gates = tried if holds else gates
        way = as_way(f, Round(0, gates))
        found = best_spot(f, way, stop)
        costs = [
            cost_if_it_holds(inputs, (*gates[:k], Gate(stop), *gates[k:]))
            for k in range(len(gates) + 1)
        ]
        least = min((cost for cost in costs if cost is not None), default=None)

        assert (None if found is None else found[0] + way.cost) == least


def cost_if_it_holds(inputs, gates):
    """The judge's cost of one round, leaving out left aside; None where it does not hold."""
    rest = tuple(s for s in range(len(inputs.stops)) if s not in {gate.stop for gate in gates})
    plan = Plan((Round(0, gates),), rest)
    if any("left out" not in fault for fault in find_faults(inputs, plan)):
        return None
    cost = count_cost(inputs, plan)
    return cost.total - cost.left_out


@pytest.mark.parametrize("seed", range(60))
def test_putting_in_and_taking_out_again_restores_the_way(seed):
    inputs = draw_plan(seed, stops=6)
    f = make_figures(inputs)
    for round_ in inputs.present:
        way = as_way(f, round_)
        for stop in range(len(inputs.stops)):
            spot = best_spot(f, way, stop)
            if spot is None or any(gate.stop == stop for gate in round_.gates):
                continue
            again = without(f, make_way(f, round_.shift, put_in(way, spot)), stop)

            assert (again.options, again.e0, again.e1, again.l0, again.l1) == (
                way.options,
                way.e0,
                way.e1,
                way.l0,
                way.l1,
            )


def test_a_van_without_room_has_no_spot():
    inputs = draw_plan(3, stops=4)
    stops = tuple(replace(stop, load=5, must=False, only=None) for stop in inputs.stops)
    shifts = tuple(replace(shift, room=4) for shift in inputs.shifts)
    f = make_figures(replace(inputs, stops=stops, shifts=shifts, present=()))

    assert all(best_spot(f, make_way(f, 0, ()), stop) is None for stop in range(4))
