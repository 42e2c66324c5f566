"""A sheet's report as a person reads it: each row a line, each fact in the firm's units."""

from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from drainservice.exchange.said import say_value
from drainservice.web.words import fact_words, telephone

# Said at the head of the line already.
_HEAD = frozenset({"household.names", "site.address"})
_LABELS = {
    "inspection.on": "visit of",
    "inspection.drain_time_s": "drained in",
    "inspection.pump_ran": "pump ran",
    "system.installed_on": "put in",
    "household.phones": "telephone",
    "household.emails": "mail",
    "site.has_dog": "dog",
    "valve.attitude": "check valve",
    "valve.present": "check valve there",
    "weep_hole.present": "weep hole there",
    "access.covered_by": "lid covered by",
}
NOT_DATA = {
    "header": "headings",
    "title": "a title above the headings",
    "blank": "blank",
    "total": "a closing line",
    "hidden_sheet": "on a hidden sheet",
    "unrelated": "on a sheet without headings we know",
    "section": "a line between two parts of the list",
}


@dataclass(slots=True)
class RowTold:
    """One row: whose it is, what was read, and what of it came from the remarks."""

    number: int
    tab: str
    who: str
    facts: list[str]
    remarks: list[str]
    why: str = ""
    made: str = ""


@dataclass(slots=True)
class ReportTold:
    """The whole report, sorted by what a person does about it."""

    good: list[RowTold] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)
    known: list[RowTold] = field(default_factory=list)
    not_data: list[str] = field(default_factory=list)
    rows_with_refusal: int = 0
    rows_with_question: int = 0


def tell(rows: list[dict[str, Any]], units: str) -> ReportTold:
    """Sort the rows of a report."""
    told = ReportTold()
    left: Counter[str] = Counter()
    for row in rows:
        if row["duplicate"]:
            told.known.append(_row(row, units))
            continue
        if row["made"]:
            told.good.append(_row(row, units))
        if row["outcome"] == "not_data":
            left[NOT_DATA.get(row["why"], row["why"].replace("_", " ") or "no data")] += 1
        told.refused.extend(problem["sentence"] for problem in row["refused"])
        told.asked.extend(problem["sentence"] for problem in row["questions"])
        told.rows_with_refusal += bool(row["refused"])
        told.rows_with_question += bool(row["questions"])
    told.not_data = [
        f"{count} {'row' if count == 1 else 'rows'}: {why}" for why, count in left.items()
    ]
    return told


def _row(row: dict[str, Any], units: str) -> RowTold:
    facts = row["facts"]
    who = [", ".join(facts.get("household.names", [])), str(facts.get("site.address", ""))]
    return RowTold(
        number=row["number"],
        tab=row["sheet"],
        who=", ".join(filter(None, who)),
        facts=[say_fact(name, value, units) for name, value in facts.items() if name not in _HEAD],
        remarks=[
            f"{say_fact(name, said['value'], units)}, from “{said['words']}”"
            for name, said in row["from_remarks"].items()
        ],
        why=row["why"],
        made=row["made"].get("system", ""),
    )


def say_fact(name: str, value: Any, units: str) -> str:
    """pit depth 3 ft 6 in."""
    if name == "notes":
        return f"remark “{value}”"
    label = _LABELS.get(name) or fact_words(name.removesuffix("_s").removesuffix("_on"))
    label = label.removeprefix("inspection, ").replace(",", "").replace("_", " ")
    said = [telephone(each) for each in value] if name == "household.phones" else value
    return f"{label} {say_value(name, said, units)}"
