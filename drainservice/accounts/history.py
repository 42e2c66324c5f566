"""The one writer: sets, saves where the row version is still the one read, and records."""

import math
import uuid
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date, datetime, time, timedelta
from typing import Any, TypeVar

from django.apps import apps
from django.db import DataError, IntegrityError, models, transaction
from django.db.models import F

from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Change, Kept

Row = TypeVar("Row", bound=Kept)
UNTOLD = {"version", "removed_at", "last_login"}
# That it was set is told; what it was set to never.
HIDDEN = {"password"}
UNDO_WITHIN = timedelta(hours=24)


class ChangedMeanwhile(CannotBeDone):
    """Somebody else saved this row between reading and writing."""

    def __init__(self) -> None:
        super().__init__(
            "Someone changed this while you were looking at it. Nothing of yours was saved over "
            "theirs; look at the new values and enter yours again."
        )


class RuleBroken(CannotBeDone):
    """A constraint of the database refused the values; `rule` is its name, a sentence."""

    def __init__(self, error: IntegrityError) -> None:
        diag = getattr(error.__cause__, "diag", None)
        named = getattr(diag, "constraint_name", None) or str(error).rpartition(": ")[2]
        self.rule = str(named)
        words = self.rule.rpartition(".")[2].replace("_", " ")
        super().__init__(
            f"That cannot be saved, since a rule of the record would be broken: {words}. "
            "Nothing was changed; mend the value and save again."
        )


class DoesNotFit(CannotBeDone):
    """A value is longer or larger than its place, or is no number at all."""

    def __init__(self, what: str = "A value") -> None:
        super().__init__(
            f"{what} is too long, too large or no number, so it cannot be kept. Nothing was "
            "changed; mend it and save again."
        )


@contextmanager
def _rules_in_words() -> Iterator[None]:
    """Turn a refused row into a sentence, leaving the transaction usable."""
    try:
        with transaction.atomic():
            yield
    except IntegrityError as error:
        raise RuleBroken(error) from error
    except (DataError, OverflowError) as error:
        # PostgreSQL refuses what is too long for its column before it looks at our rules.
        raise DoesNotFit from error


@transaction.atomic
def enter(row: Row, *, asker: Asker, action: str = "entered") -> Row:
    """Save a new row and record it. Errors: RuleBroken, DoesNotFit, and nothing is written."""
    _numbers_are_finite(row, row._meta.concrete_fields)
    with _rules_in_words():
        row.save(force_insert=True)
    after, private = _told(row, [f for f in row._meta.concrete_fields if f.name not in UNTOLD])
    _record(row, asker, action, {}, after, {}, private)
    return row


@transaction.atomic
def enter_rows(rows: list[Row], *, asker: Asker) -> list[Row]:
    """Save many new rows of one table, each recorded, in two statements."""
    for row in rows:
        _numbers_are_finite(row, row._meta.concrete_fields)
    if not rows:
        return rows
    with _rules_in_words():
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

    Errors: ChangedMeanwhile, RuleBroken, DoesNotFit; nothing is written then, and the row in
    memory is as it was.
    """
    fields: list[Any] = [row._meta.get_field(name) for name in new]
    was, held = _told(row, fields), {f.attname: getattr(row, f.attname) for f in fields}
    for name, value in new.items():
        setattr(row, name, value)
    try:
        now = _told(row, fields)
        if was == now and not HIDDEN & set(new):
            return row
        _write_over(row, fields)
    except Exception:
        for name, value in held.items():
            setattr(row, name, value)
        raise
    row.version += 1
    before, after = _differing(was[0], now[0])
    _record(row, asker, action, before, after, *_differing(was[1], now[1]))
    return row


def _write_over(row: Kept, fields: list[Any]) -> None:
    """Write the values where the row is still of the version that was read."""
    _numbers_are_finite(row, fields)
    stored = type(row)._default_manager.filter(pk=row.pk, version=row.version)
    values = {f.name: getattr(row, f.name) for f in fields}
    with _rules_in_words():
        written = stored.update(version=F("version") + 1, **values)
    if not written:
        raise ChangedMeanwhile


def _differing(was: dict[str, Any], now: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """What differs, before and after; a value never shown is told whenever it was set."""
    names = [name for name in was if was[name] != now[name] or name in HIDDEN]
    return {name: was[name] for name in names}, {name: now[name] for name in names}


@transaction.atomic
def add_to(row: Row, name: str, members: Iterable[models.Model], *, asker: Asker) -> Row:
    """Add rows to one of a row's sets, such as the sites over a main, and record whom."""
    among = getattr(row, name)
    before = sorted(str(pk) for pk in among.values_list("pk", flat=True))
    among.add(*members)
    after = sorted(str(pk) for pk in among.values_list("pk", flat=True))
    if after != before:
        _record(row, asker, "added", {name: before}, {name: after}, {}, {})
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
        hidden = field.name in HIDDEN
        value = "(set)" if hidden else _plain(field.to_python(getattr(row, field.attname)))
        (private if field.name in row.PRIVATE else told)[field.attname] = value
    return told, private


