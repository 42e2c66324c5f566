# ruff: noqa: E501
"""How the plain kinds of cells are read: measures, days, claims, words and counts."""

import re
from datetime import date
from typing import Any

from drainservice.exchange.cells import Cell, CellDoubtful, CellRefused, one_line, plain
from drainservice.exchange.columns import BY_NAME, Fact
from drainservice.exchange.columns_placing import Placed
from drainservice.exchange.dates import read_date, read_serial, refuse_impossible
from drainservice.exchange.quantities import prepare, read_bare, read_quantity

Facts = dict[str, Any]


_WORDS_FOR_YES = """y yes yep yeah true t 1 x ✓ ✔ ☑ ok okay o.k. good fine pass passed works worked
    working ran runs running present installed fitted has on active started starts operational alive"""


_WORDS_FOR_NO = """n no nope false f 0 dead none fail failed fails bad broken not_running not_working
    didn't_run did_not_run doesn't_run does_not_run no_start did_not_start won't_start wont_start
    didn't_start absent missing not_present not_installed ✗ ✘ ☐ nonfunctional inoperative inop seized
    burned_out burnt_out would_not_start would_not_run no_go not_ran not_ok kaput never"""


YES = frozenset(_WORDS_FOR_YES.split())


NO = frozenset(_WORDS_FOR_NO.split())


_RAN_UNCLEAR = frozenset(
    {"x", "on", "present", "installed", "fitted", "has", "active", "none", "absent", "missing"}
)


def check_range(fact: Fact, value: float, text: str) -> float:
    """Refuse what cannot be; zero often stands for "nobody measured"."""
    if fact.low <= value <= fact.high:
        return value
    if value == 0:
        raise CellRefused(
            "impossible_value", f"{text!r} is nothing; leave the cell empty if not known"
        )
    size = "large" if value > fact.high else "small"
    raise CellRefused("impossible_value", f"{text!r} is too {size} to be true")


def read_yes_no(text: str) -> bool:
    """Yes or no from the many words for them.  Raises CellDoubtful (unclear)."""
    word = plain(text).strip(" .!")
    first = re.split(r"\s*[-,;:(]\s*|\s+but\s+|\. ", word, maxsplit=1)[0].strip(" .!")
    for candidate in (word, first):
        key = candidate.replace(" ", "_")
        if key in YES:
            return True
        if key in NO:
            return False
    raise CellDoubtful("unclear", f"{one_line(text)!r} is neither yes nor no")


def read_measure(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    text = cell.text
    if cell.kind == "date":
        raise CellRefused("unparsable", "the spreadsheet program has made a date of it")
    if cell.kind == "time":
        raise CellDoubtful("unclear", f"{text!r} may be hours and minutes or a time of day")
    if fact.dimension == "degrees":
        return {fact.name: check_range(fact, _degrees(text), text)}
    word = prepare(text)
    if fact.dimension == "time" and re.fullmatch(r"\d{1,3}:\d\d(?::\d\d)?", word):
        raise CellDoubtful("unclear", f"{text!r} may be hours and minutes or minutes and seconds")
    if fact.name == "inspection.sediment_m" and word in {
        "none",
        "clean",
        "no",
        "nothing",
        "no silt",
    }:
        return {fact.name: 0.0}
    paired = re.fullmatch(r"(.*?)\s*(?:@|\bat\b)\s*(.*)", word)
    if paired and fact.dimension == "flow":
        head = check_range(BY_NAME["pump.head_m"], read_quantity(paired[2], "length"), text)
        flow = check_range(fact, read_quantity(paired[1], "flow", placed.unit), text)
        return {fact.name: flow, "pump.head_m": head}
    if cell.kind == "number" and cell.number is not None and text == f"{cell.number:.12g}":
        return {
            fact.name: check_range(fact, read_bare(cell.number, fact.dimension, placed.unit), text)
        }
    if not re.search(r"\d", word):
        raise CellDoubtful("unclear", f"{one_line(text)!r} is no number")
    return {fact.name: check_range(fact, read_quantity(text, fact.dimension, placed.unit), text)}


def _degrees(text: str) -> float:
    found = re.fullmatch(r"([+-]?\d{1,3}(?:\.\d+)?)\s*°?\s*([nsew])?", plain(text))
    if not found:
        raise CellRefused("unparsable", f"{text!r} is not a number of degrees")
    return float(found[1]) * (-1 if found[2] in ("s", "w") and not found[1].startswith("-") else 1)


def read_day(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    ahead = fact.future_ok
    if cell.kind == "date":
        read = refuse_impossible(cell.date_iso, cell.text, today=today, future_ok=ahead)
    elif cell.kind == "number" and cell.number is not None:
        read = read_serial(cell.number, today=today, future_ok=ahead)
    else:
        same = re.match(r"\s*(\d{1,2})\s*[-/.]\s*(\d{1,2})\s*[-/.]\s*\d{2,4}\b", cell.text)
        if placed.order_doubtful and same and int(same[1]) <= 12 and same[1] != same[2]:
            raise CellDoubtful(
                "unclear", f"in {cell.text!r} day and month may stand either way round"
            )
        read = read_date(cell.text, today=today, future_ok=ahead, day_first=placed.day_first)
    return {fact.name: read}


def read_claim(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    return {fact.name: read_yes_no(cell.text)}


def read_ran(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    if plain(cell.text).strip(" .") in _RAN_UNCLEAR:
        raise CellDoubtful("unclear", f"{cell.text!r} does not say whether the pump ran")
    word = plain(cell.text)
    if re.search(
        r"\b(?:did ?n[o']t|didn'?t|would ?n[o']t|wouldn'?t|won'?t|will not|does ?n[o']t|doesn'?t|never) (?:run|start|come on|turn on|kick on|work)\b|\bnot (?:running|working|starting)\b",
        word,
    ):
        return {fact.name: False}
    if re.fullmatch(
        r"(?:it )?(?:ran|runs|works|worked|started|pumped|pumps|running|working) (?:fine|ok|okay|well|good|great|strong|normal(?:ly)?)\.?",
        word,
    ):
        return {fact.name: True}
    return {fact.name: read_yes_no(cell.text)}


def read_words(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    if cell.text[:1] in "=@" and cell.text:
        raise CellRefused("formula_text", f"{one_line(cell.text)!r} begins like a formula")
    if fact.name == "site.postcode" and re.fullmatch(r"\d{1,4}", cell.text):
        raise CellDoubtful("unclear", f"{cell.text!r} lacks a figure; a leading 0 may be lost")
    return {fact.name: one_line(cell.text)}


def read_count(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    found = re.match(r"(-?\d+)(?:\.0+)?\b", prepare(cell.text))
    if not found:
        raise CellDoubtful("unclear", f"{one_line(cell.text)!r} is no count")
    count = int(found[1])
    if count < 0:
        raise CellRefused("negative", f"{cell.text!r} is negative")
    if count > 60:
        raise CellRefused("impossible_value", f"{cell.text!r} is too many to be true")
    return {fact.name: count}
