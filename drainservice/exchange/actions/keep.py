"""Keeping what was read: the sheet, its rows as they were judged, and what a person must decide."""

import hashlib
from dataclasses import replace
from datetime import timedelta
from typing import Any

from drainservice.accounts.asker import Asker
from drainservice.accounts.text import clean_line
from drainservice.exchange.judged import Judged
from drainservice.exchange.keys import fingerprint
from drainservice.exchange.models import Question, Sheet, SheetRow
from drainservice.exchange.report import Problem, Reading
from drainservice.exchange.storable import storable

KEPT_FOR = timedelta(days=7)


def sheet_of(content: bytes, name: str, asker: Asker, *, dry: bool) -> Sheet:
    """The row of this file: what was read dry becomes what was brought in."""
    _empty_old(asker)
    digest = hashlib.sha256(content).hexdigest()
    standing = Sheet.objects.filter(file_hash=digest, is_dry=True).order_by("pk").last()
    sheet = standing or Sheet(file_hash=digest)
    sheet.name = clean_line(storable(name), most=200, what="The file's name") or "sheet"
    sheet.read_at = asker.at
    sheet.by_id = asker.account_id
    sheet.is_dry = dry
    sheet.content = content if dry else None
    sheet.save()
    return sheet


def keep_sheet(sheet: Sheet, reading: Reading, judged: list[Judged]) -> Sheet:
    """Store the report, and of a sheet that was brought in every row and question."""
    for each in judged:
        if each.made and each.system is not None and not sheet.is_dry:
            each.made["system"] = each.system.system.code
    rows = [storable(each.as_json()) for each in judged]
    report = replace(reading, rows=tuple(each.row for each in judged)).as_json()
    counts, report["rows"] = report["counts"], []
    counts["good"] = sum(each.is_good for each in judged)
    sheet.report = storable(report)
    if sheet.is_dry:
        sheet.report["rows"] = rows
    sheet.save()
    if not sheet.is_dry:
        _store_rows(sheet, reading, judged, rows)
    return sheet


def _store_rows(
    sheet: Sheet, reading: Reading, judged: list[Judged], told: list[dict[str, Any]]
) -> None:
    used: set[str] = set()
    rows = []
    for each, facts in zip(judged, told, strict=True):
        mark = each.fingerprint
        if each.system is not None and mark in used:
            mark = fingerprint({"mark": mark, "row": each.row.number, "tab": each.row.sheet})
        used.add(mark)
        cells = facts.pop("fates")
        rows.append(
            SheetRow(
                sheet=sheet,
                tab=each.row.sheet[:200],
                row=each.row.number,
                outcome=each.row.outcome,
                cells=cells,
                facts=facts,
                fingerprint=mark,
                system=each.system.system if each.system else None,
            )
        )
    # A system that was removed since no longer stands for its facts.
    marks = [row.fingerprint for row in rows if row.system is not None]
    for start in range(0, len(marks), 2_000):
        SheetRow.objects.filter(
            fingerprint__in=marks[start : start + 2_000], system__removed_at__isnull=False
        ).update(system=None)
    SheetRow.objects.bulk_create(rows, batch_size=500)
    _ask(sheet, reading, judged, rows)


def _ask(sheet: Sheet, reading: Reading, judged: list[Judged], rows: list[SheetRow]) -> None:
    """Store what a person must decide, unless the same was asked of the same row before."""
    marks = {row.fingerprint for row in rows if row.facts["questions"] or row.facts["refused"]}
    before = {
        (mark, fact, reason, value)
        for mark, fact, reason, value in Question.objects.filter(
            row__fingerprint__in=sorted(marks)[:30_000]
        ).values_list("row__fingerprint", "fact", "reason", "value")
    }
    questions = []
    for each, row in zip(judged, rows, strict=True):
        for problem, is_refusal in (
            *((p, False) for p in each.row.questions),
            *((p, True) for p in each.row.refused),
        ):
            asked = _question(sheet, row, problem, is_refusal=is_refusal)
            if (row.fingerprint, asked.fact, asked.reason, asked.value) not in before:
                questions.append(asked)
    columns = Question.objects.filter(row__isnull=True).values_list("column", "sentence")
    seen = set(columns)
    for column in reading.columns:
        asked = Question(
            sheet=sheet,
            column=storable(column.column)[:200],
            value=storable(", ".join(column.examples))[:5000],
            reason=column.reason[:40],
            sentence=storable(column.sentence)[:1000],
        )
        if (asked.column, asked.sentence) not in seen:
            questions.append(asked)
    Question.objects.bulk_create(questions, batch_size=500)


def _question(sheet: Sheet, row: SheetRow, problem: Problem, *, is_refusal: bool) -> Question:
    return Question(
        sheet=sheet,
        row=row,
        column=storable(problem.column)[:200],
        fact=problem.fact[:60],
        value=storable(problem.value)[:5000],
        reason=problem.reason[:40],
        sentence=storable(problem.sentence)[:1000],
        is_refusal=is_refusal,
    )


def _empty_old(asker: Asker) -> None:
    """Files that were read dry and never brought in are not kept."""
    old = Sheet.objects.filter(read_at__lt=asker.at - KEPT_FOR, content__isnull=False)
    old.update(content=None)