def _numbers_are_finite(row: Kept, fields: Iterable[Any]) -> None:
    """SQLite would store NaN as empty, and neither database takes it within JSON."""
    for field in fields:
        if not _is_finite(getattr(row, field.attname)):
            raise DoesNotFit(f"The value of {field.verbose_name}")


def _is_finite(value: Any) -> bool:
    if isinstance(value, float):
        return math.isfinite(value)
    if isinstance(value, dict):
        return all(map(_is_finite, value.values()))
    return not isinstance(value, list | tuple) or all(map(_is_finite, value))


def _plain(value: Any) -> Any:
    if isinstance(value, datetime | date | time | uuid.UUID):
        return value.isoformat() if not isinstance(value, uuid.UUID) else str(value)
    if isinstance(value, models.Model):
        return value.pk
    return value


class CannotBeUndone(CannotBeDone):
    """Someone changed what the act had written, or the act is too long ago."""


@transaction.atomic
def undo(group: str, *, asker: Asker) -> int:
    """Put back what one act changed, where the present still is what the act wrote.

    Answers how many rows were put back. Errors: CannotBeUndone, and nothing is changed.
    """
    changes = list(Change.objects.filter(group=group).exclude(group="").order_by("-pk"))
    if not changes:
        raise CannotBeUndone("There is nothing to undo any more.")
    if asker.at - changes[0].at > UNDO_WITHIN:
        raise CannotBeUndone("That was more than a day ago; change it by hand instead.")
    for change in changes:
        _undo_one(change, asker)
    return len(changes)


def _take_from_set(row: Any, change: Change, asker: Asker) -> None:
    """Put one of a row's sets back, where nobody has changed it since."""
    ((name, before),) = change.before.items()
    among = getattr(row, name)
    now = sorted(str(pk) for pk in among.values_list("pk", flat=True))
    if now != change.after[name]:
        raise CannotBeUndone("Someone has changed this since; look at it and mend it by hand.")
    among.set(before)
    _record(row, asker, "undone", {name: now}, {name: before}, {}, {})


def _undo_one(change: Change, asker: Asker) -> None:
    model = apps.get_model(change.subject)
    row = model._default_manager.select_for_update().filter(pk=change.subject_id).first()
    if row is None:
        raise CannotBeUndone("What was changed is gone, so it cannot be put back.")
    if change.action == "added":
        _take_from_set(row, change, asker)
        return
    before, after = dict(change.before), dict(change.after)
    if change.private:
        before |= change.private["before"]
        after |= change.private["after"]
    fields = {f.attname: f for f in model._meta.concrete_fields}
    if change.action == "entered":
        after = {name: value for name, value in after.items() if name not in HIDDEN}
        after["removed_at"] = None
    elif HIDDEN & set(after):
        raise CannotBeUndone("What was set before is kept nowhere; set it anew.")
    if any(_plain(getattr(row, name)) != value for name, value in after.items()):
        raise CannotBeUndone(
            f"Someone has changed this since ({asker_of_last(change)}); look at it and mend it "
            "by hand."
        )
    if change.action == "entered":
        keep(row, asker=asker, action="undone", removed_at=asker.at)
        return
    old = {fields[name].name: _from_plain(fields[name], value) for name, value in before.items()}
    keep(row, asker=asker, action="undone", **old)


def asker_of_last(change: Change) -> str:
    """Who changed the same row last."""
    later = Change.objects.filter(subject=change.subject, subject_id=change.subject_id)
    last = later.order_by("-pk").first()
    return last.asker if last else "someone"


def _from_plain(field: Any, value: Any) -> Any:
    if value is None:
        return None
    if field.is_relation:
        return field.related_model._default_manager.get(pk=value)
    return field.to_python(value)
