"""What all tests share: a browser, a live server that serves as the real one does, tool folders."""

import os
from pathlib import Path

import pytest
from hypothesis import settings as hypothesis_settings
from hypothesis.configuration import set_hypothesis_home_dir

from tests.cast import (  # noqa: F401
    dispatcher,
    home,
    homeowner,
    monday,
    neighbour,
    technician,
)
from tests.services import POSTGRESQL, SERVICES

ROOT = Path(__file__).resolve().parent.parent

set_hypothesis_home_dir(ROOT / ".cache" / "hypothesis")
# The machine may be busy: how long one example takes says nothing about what it tests.
hypothesis_settings.register_profile("ours", deadline=None, print_blob=True)
hypothesis_settings.load_profile("ours")


@pytest.fixture(scope="session")
def root() -> Path:
    """The checkout."""
    return ROOT


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings_parallel_suffix):
    """Start PostgreSQL just before the first test that needs a database, in such a run."""
    if os.environ.get("DRAIN_TEST_DATABASE") == POSTGRESQL:
        SERVICES.start_postgresql()


@pytest.fixture(scope="session")
def chromium():
    """A real Chromium, started once."""
    from playwright.sync_api import sync_playwright

    from tests.browser import FLAGS, find_chromium

    found = find_chromium()
    with sync_playwright() as driver:
        browser = driver.chromium.launch(
            executable_path=str(found.program), args=FLAGS, env=found.full_environment()
        )
        yield browser
        browser.close()


@pytest.fixture
def new_page(chromium):
    """A function that opens a page; at the end no page may have complained in its console."""
    contexts, complaints = [], []

    def open_page(*, width=1280, height=800, **options):
        context = chromium.new_context(viewport={"width": width, "height": height}, **options)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("console", lambda line: complaints.append(line.text) if is_bad(line) else None)
        page.complaints = complaints
        return page

    def is_bad(line):
        return line.type in {"error", "warning"}

    yield open_page
    for context in contexts:
        context.close()
    assert not complaints


@pytest.fixture(scope="session")
def live_server():
    """pytest-django's server; the application serves its own style sheets, as it really does."""
    from django.contrib.staticfiles import handlers
    from pytest_django.live_server_helper import LiveServer

    class NeverHandles(handlers.StaticFilesHandler):
        def _should_handle(self, path):
            return False

    kept, handlers.StaticFilesHandler = handlers.StaticFilesHandler, NeverHandles
    try:
        server = LiveServer("127.0.0.1")
    finally:
        handlers.StaticFilesHandler = kept
    yield server
    server.stop()


@pytest.fixture(autouse=True, scope="session")
def history_may_be_emptied_between_tests():
    """A test that commits is cleaned by emptying all tables, which the guard of history forbids:
    the guard is lifted for that moment alone."""
    from importlib import import_module

    from django.db.backends.sqlite3.base import DatabaseOperations

    guard = import_module("drainservice.accounts.migrations.0002_guard_history").SQLITE[0]
    plain = DatabaseOperations.sql_flush

    def flush(self, style, tables, **options):
        statements = plain(self, style, tables, **options)
        if "accounts_change" not in tables:
            return statements
        return ["DROP TRIGGER IF EXISTS history_is_not_deleted", *statements, guard]

    DatabaseOperations.sql_flush = flush
    yield
    DatabaseOperations.sql_flush = plain


@pytest.fixture(autouse=True)
def rounds_are_read_anew():
    """What a process keeps of rounds is told apart by their versions; tests begin those anew."""
    from drainservice.visits.queries.shelf import SHELF

    SHELF.clear()
    yield
    SHELF.clear()
