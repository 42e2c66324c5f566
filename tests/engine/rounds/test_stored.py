"""Inputs, plans and costs as JSON: read as written, and every fault said with its place."""

import json
from dataclasses import replace

import pytest

from drainservice.engine.rounds import stored
from drainservice.engine.rounds.facts import Cost, Gate, Plan, Round, Tariff
from drainservice.engine.rounds.search.effort import Effort
from drainservice.engine.rounds.search.solve import solve_rounds
from drainservice.engine.rounds.stored import (
    InputsCannotBeRead,
    cost_as_json,
    digest_of,
    effort_as_json,
    plan_as_json,
    read_cost,
    read_effort,
    read_inputs,
    read_plan,
    write_inputs,
)
from tests.engine.rounds.drawn_plans import draw_plan


def smallest():
    """The example of the module's own text."""
    text = stored.__doc__
    return json.loads(text[text.index("    {") : text.index("\n\nCanonical")])


def changed(**facts):
    return json.dumps({**smallest(), **facts})


def shift(**facts):
    return changed(shifts=[{**smallest()["shifts"][0], **facts}])


def stop(**facts):
    return changed(stops=[{**smallest()["stops"][0], **facts}])


def without(thing, name):
    facts = smallest()
    del facts[thing][0][name]
    return json.dumps(facts)


def test_the_smallest_example_plans_one_visit():
    """Ten minutes there and ten back: 20 units."""
    solved = solve_rounds(read_inputs(changed()))

    assert solved.plan == Plan((Round(0, (Gate(0),)),))
    assert solved.cost == Cost(driving=1200)


@pytest.mark.parametrize("seed", range(40))
def test_inputs_are_read_as_they_were_written(seed):
    inputs = draw_plan(seed, technicians=3, days=2, stops=8)
    if seed % 2:
        inputs = replace(inputs, tariff=Tariff(overtime=3, even_units=0))
    text = write_inputs(inputs)

    assert read_inputs(text) == inputs
    assert write_inputs(read_inputs(text)) == text
    assert '"form":1' in text
    assert " " not in text.replace('", "', "")


def test_the_digest_knows_the_inputs_and_not_how_they_were_typed():
    """Spaces, the order of names, and defaults that were spelled out do not matter."""
    plain = read_inputs(changed())
    typed = json.dumps(json.loads(stop(worth=0, skills=[], load=0, only=None)), indent=4)

    assert digest_of(read_inputs(typed)) == digest_of(plain)
    assert digest_of(read_inputs(stop(worth=1))) != digest_of(plain)
    assert len(digest_of(plain)) == 64


def test_nobody_at_all_is_not_the_same_as_anybody():
    assert read_inputs(stop(only=[])).stops[0].only == frozenset()
    assert read_inputs(write_inputs(read_inputs(stop(only=[])))).stops[0].only == frozenset()


