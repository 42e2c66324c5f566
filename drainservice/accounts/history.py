"""The one writer: sets, saves where the row version is still the one read, and records."""

import uuid
from collections.abc import Iterable
from datetime import date, datetime, time
from typing import Any, TypeVar

from django.db import models, transaction
from django.db.models import F

from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Change, Kept

Row = TypeVar("Row", bound=Kept)
UNTOLD = {"version", "removed_at", "last_login"}


class ChangedMeanwhile(CannotBeDone):
    """Somebody else saved this row between reading and writing."""

    def __init__(self) -> None:
        super().__init__(
            "Someone changed this while you were looking at it. Nothing of yours was saved over "
            "theirs; look at the new values and enter yours again."
        )


@transaction.atomic
def enter(row: Row, *, asker: Asker, action: str = "entered") -> Row:
    """Save a new row and record it."""
    row.save(force_insert=True)
    after, private = _told(row, [f for f in row._meta.concrete_fields if f.name not in UNTOLD])
    _record(row, asker, action, {}, after, {}, private)
    return row


@transaction.atomic
def enter_rows(rows: list[Row], *, asker: Asker) -> list[Row]:
    """Save many new rows of one table, each recorded, in two statements."""
    if not rows:
        return rows
    type(rows[0])._default_manager.bulk_create(rows, batch_size=500)
    changes = []
    for row in rows:
        fields = [f for f in row._meta.concrete_fields if f.name not in UNTOLD]
        after, private = _told(row, fields)
        changes.append(_change(row, asker, "entered", {}, after, {}, private))
    Change.objects.bulk_create(changes, batch_size=500)
    return rows


@transaction.atomic
def keep(row: Row, *, asker: Asker, action: str = "changed", **new: Any) -> Row:
    """Set the new values where the row is still as it was read, and record what changed.

    Errors: ChangedMeanwhile, and nothing is written.
    """
    fields = [row._meta.get_field(name) for name in new]
    stored = type(row)._default_manager.filter(pk=row.pk, version=row.version)
    was = _told(row, fields)
    for name, value in new.items():
        setattr(row, name, value)
    now = _told(row, fields)
    if was == now:
        return row
    if not stored.update(
        version=F("version") + 1, **{f.name: getattr(row, f.name) for f in fields}
    ):
        raise ChangedMeanwhile
    row.version += 1
    before = {k: v for k, v in was[0].items() if now[0][k] != v}
    after = {k: now[0][k] for k in before}
    _record(row, asker, action, before, after, was[1], now[1])
    return row


def remove(row: Row, *, asker: Asker) -> Row:
    """Take a row out of sight; it stays readable in history and can be put back."""
    return keep(row, asker=asker, action="removed", removed_at=asker.at)


def put_back(row: Row, *, asker: Asker) -> Row:
    """Bring a removed row back."""
    return keep(row, asker=asker, action="put_back", removed_at=None)


def keep_many(rows: Iterable[Row], *, asker: Asker, **new: Any) -> list[Row]:
    """The same new values for several rows, each recorded."""
    return [keep(row, asker=asker, **new) for row in rows]


def _record(
    row: Kept,
    asker: Asker,
    action: str,
    before: dict[str, Any],
    after: dict[str, Any],
    private_before: dict[str, Any],
    private_after: dict[str, Any],
) -> None:
    _change(row, asker, action, before, after, private_before, private_after).save(
        force_insert=True
    )


def _change(
    row: Kept,
    asker: Asker,
    action: str,
    before: dict[str, Any],
    after: dict[str, Any],
    private_before: dict[str, Any],
    private_after: dict[str, Any],
) -> Change:
    private = {"before": private_before, "after": private_after}
    return Change(
        at=asker.at,
        asker=asker.named(),
        door=asker.door,
        request_id=asker.request_id,
        action=action,
        group=asker.group,
        subject=row._meta.label_lower,
        subject_id=str(row.pk),
        site=row.site_number(),
        before=before,
        after=after,
        private=private if private_before or private_after else None,
    )


def _told(row: Kept, fields: Iterable[Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """Values as JSON, told apart into open and private."""
    told: dict[str, Any] = {}
    private: dict[str, Any] = {}
    for field in fields:
        value = _plain(getattr(row, field.attname))
        (private if field.name in row.PRIVATE else told)[field.attname] = value
    return told, private


def _plain(value: Any) -> Any:
    if isinstance(value, datetime | date | time | uuid.UUID):
        return value.isoformat() if not isinstance(value, uuid.UUID) else str(value)
    if isinstance(value, models.Model):
        return value.pk
    return value
