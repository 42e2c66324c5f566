"""Bringing a sheet in: read outside, judged and written inside one transaction."""

import hashlib
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from django.db import transaction

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Firm
from drainservice.accounts.text import clean_line
from drainservice.exchange.actions.settings import setting_for
from drainservice.exchange.actions.write import write_plan
from drainservice.exchange.judged import Judged, fingerprint_of, judge_reading
from drainservice.exchange.keys import fingerprint
from drainservice.exchange.models import Question, Sheet, SheetRow
from drainservice.exchange.on_record import load_record
from drainservice.exchange.queries.known_sites import known_sites
from drainservice.exchange.reading import Context, read_sheet
from drainservice.exchange.report import Problem, Reading, Row
from drainservice.exchange.storable import storable

KEPT_FOR = timedelta(days=7)
# The column we add when refused rows are taken home.
MEND_HEADING = "what to mend"


class MayNotBringIn(CannotBeDone):
    """Only the office brings sheets in."""

    def __init__(self) -> None:
        super().__init__("Only the office brings sheets in; ask a dispatcher to do it.")


def bring_in(content: bytes, *, name: str, asker: Asker, dry: bool) -> Sheet:
    """Read a file and, unless dry, write its good rows in one transaction, refused rows aside.

    The same facts again, in this or another file, add nothing.  Errors: SheetRefused where the
    whole file cannot be read, MayNotBringIn.
    """
    if not accounts.may(asker, "bring_in"):
        raise MayNotBringIn
    zone = setting_zone()
    today = wall.today_in(zone, asker.at)
    reading = _read(content, name, today)
    digest = hashlib.sha256(content).hexdigest()
    with transaction.atomic():
        # One sheet at a time: what the first has written, the second must see.
        list(Firm.objects.select_for_update().filter(pk=1))
        _empty_old(asker)
        sheet = Sheet.objects.filter(file_hash=digest, is_dry=True).order_by("pk").last()
        sheet = sheet or Sheet(file_hash=digest)
        sheet.name = clean_line(storable(name), most=200, what="The file's name") or "sheet"
        sheet.read_at = asker.at
        sheet.by_id = asker.account_id
        sheet.is_dry = dry
        sheet.content = content if dry else None
        _judge_and_write(sheet, reading, asker, today)
    return sheet


def bring_in_read(sheet: Sheet, *, asker: Asker) -> Sheet:
    """Bring in what was read dry.  Again, it changes nothing.  Errors: CannotBeDone."""
    standing = Sheet.objects.get(pk=sheet.pk)
    if not standing.is_dry:
        return standing
    if standing.content is None:
        raise CannotBeDone(
            "This sheet was read more than a week ago and its file was let go. "
            "Choose the file again."
        )
    return bring_in(bytes(standing.content), name=standing.name, asker=asker, dry=False)


def setting_zone() -> str:
    """The firm's zone; before the firm is set up, the zone a new firm gets."""
    firm = accounts.firm()
    return firm.zone if firm else "America/Los_Angeles"


def _read(content: bytes, name: str, today: date) -> Reading:
    """The file by itself; where a row names a site that is not in it, beside the register."""
    reading = read_sheet(content, name=name, today=today)
    lost = {(row.sheet, row.number) for row in reading.rows if _is_lost(row)}
    if lost:
        context = Context(known_sites())
        again = read_sheet(content, name=name, today=today, context=context)
        found = {(row.sheet, row.number): row for row in again.rows}
        rows = [
            found[row.sheet, row.number] if (row.sheet, row.number) in lost else row
            for row in reading.rows
        ]
        reading = replace(reading, rows=tuple(rows))
    columns = [each for each in reading.columns if each.column.lower() != MEND_HEADING]
    return replace(reading, columns=tuple(columns))


def _is_lost(row: Row) -> bool:
    reasons = {problem.reason for problem in (*row.refused, *row.questions)}
    return bool(reasons & {"unknown_system", "no_address"})


def _judge_and_write(sheet: Sheet, reading: Reading, asker: Asker, today: date) -> None:
    marks = [fingerprint_of(row) for row in reading.rows]
    record = load_record(reading.rows, marks, today=today)
    setting = setting_for(today, asker=asker, dry=sheet.is_dry)
    judged, plan = judge_reading(reading, record, setting)
    sheet.save()
    acting = asker.acting(group=f"sheet{sheet.pk}")
    if not sheet.is_dry:
        write_plan(plan, asker=acting, because=f"sheet{sheet.pk}")
        for each in judged:
            if each.system is not None:
                each.made["system"] = each.system.system.code
    _store(sheet, reading, judged)


def _store(sheet: Sheet, reading: Reading, judged: list[Judged]) -> None:
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
