"""A whole reading beside the record: every row's outcome, and one plan of what would be written."""

from dataclasses import asdict, dataclass, field, replace
from typing import Any

from drainservice.exchange.columns import BY_NAME
from drainservice.exchange.keys import fingerprint
from drainservice.exchange.on_record import Record, SystemEntry
from drainservice.exchange.placing import place_row
from drainservice.exchange.placing_words import NotPlaced, Placing, Setting, Told
from drainservice.exchange.plan import Plan
from drainservice.exchange.report import (
    DUPLICATE,
    QUESTION,
    REFUSED,
    TAKEN,
    Problem,
    Reading,
    Row,
    say_problem,
)
from drainservice.exchange.wanted import HOUSEHOLD

OUTCOMES = (TAKEN, REFUSED, QUESTION, DUPLICATE, "not_data")
# Headings that hold several facts, by the subject of the fact.
_CHIEF = {"pump": "pump.what", "valve": "valve.what", "weep_hole": "valve.what", "pit": "pit.size"}


@dataclass(slots=True)
class Judged:
    """One row with what became of it."""

    row: Row
    fingerprint: str
    system: SystemEntry | None = None
    made: dict[str, Any] = field(default_factory=dict)

    @property
    def is_good(self) -> bool:
        """Something of it can be brought in."""
        return bool(self.made)

    def as_json(self) -> dict[str, Any]:
        """The row as the report tells it."""
        told = asdict(self.row)
        told["duplicate"] = self.row.outcome == DUPLICATE
        told["made"] = self.made
        return told


def fingerprint_of(row: Row) -> str:
    """Of all that was read in the row, held or offered."""
    remarks = {fact: said.value for fact, said in row.from_remarks.items()}
    return fingerprint({**row.held, **remarks, **row.facts})


def judge_reading(reading: Reading, record: Record, setting: Setting) -> tuple[list[Judged], Plan]:
    """Every row in its order; nothing is written."""
    plan = Plan()
    headings = {(n.sheet, fact): heading for n in reading.sheets for heading, fact in n.columns}
    judged = [_judge(row, record, plan, setting, headings) for row in reading.rows]
    return judged, plan


def may_be_placed(row: Row) -> bool:
    """Whether anything of it may be brought in before a person has answered."""
    return row.outcome in (TAKEN, QUESTION) and not row.waits and "site.address" in row.facts


def all_facts(row: Row) -> dict[str, Any]:
    """The facts of the columns, and those that stand in the remarks alone."""
    return {fact: said.value for fact, said in row.from_remarks.items()} | row.facts


def _judge(
    row: Row,
    record: Record,
    plan: Plan,
    setting: Setting,
    headings: dict[tuple[str, str], str],
) -> Judged:
    mark = fingerprint_of(row)
    if not may_be_placed(row):
        return Judged(row, mark)
    if mark in record.taken:
        row = replace(row, outcome=DUPLICATE, why="the same facts were brought in before")
        return Judged(row, mark)
    try:
        placing = place_row(row, all_facts(row), record, plan, setting, Told())
    except NotPlaced as fault:
        return Judged(_hold(row, fault, headings), mark)
    row = _tell_problems(row, placing, headings)
    if placing.adds_nothing and row.outcome == TAKEN and not row.refused:
        row = replace(row, outcome=DUPLICATE, why="all of it is on record")
        return Judged(row, mark)
    return Judged(row, mark, placing.system, _made(placing))


def _made(placing: Placing) -> dict[str, Any]:
    if placing.adds_nothing:
        return {}
    return {"new": placing.made["new"], "added": sorted(set(placing.added))}


def _hold(row: Row, fault: NotPlaced, headings: dict[tuple[str, str], str]) -> Row:
    problem = make_problem(row, fault.fact, fault.reason, fault.why, headings, asks=True)
    held = {**row.held, **row.facts}
    return replace(
        row, facts={}, held=held, waits=True, outcome=QUESTION, questions=(*row.questions, problem)
    )


def _tell_problems(row: Row, placing: Placing, headings: dict[tuple[str, str], str]) -> Row:
    """Facts that contradict the record or cannot be kept move from the facts to the problems."""
    if not placing.asked and not placing.refused:
        return row
    asked = [make_problem(row, *each, headings, asks=True) for each in placing.asked]
    refused = [make_problem(row, *each, headings, asks=False) for each in placing.refused]
    gone = {problem.fact for problem in (*asked, *refused)}
    if "household.names" in {problem.fact for problem in asked}:
        gone |= HOUSEHOLD
    held = {f: v for f, v in all_facts(row).items() if f in gone}
    return replace(
        row,
        facts={f: v for f, v in row.facts.items() if f not in gone},
        from_remarks={f: v for f, v in row.from_remarks.items() if f not in gone},
        held={**row.held, **held},
        refused=(*row.refused, *refused),
        questions=(*row.questions, *asked),
        outcome=QUESTION if asked else row.outcome,
    )


def make_problem(
    row: Row,
    fact: str,
    reason: str,
    why: str,
    headings: dict[tuple[str, str], str],
    *,
    asks: bool,
) -> Problem:
    """A problem with its column and the cell's own words."""
    subject = fact.split(".")[0]
    column = headings.get((row.sheet, fact)) or headings.get(
        (row.sheet, _CHIEF.get(subject, "")), ""
    )
    value = all_facts(row).get(fact)
    text = next((fate.text for fate in row.fates if column and fate.column == column), "")
    if not text:
        said = row.from_remarks.get(fact)
        text = said.words if said else _in_words(value, row)
    sentence = say_problem(row.number, column, text, why, asks=asks)
    return Problem(column, fact, text, reason, sentence, value if fact in BY_NAME else None)


def _in_words(value: Any, row: Row) -> str:
    if value is None:
        return str(row.facts.get("site.address", ""))
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)
