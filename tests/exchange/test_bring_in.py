"""The command: what it prints and writes, how it ends, and that a killed run leaves nothing."""

import io
import json
import os
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from drainservice.exchange import actions, queries
from drainservice.exchange.models import Sheet
from drainservice.register.models import Site, System

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "tests" / "data" / "import"
CUSTOMERS, LOG = FOLDER / "ex1_customers.csv", FOLDER / "ex2_log.xlsx"


def run(*words):
    """What it prints, what it complains, and how it ends."""
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command("bring_in", *map(str, words), stdout=out, stderr=err)
    except SystemExit as end:
        return out.getvalue(), err.getvalue(), end.code
    return out.getvalue(), err.getvalue(), 0


@pytest.mark.django_db
def test_says_in_one_sentence_what_came_in():
    out, err, code = run(CUSTOMERS)

    assert out == (
        "ex1_customers.csv: 24 good rows were brought in, 1 were known already, 0 were refused "
        "whole, and 1 need a person.\n"
    )
    assert (err, code) == ("", 0)
    assert System.objects.count() == 24


@pytest.mark.django_db
def test_a_dry_run_only_says_what_would_come_in():
    out, _, code = run(CUSTOMERS, "--dry-run")

    assert "24 good rows would be brought in" in out
    assert code == 0
    assert not Site.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize("path", [CUSTOMERS, LOG], ids=["csv", "xlsx"])
def test_the_report_is_what_the_page_shows(tmp_path, dispatcher, path):
    report = tmp_path / "report.json"
    run(path, "--dry-run", "--report", report)

    sheet = actions.bring_in(path.read_bytes(), name=path.name, asker=dispatcher, dry=True)

    assert json.loads(report.read_text(encoding="utf-8")) == queries.report_of(sheet)


@pytest.mark.django_db
def test_the_report_tells_of_each_row_its_facts_problems_and_what_it_would_make(tmp_path):
    report = tmp_path / "report.json"
    run(CUSTOMERS, "--dry-run", "--report", report)

    rows = {row["number"]: row for row in json.loads(report.read_text())["rows"]}
    assert rows[4]["facts"]["pit.depth_m"] == 1.22
    assert rows[5]["from_remarks"]["valve.attitude"]["value"] == "on_its_side"
    assert rows[8]["refused"][0]["fact"] == "pit.depth_m"
    assert rows[12]["questions"][0]["reason"] == "unit_missing"
    assert (rows[25]["duplicate"], rows[25]["duplicate_of"]) == (True, 24)
    assert rows[4]["made"]["new"] == ["site", "household", "system"]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda folder: folder / "gone.csv", "There is no file"),
        (lambda folder: folder, "is not a file"),
        (lambda folder: written(folder, b""), "The file is empty"),
        (lambda folder: written(folder, b"%PDF-1.7 x"), "The file is a PDF"),
        (lambda folder: written(folder, b"\x00\x01\x02\x03" * 100), "."),
    ],
    ids=["gone", "folder", "empty", "pdf", "octets"],
)
def test_a_file_that_cannot_be_used_is_refused_in_a_sentence(tmp_path, make, sentence):
    out, err, code = run(make(tmp_path))

    assert code == 1
    assert out == ""
    assert sentence in err
    assert "Traceback" not in err
    assert not Sheet.objects.exists()


def written(folder, octets):
    path = folder / "list.csv"
    path.write_bytes(octets)
    return path


@pytest.mark.django_db
def test_a_report_that_cannot_be_written_is_told_with_what_was_done(tmp_path):
    _, err, code = run(CUSTOMERS, "--dry-run", "--report", tmp_path / "no" / "report.json")

    assert code == 1
    assert "Nothing was brought in; name another file." in err


@pytest.mark.slow
def test_a_database_that_was_not_made_ready_is_told_in_a_sentence(own_server_bare):
    process = own_server_bare("-m", "django", "bring_in", str(CUSTOMERS))
    said, _ = process.communicate(timeout=120)

    assert process.returncode == 1
    assert "Traceback" not in said
    assert "python manage.py migrate" in said


def test_a_call_without_a_file_is_a_wrong_call():
    with pytest.raises(CommandError, match="FILE"):
        call_command("bring_in")


# A run that is killed, in a process and a database of its own.

HELD = """
import sys, time, django
django.setup()
from django.core.management import call_command
from drainservice.exchange.actions import bring

def wait(*_):
    print("written", flush=True)
    time.sleep(120)

bring.keep_sheet = wait
call_command("bring_in", sys.argv[1])
"""


@pytest.fixture
def own_server_bare(tmp_path):
    """A function that starts Python beside a database of its own that holds no table yet."""
    told = {k: v for k, v in os.environ.items() if not k.startswith("DRAIN_")}
    told |= {
        "DRAIN_VAR": str(tmp_path / "var"),
        "DJANGO_SETTINGS_MODULE": "drainservice.settings",
        "PYTHONPATH": str(ROOT),
    }

    running = []

    def start(*words):
        process = subprocess.Popen(
            [sys.executable, *words],
            env=told,
            cwd=ROOT,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        running.append(process)
        return process

    yield start
    for process in running:
        process.kill()
        process.communicate()


@pytest.fixture
def own_server(own_server_bare):
    """The same, with the tables made."""
    assert own_server_bare("-m", "django", "migrate", "-v0").wait(timeout=300) == 0
    return own_server_bare


def counts(folder):
    (path,) = folder.glob("var/**/*.sqlite3")
    with sqlite3.connect(path) as database:
        return {
            table: database.execute(f"SELECT count(*) FROM {table}").fetchone()[0]
            for table in ("register_site", "accounts_person", "exchange_sheet", "jobs_job",
                          "accounts_change", "register_jurisdiction")
        }  # fmt: skip


@pytest.mark.slow
def test_a_run_killed_after_everything_was_written_leaves_nothing(tmp_path, own_server):
    held = own_server("-c", HELD, str(CUSTOMERS))
    assert held.stdout.readline() == "written\n"
    held.send_signal(signal.SIGKILL)
    held.wait(timeout=30)

    after_kill = counts(tmp_path)
    again = own_server("-m", "django", "bring_in", str(CUSTOMERS))
    said, _ = again.communicate(timeout=120)

    assert set(after_kill.values()) == {0}
    assert "24 good rows were brought in" in said
    assert counts(tmp_path)["register_site"] == 24
