"""`replay_plan`: a stored question asked again gives the stored plan; files need no database."""

import json
import os
import subprocess
import sys
from io import StringIO

import pytest
from django.core.management import call_command

from drainservice.engine.rounds.check import assert_sound, count_cost
from drainservice.engine.rounds.search.effort import Effort
from drainservice.engine.rounds.stored import (
    cost_as_json,
    read_inputs,
    read_plan,
)
from drainservice.inspections.actions import find_due
from drainservice.visits import actions
from drainservice.visits.models import Plan
from tests import makers
from tests.visits import busy_week
from tests.visits.busy_week import TUESDAY
from tests.visits.test_plans import work_out
from tests.visits.test_season_plans import SHORT as SEASON_SHORT

SHORT = Effort(solver=50, looks=2_000, rebuilds=200)


def replay(*words):
    """Exit status, the JSON printed (None: nothing), and what was said beside it."""
    out, beside = StringIO(), StringIO()
    status = 0
    try:
        call_command("replay_plan", *words, stdout=out, stderr=beside)
    except SystemExit as ended:
        status = ended.code
    printed = json.loads(out.getvalue()) if out.getvalue() else None
    return status, printed, beside.getvalue().strip()


@pytest.fixture
def rounds_plan(dispatcher):
    busy_week.week(10)
    return work_out(actions.ask_rounds(busy_week.DAYS, asker=dispatcher, effort=SHORT))


@pytest.fixture
def season_plan(dispatcher):
    busy_week.crew()
    for n in range(4):
        makers.make_system(busy_week.site(n, north=0.01 * n))
    find_due(asker=makers.clock())
    season = actions.season.seasons_ahead(TUESDAY)[0]
    return work_out(actions.ask_season(season, asker=dispatcher, effort=SEASON_SHORT))


@pytest.fixture
def repair_plan(dispatcher):
    week = busy_week.week()
    actions.enter_absence(
        week["andrea"],
        asker=dispatcher,
        from_at=makers.MONDAY,
        until_at=makers.later(days=2),
        because="fever",
    )
    return work_out(actions.ask_repair(TUESDAY, asker=dispatcher))


@pytest.mark.django_db
@pytest.mark.parametrize("kind", ["rounds_plan", "season_plan", "repair_plan"])
def test_a_stored_plan_comes_out_equal(kind, request):
    plan = request.getfixturevalue(kind)

    status, printed, said = replay(str(plan.pk))

    assert (status, printed["is_equal"]) == (0, True)
    assert printed["digest"] == plan.digest
    assert said == f"Asked again, the plan equals the stored plan {plan.pk}."


@pytest.mark.django_db
@pytest.mark.parametrize("kind", ["rounds_plan", "season_plan", "repair_plan"])
def test_inputs_taken_home_give_the_same_plan_from_a_file(kind, request, tmp_path):
    plan = request.getfixturevalue(kind)
    path = tmp_path / "inputs.json"
    path.write_text(plan.inputs)
    turns = ",".join(f"{k}={v}" for k, v in plan.done.items() if v is not None)

    of_row = replay(str(plan.pk))[1]
    status, printed, _ = replay(str(path), f"--seed={plan.seed}", f"--effort={turns}")

    assert status == 0
    assert printed == {k: v for k, v in of_row.items() if k != "is_equal"}


@pytest.mark.django_db
def test_first_aid_is_found_again_without_a_search(dispatcher):
    week = busy_week.week()
    actions.enter_absence(
        week["andrea"],
        asker=dispatcher,
        from_at=makers.MONDAY,
        until_at=makers.later(days=2),
        because="fever",
    )
    plan = actions.propose_first_aid(TUESDAY, asker=dispatcher)

    status, printed, _ = replay(str(plan.pk))

    assert (status, printed["is_equal"]) == (0, True)


@pytest.mark.django_db
def test_a_plan_fitted_to_changed_rounds_is_judged_and_not_searched(dispatcher, rounds_plan):
    fitted = actions.rebase_plan(rounds_plan, asker=dispatcher)

    status, printed, said = replay(str(fitted.pk))

    assert (status, printed["is_equal"]) == (0, True)
    assert "passes the judge" in said


@pytest.mark.django_db
def test_another_seed_may_give_another_plan_that_is_as_sound(rounds_plan):
    status, printed, said = replay(str(rounds_plan.pk), "--seed=7")

    inputs, found = read_inputs(rounds_plan.inputs), read_plan(printed["plan"])
    assert_sound(inputs, found)
    assert printed["cost"] == cost_as_json(count_cost(inputs, found))
    assert (status, printed["seed"]) == (0, 7)
    assert ("equals" in said) == printed["is_equal"]


