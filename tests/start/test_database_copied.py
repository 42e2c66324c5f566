"""The copy of the database put aside before its tables change."""

import sqlite3
import stat
import subprocess
from contextlib import closing
from types import SimpleNamespace
from urllib.parse import parse_qs, urlsplit

import pytest

from drainservice.web.supervisor import database


@pytest.fixture
def sqlite_file(tmp_path, monkeypatch):
    path = tmp_path / "drainservice.sqlite3"
    with closing(sqlite3.connect(path)) as rows:
        rows.execute("PRAGMA journal_mode=WAL")
        rows.execute("CREATE TABLE pit (depth_m REAL)")
        rows.execute("INSERT INTO pit VALUES (1.5)")
        rows.commit()
    where = SimpleNamespace(vendor="sqlite", settings_dict={"NAME": path})
    monkeypatch.setattr(database, "connection", where)
    return path


def depths(path):
    with closing(sqlite3.connect(path)) as rows:
        return rows.execute("SELECT depth_m FROM pit").fetchall()


def test_copy_holds_what_was_committed_while_a_writer_is_at_work(sqlite_file, tmp_path):
    with closing(sqlite3.connect(sqlite_file)) as writer:
        writer.execute("INSERT INTO pit VALUES (9.9)")  # not committed
        copy = database.copy_aside(tmp_path / "backups" / "before")

    assert depths(copy) == [(1.5,)]


def test_copy_is_for_its_owner_only(sqlite_file, tmp_path):
    copy = database.copy_aside(tmp_path / "backups" / "before")

    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    assert stat.S_IMODE(copy.parent.stat().st_mode) == 0o700


def test_damaged_database_is_told_and_leaves_no_half_copy(sqlite_file, tmp_path):
    sqlite_file.write_bytes(b"not a database at all" * 100)

    with pytest.raises(database.NotCopied, match="nothing was changed"):
        database.copy_aside(tmp_path / "backups" / "before")
    assert list((tmp_path / "backups").iterdir()) == []


@pytest.fixture
def postgresql(postgresql_url, monkeypatch):
    parts = urlsplit(postgresql_url)
    where = {
        "NAME": parts.path.lstrip("/"),
        "USER": parts.username,
        "PASSWORD": "",
        "HOST": parse_qs(parts.query)["host"][0],
        "PORT": "",
    }
    monkeypatch.setattr(
        database, "connection", SimpleNamespace(vendor="postgresql", settings_dict=where)
    )
    return where


def test_postgresql_is_dumped_so_that_it_can_be_restored(postgresql, tmp_path, monkeypatch):
    from tests.postgresql import find_postgresql

    programs = find_postgresql()
    monkeypatch.setattr(database, "find_pg_dump", lambda: str(programs / "pg_dump"))
    copy = database.copy_aside(tmp_path / "backups" / "before")
    listed = subprocess.run(
        [str(programs / "pg_restore"), "--list", str(copy)], capture_output=True, text=True
    )

    assert copy.suffix == ".dump"
    assert "dbname: drain" in listed.stdout


def test_postgresql_without_pg_dump_is_not_said_to_be_copied(postgresql, tmp_path, monkeypatch):
    monkeypatch.setattr(database, "find_pg_dump", lambda: None)

    assert database.copy_aside(tmp_path / "backups" / "before") is None
    assert list((tmp_path / "backups").iterdir()) == []


def test_failing_pg_dump_stops_the_change(postgresql, tmp_path, monkeypatch):
    monkeypatch.setattr(database, "find_pg_dump", lambda: "/bin/false")

    with pytest.raises(database.NotCopied, match="Nothing was changed"):
        database.copy_aside(tmp_path / "backups" / "before")