ROUND = {"shift": 0, "gates": [[0, 0]]}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "The file is not JSON"),
        ("{", "The file is not JSON"),
        ("[" * 100_000, "The file is not JSON"),
        ("[]", "The file must be an object"),
        ("{}", "The file lacks 'form'"),
        (changed(form=2), "of form 2; form 1 is read"),
        (changed(form="1"), r"The file.form must be a whole number, not '1'"),
        (changed(colour=1), "a field 'colour', which means nothing here; there may be: drives"),
        (changed(drives=1), "drives must be a list"),
        (changed(drives=[[0, 1]]), r"drives\[0\] has 2 numbers; there are 1 places"),
        (changed(drives=[[0, 1.5], [1, 0]]), r"drives\[0\]\[1\] must be a whole number, not 1.5"),
        (changed(drives=[[0, -1], [1, 0]]), r"drives\[0\]\[1\] is -1; it must be at least 0"),
        (changed(drives=[[5, 1], [1, 0]]), r"drives\[0\]\[0\] is the way from a place to itself"),
        (changed(shifts=None), "shifts must be a list"),
        (changed(shifts=[1]), r"shifts\[0\] must be an object"),
        (without("shifts", "ends_s"), r"shifts\[0\] lacks 'ends_s': give a whole number"),
        (shift(ends_s=1), r"shifts\[0\] ends before it starts"),
        (shift(leaves_from=2), r"shifts\[0\].leaves_from is 2, and drives has 2 places"),
        (shift(returns_to=9), r"shifts\[0\].returns_to is 9"),
        (shift(starts_s=True), r"shifts\[0\].starts_s must be a whole number, not True"),
        (shift(room=-1), r"shifts\[0\].room is -1"),
        (shift(skills="pump"), r"shifts\[0\].skills must be a list"),
        (shift(skills=[1]), r"shifts\[0\].skills must be a list of words"),
        (shift(pause=5), r"shifts\[0\].pause must be an object"),
        (shift(pause={"earliest_s": 1}), r"shifts\[0\].pause lacks 'latest_s'"),
        (
            shift(pause={"earliest_s": 9, "latest_s": 1, "length_s": 1}),
            r"shifts\[0\].pause: latest_s lies before earliest_s",
        ),
        (without("stops", "windows"), r"stops\[0\] has no windows"),
        (stop(windows=[]), r"stops\[0\] has no windows"),
        (stop(windows=[[1]]), r"stops\[0\].windows\[0\] must be a pair"),
        (stop(windows=[[2, 1]]), r"stops\[0\].windows\[0\] ends before it begins"),
        (
            stop(windows=[["8:00", 1]]),
            r"stops\[0\].windows\[0\] must be a whole number, not '8:00'",
        ),
        (stop(place=7), r"stops\[0\].place is 7"),
        (stop(must=1), r"stops\[0\].must must be true or false"),
        (stop(work_s=1 << 50), r"stops\[0\].work_s is 1125899906842624, which is beyond"),
        (stop(only=3), r"stops\[0\].only must be a list"),
        (stop(apart=[[1, 2, 3]]), r"stops\[0\].apart\[0\] must be a pair"),
        (stop(fixed_s=5), r"stops\[0\].fixed_s lies in none of its windows"),
        (stop(muste=True), r"stops\[0\] has a field 'muste'"),
        (changed(stops=smallest()["stops"] * 2), "2 stops have the key 1: give each its own"),
        (changed(present=[{"shift": 4, "gates": []}]), r"present\[0\].shift is 4"),
        (changed(present=[{"shift": 0, "gates": [[3, 0]]}]), "a gate at stop 3, which is not told"),
        (changed(present=[{"shift": 0, "gates": [[0, 1]]}]), "stop 0 has no window 1"),
        (
            changed(present=[{"shift": 0, "gates": [[0, 0], [0, 0]]}]),
            "stop 0 stands in the plan twice",
        ),
        (changed(present=[ROUND, ROUND]), r"present\[1\]: shift 0 has a round already"),
        (changed(tariff={"overtime": "2"}), "tariff.overtime must be a whole number"),
        (changed(tariff={"overtimes": 2}), "tariff has a field 'overtimes'"),
        (changed(tariff=[]), "tariff must be an object"),
    ],
)
def test_what_is_wrong_is_said_with_its_place(text, said):
    with pytest.raises(InputsCannotBeRead, match=said):
        read_inputs(text)


def test_a_plan_a_cost_and_counts_are_read_as_they_were_written():
    solved = solve_rounds(draw_plan(9, stops=9, days=2), iterations=Effort(20, 500, 20))
    for value, write, read in (
        (solved.plan, plan_as_json, read_plan),
        (solved.cost, cost_as_json, read_cost),
        (solved.done, effort_as_json, read_effort),
        (Effort(), effort_as_json, read_effort),
    ):
        # Through text, as a database keeps it.
        assert read(json.loads(json.dumps(write(value)))) == value


def test_a_cost_whose_parts_do_not_add_up_is_refused():
    with pytest.raises(InputsCannotBeRead, match="do not add up"):
        read_cost({**cost_as_json(Cost(driving=5)), "total": 6})


@pytest.mark.parametrize(
    ("read", "facts", "said"),
    [
        (read_plan, [], "The plan must be an object"),
        (read_plan, {"rounds": [], "left_out": [-1]}, r"The plan.left_out\[0\] is -1"),
        (read_plan, {"rounds": [{"shift": 0, "gates": [[0]]}], "left_out": []}, "must be a pair"),
        (read_effort, {"solver": -1}, "The effort.solver is -1"),
        (read_effort, {"turns": 1}, "a field 'turns'"),
        (read_cost, {}, "The cost lacks 'driving'"),
    ],
)
def test_a_stored_plan_that_was_spoilt_is_refused(read, facts, said):
    with pytest.raises(InputsCannotBeRead, match=said):
        read(facts)
