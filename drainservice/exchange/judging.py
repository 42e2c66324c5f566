"""One row judged cell by cell: each ends as a fact, a note, a refusal or a question."""

import re
from dataclasses import replace
from datetime import date

from drainservice.exchange.cells import (
    LONGEST_CELL,
    LONGEST_VALUE,
    Cell,
    CellDoubtful,
    CellRefused,
    is_error,
    is_question_mark,
    one_line,
    plain,
    refuse_unfit_text,
    says_unknown,
    take_off_guard,
)
from drainservice.exchange.columns import Fact
from drainservice.exchange.columns_placing import Placed
from drainservice.exchange.grid import Grid, Line
from drainservice.exchange.judging_draft import Draft
from drainservice.exchange.judging_kinds import read_cell
from drainservice.exchange.people import read_emails, read_names, read_phones
from drainservice.exchange.people_places import read_address
from drainservice.exchange.remarks import read_remarks
from drainservice.exchange.report import Fate, FromRemark, column_letter

_ROUGH = re.compile(
    r"^\s*(?:about|approx|~|≈|ca\b|circa|roughly|abt\b|est\b|around)", re.IGNORECASE
)
_NONE_WORDS = frozenset(
    {"none", "no", "no phone", "no email", "no mail", "no e-mail", "doesn't have one"}
)
# Columns that hold several facts are asked about under the chief of them.
_ASKED_AS = {"pump.what": "pump.power_w", "valve.what": "valve.present", "pit.size": "pit.width_m"}
_ASKED_AS |= {"pump.duty": "pump.flow_m3s", "pit.what": "pit.depth_m"}
_MEASURED = frozenset({"quantity", "date", "pump", "count", "yesno", "ran"})
_CONTACT = re.compile(r"\s*(?:\(?\d{3}\)?[ .-]?\d{3}[ .-]\d{4}|[^\s@]+@[^\s@]+\.\w+)\s*")
_PEOPLE = frozenset({"names", "phones", "emails", "first_name", "last_name"})


def judge_line(grid: Grid, line: Line, placed: list[Placed], today: date) -> Draft:
    """Every cell of the row judged; `line` has its repeats and merged cells filled in."""
    draft = Draft(grid.name, line)
    row_is_struck = _is_struck(line)
    headings = {each.fact.name for each in placed if each.fact}
    draft.has_address_column = "site.address" in headings
    for at in line.filled:
        each = placed[at] if at < len(placed) else Placed("", None)
        cell = line.cells[at]
        if cell.comment:
            _ask_about_comment(draft, each, cell)
        if not cell.text.strip():
            continue
        went = _judge_cell(draft, grid, at, each, cell, row_is_struck, today)
        draft.fates.append(Fate(at, each.header or column_letter(at), cell.text, went))
    _join_parts(draft)
    _add_remarks(draft, today)
    _hold_shifted(draft, placed)
    if row_is_struck:
        value = str(draft.facts.get("site.address", "")) or line.cells[line.filled[0]].text
        draft.waits = True
        draft.ask("system.status", "", value, "struck_out", "the row is struck through")
    return draft


def _hold_shifted(draft: Draft, placed: list[Placed]) -> None:
    """A telephone or e-mail under a measure or a date: the cells of the row have slid sideways."""
    for at in draft.line.filled:
        fact = placed[at].fact if at < len(placed) else None
        text = draft.line.cells[at].text
        if fact is None or fact.kind not in _MEASURED or not _CONTACT.fullmatch(text):
            continue
        why = "it looks like a telephone or an e-mail; the cells of the row may have slid sideways"
        draft.ask("", placed[at].header, text, "unclear", why)
        draft.hold_all()
        return


def _is_struck(line: Line) -> bool:
    """The row is struck where most of what was typed in it is."""
    own = [line.cells[at] for at in line.filled if line.cells[at].merged_from is None]
    return bool(own) and sum(cell.struck for cell in own) * 2 > len(own)


