# ruff: noqa: E501
"""Nothing is silent: every cell with something in it ends as a fact, a note, a refusal or a question."""

from contextlib import suppress
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drainservice.exchange.cells import says_ditto
from drainservice.exchange.grid import SheetRefused
from drainservice.exchange.grid_opening import open_grids
from drainservice.exchange.reading import read_sheet
from tests.exchange.habits import ALL

TODAY = date(2025, 11, 3)
FOLDER = Path(__file__).parents[1] / "data" / "import"
FILES = ALL | {name: (FOLDER / name).read_bytes() for name in ("ex1_customers.csv", "ex2_log.xlsx")}


def stands_somewhere(row, fate, placed):
    """Whether the row really holds what the fate of a cell claims."""
    problems = (*row.refused, *row.questions)
    subjects = {name.split(".")[0] for name in (*row.facts, *row.held)}
    match fate.went:
        case "left":
            return row.outcome == "not_data"
        case "refused" | "question":
            return any(
                p.value in (fate.text, fate.text.lower()) or fate.text in row.kept.values()
                for p in problems
            )
        case "kept":
            return any(fate.text in text for text in row.kept.values())
        case "note":
            return fate.text in str(row.facts.get("notes", "") or row.held.get("notes", ""))
        case "unknown":
            return fate.text in row.unknown.values()
        case "fact":
            fact = placed.get(fate.column, "")
            asked = {p.fact.split(".")[0] for p in problems}
            return fact.split(".")[0] in subjects | asked or fact == "household.phones"
    return False


def assert_conserved(data, name):
    reading = read_sheet(data, name=name, today=TODAY)
    rows = {(row.sheet, row.number): row for row in reading.rows}
    lines = [(grid, line) for grid in open_grids(data, name) for line in grid.lines]
    placed = {note.sheet: dict(note.columns) for note in reading.sheets}

    assert len(rows) == len(reading.rows) == len(lines)
    for grid, line in lines:
        row = rows[grid.name, line.number]
        fates = {fate.at: fate for fate in row.fates}
        for at in line.filled:
            text = line.cells[at].text
            if not text:
                continue
            assert at in fates, f"row {line.number}: {text!r} is gone"
            guarded = fates[at].text.lstrip("'") == text.lstrip("'")
            assert fates[at].text == text or says_ditto(text) or guarded
            assert stands_somewhere(row, fates[at], placed[grid.name]), (line.number, fates[at])


@pytest.mark.parametrize("name", FILES)
def test_holds_for_every_file(name):
    assert_conserved(FILES[name], name)


@pytest.mark.parametrize("name", FILES)
def test_every_problem_names_row_and_value(name):
    for row in read_sheet(FILES[name], name=name, today=TODAY).rows:
        for problem in (*row.refused, *row.questions):
            assert f"Row {row.number}" in problem.sentence
            assert problem.value[:57] in problem.sentence
            assert problem.column in problem.sentence


CELLS = st.one_of(
    st.sampled_from(
        [
            "", "", "12 Oxbow Ct", "Greenlaw, Juno", "4 ft", "48", "-3", "1/2 hp", "?", "n/a", '"', "=1+1", "#REF!",
            "check valve laying flat", "2019", "last week", "yes", "253-555-0101", "juno@example.com", "Total", "NORTH",
        ]
    ),
    st.text(alphabet=st.characters(exclude_categories=["Cs"], exclude_characters='\r\n,"'), max_size=12),
)  # fmt: skip
HEADER = "Customer,Where,Phones,Mail,Pit depth,Pump,Done,Remarks,Price"


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(st.lists(st.lists(CELLS, min_size=1, max_size=9), max_size=6))
def test_holds_for_any_cells_under_any_heading(rows):
    text = "\n".join([HEADER, *(",".join(row) for row in rows)])

    with suppress(SheetRefused):
        assert_conserved(text.encode(), "any.csv")
