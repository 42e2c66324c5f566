"""Every row of every table as a hash, so that two moments can be compared."""

import hashlib

from django.apps import apps
from django.db import connection

# That a page was looked at may be written; it decides nothing.
MAY_BE_WRITTEN_BY_LOOKING = {"accounts_seen"}


def rows_by_table() -> dict[str, str]:
    """A hash of each table's rows, in the order of their keys."""
    return {table: _hash(table) for table in tables() - MAY_BE_WRITTEN_BY_LOOKING}


def tables() -> set[str]:
    """All tables there are, ours and the framework's, by the database's own word."""
    return set(connection.introspection.table_names()) - {"django_migrations"}


def model_tables() -> set[str]:
    """The tables of all models, those that tie two models included."""
    return {model._meta.db_table for model in apps.get_models(include_auto_created=True)}


def changed(before: dict[str, str], after: dict[str, str]) -> set[str]:
    """The tables whose rows are not what they were."""
    return {name for name in before.keys() | after.keys() if before.get(name) != after.get(name)}


def _hash(table: str) -> str:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")
        lines = sorted(repr([_plain(value) for value in row]) for row in cursor.fetchall())
    return hashlib.sha256("\n".join(lines).encode("utf-8", "surrogatepass")).hexdigest()


def _plain(value: object) -> object:
    return bytes(value) if isinstance(value, memoryview) else value