def _ask_about_comment(draft: Draft, placed: Placed, cell: Cell) -> None:
    fact = placed.fact.name if placed.fact else ""
    draft.kept[f"comment on {placed.header}"] = cell.comment
    draft.ask(fact, placed.header, one_line(cell.comment), "unclear", "it is a comment on the cell")


def _judge_cell(
    draft: Draft, grid: Grid, at: int, placed: Placed, cell: Cell, row_is_struck: bool, today: date
) -> str:
    fact, column = placed.fact, placed.header or column_letter(at)
    name = _ASKED_AS.get(fact.name, fact.name) if fact else ""
    if grid.from_text and cell.text.startswith("'"):
        cell = replace(cell, text=take_off_guard(cell.text))
    try:
        is_remark = fact is None or fact.kind == "notes"
        refuse_unfit_text(cell.text, LONGEST_CELL if is_remark else LONGEST_VALUE)
        if cell.struck and not row_is_struck:
            raise CellDoubtful("struck_out", "the cell is struck through", cell.text)
        if fact is None or at in grid.hidden_columns:
            draft.keep(placed, column_letter(at), cell.text)
            return "kept"
        _refuse_unreadable(cell, fact)
        return _read(draft, placed, fact, cell, column, today)
    except (CellRefused, CellDoubtful) as fault:
        return draft.report(fault, name, column, cell.text)


def _refuse_unreadable(cell: Cell, fact: Fact) -> None:
    if cell.kind == "error" or is_error(cell.text):
        raise CellRefused("formula_error", "the spreadsheet program could not compute it")
    if cell.kind == "formula":
        if is_error(cell.cached):
            raise CellRefused("formula_error", "the spreadsheet program could not compute it")
        shown = f"; it last showed {cell.cached!r}" if cell.cached else ""
        why = f"it is a formula, and formulas are never worked out here{shown}"
        raise CellDoubtful("formula_text", why, cell.cached or None)
    if cell.text.startswith("=") and fact.kind != "notes":
        raise CellRefused("formula_text", "it begins like a formula")


def _read(draft: Draft, placed: Placed, fact: Fact, cell: Cell, column: str, today: date) -> str:
    if fact.kind == "notes":
        draft.notes.append(cell.text)
        draft.sources.setdefault("notes", column)
        return "note"
    if says_unknown(cell.text) or (fact.kind in _PEOPLE and plain(cell.text) in _NONE_WORDS):
        draft.unknown[fact.name] = cell.text
        return "unknown"
    if is_question_mark(cell.text):
        raise CellDoubtful("unclear", "a question mark stands for the value")
    if fact.kind in {"first_name", "last_name"} or fact.name == "site.house_number":
        if cell.text[0] in "=@":
            raise CellRefused("formula_text", "it begins like a formula")
        draft.parts[fact.name] = one_line(cell.text)
        return "fact"
    if fact.kind in _PEOPLE:
        return _read_people(draft, fact, cell, column)
    if fact.kind == "address":
        for name, value in read_address(cell.text).items():
            draft.take(name, value, column)
        return "fact"
    for name, value in read_cell(cell, placed, fact, today).items():
        draft.take(name, value, column)
    if fact.kind in {"quantity", "pump"} and _ROUGH.match(cell.text):
        draft.approximate.append(fact.name)
    if fact.kind in {"ran", "yesno", "valve", "weep_hole"} and re.search(
        r"[-,;:(]\s*\w{3,}|\bbut\b", cell.text
    ):
        draft.notes.append(f"{column}: {cell.text}")
    return "fact"