@pytest.mark.django_db
def test_inputs_that_were_tampered_with_are_named(rounds_plan):
    Plan.objects.filter(pk=rounds_plan.pk).update(inputs=rounds_plan.inputs + " ")

    status, printed, said = replay(str(rounds_plan.pk))

    assert (status, printed) == (1, None)
    assert "their digest differs" in said


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("which", "status", "says"),
    [
        ("999999", 2, "There is no plan 999999"),
        ("9" * 40, 2, "There is no plan 99999999999999999999"),
        ("nowhere.json", 2, "There is no file nowhere.json"),
        (".", 2, "There is no file ."),
    ],
)
def test_what_is_not_there_is_said_and_ends_with_two(which, status, says):
    ended, printed, said = replay(which)

    assert (ended, printed) == (status, None)
    assert says in said


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "This is no JSON"),
        (b"\xff\xfe\x00", "no text in UTF-8"),
        (b"[1, 2]", "must be an object"),
        (b'{"kind": "storm"}', "'storm' is none"),
        (b'{"form": 2, "drives": [], "shifts": [], "stops": []}', "form 2"),
        (b'{"form": 1, "kind": "season"}', "missing in the season"),
    ],
)
def test_a_file_that_is_no_question_is_refused_in_words_and_ends_with_one(content, says, tmp_path):
    path = tmp_path / "inputs.json"
    path.write_bytes(content)

    status, printed, said = replay(str(path))

    assert (status, printed) == (1, None)
    assert says in said
    assert "Traceback" not in said


def hand_written(**stop):
    """One visit of an hour, ten minutes from the yard, on a day from 8 to 17."""
    told = {"key": 1, "place": 1, "work_s": 3600, "windows": [[28800, 43200]], "must": True}
    shift = {
        "technician": 1,
        "day": 0,
        "starts_s": 28800,
        "ends_s": 61200,
        "leaves_from": 0,
        "returns_to": 0,
    }
    return {
        "form": 1,
        "drives": [[0, 600], [600, 0]],
        "shifts": [shift],
        "stops": [told | stop],
    }


def test_inputs_written_by_hand_are_planned(tmp_path):
    path = tmp_path / "hand.json"
    path.write_text(json.dumps(hand_written()))

    status, printed, said = replay(str(path), "--effort", "1")

    # There and back: 2 x 600 s at 1 a second.
    assert (status, printed["cost"]["total"]) == (0, 1200)
    assert printed["plan"]["rounds"] == [{"gates": [[0, 0]], "shift": 0}]
    assert said == "Planned from the file; nothing was stored."


def test_a_promise_that_fits_nowhere_ends_with_one_and_says_what_to_change(tmp_path):
    path = tmp_path / "hand.json"
    path.write_text(json.dumps(hand_written(windows=[[70000, 72000]])))

    status, printed, said = replay(str(path))

    assert (status, printed) == (1, None)
    assert "Visit 1 is promised for day 0" in said


@pytest.mark.parametrize("effort", ["much", "rebuilds=-1", "rebuilds=1e9", "=", "rebuilds="])
def test_an_effort_that_is_none_is_refused(effort, tmp_path):
    path = tmp_path / "hand.json"
    path.write_text(json.dumps(hand_written()))

    status, printed, said = replay(str(path), f"--effort={effort}")

    assert (status, printed) == (1, None)
    assert "effort" in said.lower()


def test_a_seed_below_nought_ends_with_two(tmp_path):
    path = tmp_path / "hand.json"
    path.write_text(json.dumps(hand_written()))

    assert replay(str(path), "--seed=-1")[0] == 2


@pytest.mark.slow
def test_the_command_prints_json_alone_without_any_database(tmp_path, root):
    path = tmp_path / "hand.json"
    path.write_text(json.dumps(hand_written()))
    env = {**os.environ, "DRAIN_VAR": str(tmp_path / "var")}
    (tmp_path / "var").mkdir()

    run = subprocess.run(
        [sys.executable, "-m", "django", "replay_plan", str(path)],
        capture_output=True,
        text=True,
        cwd=root,
        env=env | {"DJANGO_SETTINGS_MODULE": "drainservice.settings"},
        check=False,
    )

    assert (run.returncode, json.loads(run.stdout)["cost"]["driving"]) == (0, 1200)
    assert not list((tmp_path / "var").glob("*.sqlite3"))
