# ruff: noqa: E501
"""The two messy files with their expected answers, row by row (tests/data/import, invented data)."""

import hashlib
import json
from datetime import date
from pathlib import Path

import pytest

from drainservice.exchange.reading import read_sheet
from tests.exchange.judge import complaints

FOLDER = Path(__file__).parents[1] / "data" / "import"
EXPECTED = json.loads((FOLDER / "expected.json").read_text())
# "nothing after 3 November 2025 has happened yet" (expected.json, terms, context)
TODAY = date(2025, 11, 3)
ROWS = [
    pytest.param(file, sheet, row, id=f"{file}-{row['r']}")
    for file, told in EXPECTED["files"].items()
    for sheet, rows in told["sheets"].items()
    for row in rows
]


@pytest.fixture(scope="module")
def readings():
    return {file: read_sheet(FOLDER / file, name=file, today=TODAY) for file in EXPECTED["files"]}


@pytest.mark.parametrize("file", EXPECTED["files"])
def test_are_the_files_the_answers_were_written_for(file):
    digest = hashlib.sha256((FOLDER / file).read_bytes()).hexdigest()

    assert digest == EXPECTED["files"][file]["sha256"]


@pytest.mark.parametrize(("file", "sheet", "expected"), ROWS)
def test_are_read_as_a_careful_person_would(readings, file, sheet, expected):
    row = next(
        row for row in readings[file].rows if (row.sheet, row.number) == (sheet, expected["r"])
    )

    assert complaints(expected, row) == []


@pytest.mark.parametrize("file", EXPECTED["files"])
def test_give_no_row_that_is_not_expected(readings, file):
    expected = [
        (s, row["r"]) for s, rows in EXPECTED["files"][file]["sheets"].items() for row in rows
    ]

    assert [(row.sheet, row.number) for row in readings[file].rows] == expected


@pytest.mark.parametrize("file", EXPECTED["files"])
def test_can_be_told_as_json(readings, file):
    told = json.loads(json.dumps(readings[file].as_json()))

    assert len(told["rows"]) == sum(told["counts"].values())


def test_keep_the_physical_line_of_a_text_file(readings):
    lines = {row.number: row.line for row in readings["ex1_customers.csv"].rows}

    assert lines[24] == 24