def _read_people(draft: Draft, fact: Fact, cell: Cell, column: str) -> str:
    bad: list[str] = []
    if fact.kind == "names":
        text = _take_contacts(draft, cell.text, column)
        if not re.search(r"[^\W\d_]{2,}", text) and text != cell.text:
            return "fact"
        values, asides = read_names(text)
    elif fact.kind == "emails":
        values, bad = read_emails(cell.text)
        asides = []
    elif "@" in cell.text and not re.search(r"\d{7}|\d{3}\D\d{4}", cell.text):
        values, bad = read_emails(cell.text)
        draft.take("household.emails", values, column)
        values, asides = [], []
    else:
        mails = re.findall(r"[^\s,;/<>()|]+@[^\s,;/<>()|]+", cell.text)
        text = cell.text
        for mail in mails:
            draft.take("household.emails", read_emails(mail)[0], column)
            text = text.replace(mail, " ")
        values, asides, bad = read_phones(text)
    if values:
        draft.take(fact.name, values, column)
    draft.notes.extend(f"{column}: {aside}" for aside in asides)
    reason = "invalid_email" if fact.kind == "emails" else "not_a_phone"
    for piece in bad:
        what = "an e-mail address" if fact.kind == "emails" else "a telephone number"
        draft.refuse(fact.name, column, piece, reason, f"{piece!r} is not {what}")
    return "fact"


def _take_contacts(draft: Draft, text: str, column: str) -> str:
    """Telephones and e-mail addresses that stand in a column of names; what is left of the cell."""
    for mail in re.findall(r"[^\s,;/<>()|]+@[^\s,;/<>()|]+\.[^\s,;/<>()|]+", text):
        draft.take("household.emails", read_emails(mail)[0], column)
        text = text.replace(mail, " ")
    for found in re.findall(
        r"(?:\+?1[ .-]?)?\(?\d{3}\)?[ .-]?\d{3}[ .-]?\d{4}(?:\s*x\s*\d+)?", text
    ):
        draft.take("household.phones", read_phones(found)[0], column)
        text = text.replace(found, " ")
    return text


def _join_parts(draft: Draft) -> None:
    """First and last name in columns of their own; a house number before its street."""
    last = draft.parts.get("household.last_name", "")
    first = draft.parts.get("household.first_name", "")
    if last or first:
        names, asides = read_names(f"{last}, {first}" if last and first else last or first)
        others = draft.facts.pop("household.names", [])
        draft.take("household.names", [*names, *others], "name")
        draft.notes.extend(asides)
    number = draft.parts.get("site.house_number", "")
    if number and "site.address" in draft.facts:
        draft.facts["site.address"] = f"{number} {draft.facts['site.address']}"
    elif number:
        draft.unknown["site.address"] = f"house number {number} without a street"


def _add_remarks(draft: Draft, today: date) -> None:
    if not draft.notes:
        return
    text = "; ".join(draft.notes)
    draft.facts["notes"] = text
    said, unsure = read_remarks("\n".join(draft.notes), today=today)
    has_visit = any(name.startswith("inspection.") for name in draft.facts)
    column = draft.sources.get("notes", "")
    for each in said:
        if each.fact.startswith("inspection.") and not has_visit:
            continue
        if each.fact in draft.facts:
            _compare_with_column(draft, each.fact, each.value, each.words, column)
            continue
        draft.from_remarks[each.fact] = FromRemark(each.value, each.words)
    for doubt in unsure:
        if doubt.fact not in draft.facts or doubt.fact in {"household.names", "system.status"}:
            draft.ask(doubt.fact, column, doubt.words, "unclear", doubt.why)


def _compare_with_column(draft: Draft, fact: str, value: object, words: str, column: str) -> None:
    """The remarks may contradict a column of the same row; neither is then offered."""
    stated = draft.facts[fact]
    is_near = (
        isinstance(value, float)
        and isinstance(stated, float)
        and abs(value - stated) <= 0.02 * abs(value)
    )
    if value == stated or is_near or fact.endswith("_on"):
        return
    draft.held[fact] = draft.facts.pop(fact)
    other = draft.sources.get(fact, "another column")
    draft.ask(
        fact, column, words, "duplicate_conflict", f"the column {other!r} says {stated}", value
    )
