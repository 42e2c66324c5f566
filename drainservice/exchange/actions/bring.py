"""Bringing a sheet in: read outside, judged and written inside one transaction."""

import hashlib
from dataclasses import replace
from datetime import date

from django.db import transaction

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Firm
from drainservice.exchange.actions.keep import keep_sheet, sheet_of
from drainservice.exchange.actions.settings import setting_for
from drainservice.exchange.actions.write import write_plan
from drainservice.exchange.judged import OUTCOMES, Judged, fingerprint_of, judge_reading
from drainservice.exchange.models import Sheet
from drainservice.exchange.on_record import load_record
from drainservice.exchange.plan import Plan
from drainservice.exchange.queries.home import MEND_HEADING
from drainservice.exchange.queries.known_sites import known_sites
from drainservice.exchange.reading import Context, read_sheet
from drainservice.exchange.report import Reading, Row

# What a page can wait for: about 10 ms a row on a busy machine with two cores.
MOST_AT_ONCE = 3_000


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
    today = wall.today_in(setting_zone(), asker.at)
    reading = _read(content, name, today)
    if dry:
        # Nobody waits for the database while a long list is only looked at.
        judged, _ = _judge(reading, today, asker=asker, dry=True)
        with transaction.atomic():
            return keep_sheet(sheet_of(content, name, asker, dry=True), reading, judged)
    return _write(content, name, reading, today, asker)


def _write(content: bytes, name: str, reading: Reading, today: date, asker: Asker) -> Sheet:
    digest = hashlib.sha256(content).hexdigest()
    waited = set(Sheet.objects.filter(file_hash=digest, is_dry=True).values_list("pk", flat=True))
    with transaction.atomic():
        # One sheet at a time: what the first has written, the second must see.
        list(Firm.objects.select_for_update().filter(pk=1))
        done = Sheet.objects.filter(pk__in=waited, is_dry=False).first()
        if done is not None:
            # The same press of a button, twice at once.
            return done
        sheet = sheet_of(content, name, asker, dry=False)
        judged, plan = _judge(reading, today, asker=asker, dry=False)
        mark = f"sheet{sheet.pk}"
        write_plan(plan, asker=asker.acting(group=mark), because=mark)
        return keep_sheet(sheet, reading, judged)


def bring_in_read(sheet: Sheet, *, asker: Asker) -> Sheet:
    """Bring in what was read dry.  Again, it changes nothing.  Errors: CannotBeDone."""
    standing = Sheet.objects.get(pk=sheet.pk)
    if not standing.is_dry:
        return standing
    rows = sum(standing.report["counts"][outcome] for outcome in OUTCOMES)
    if rows > MOST_AT_ONCE:
        raise CannotBeDone(
            f"This sheet has more than {MOST_AT_ONCE:,} rows. Cut it into smaller files, or bring "
            "it in on the server with: python manage.py bring_in FILE"
        )
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


def _judge(reading: Reading, today: date, *, asker: Asker, dry: bool) -> tuple[list[Judged], Plan]:
    marks = [fingerprint_of(row) for row in reading.rows]
    record = load_record(reading.rows, marks, today=today)
    return judge_reading(reading, record, setting_for(today, asker=asker, dry=dry))
