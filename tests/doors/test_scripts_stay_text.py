"""A script that somebody wrote where words belong stays words on every page."""

import re
from html.parser import HTMLParser

import pytest

from tests.doors.asking import address
from tests.doors.examples import PATHS, asker_of, routes
from tests.doors.world import make_world

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
CANARY = "\"><img src=x onerror=alert(1)><script>alert(2)</script>{{ 7|add:7 }}'"
# Data that pages show; a page that shows none of it is of no use to the test.
SHOW_IT = {"system", "site", "visit", "answers", "down", "today", "pit", "inspection-done",
           "yard", "answer", "technician-round", "site-access"}  # fmt: skip
FIELDS = ("address", "zone", "place", "name", "mail", "purpose", "telephone", "note", "once")
HANDLER = re.compile(r"^on[a-z]+$")
# Words of a browser's own that would run something.
RUNS = re.compile(r"^\s*(?:javascript|data|vbscript):", re.I)


@pytest.fixture
def canaries(db, monday_by_itself):
    return make_world(words=CANARY)


@pytest.fixture
def monday_by_itself(settings, tmp_path):
    import time_machine

    from tests import makers
    from tests.doors.conftest import PLAIN

    settings.PHOTOS, settings.STORAGES = tmp_path / "photos", PLAIN
    with time_machine.travel(makers.MONDAY, tick=False):
        yield


class Page(HTMLParser):
    """What a browser would run of a page."""

    def __init__(self):
        super().__init__()
        self.runs = []
        self.words = ""

    def handle_starttag(self, tag, attrs):
        for name, value in attrs:
            if HANDLER.match(name) or RUNS.match(value or "") or name == "style":
                self.runs.append((tag, name, value))
        told = dict(attrs)
        if tag == "script" and not (told.get("src") or "").startswith("/static/"):
            self.runs.append((tag, told))
        if tag == "img" and told.get("src") == "x":
            self.runs.append((tag, told))

    def handle_data(self, data):
        self.words += data


def test_a_script_in_any_word_of_the_record_runs_on_no_page(canaries):
    shown = set()
    for name in PATHS:
        if "GET" not in routes()[name]["methods"].split():
            continue
        asker = asker_of(name)
        url = address(name, canaries.ours, canaries.link_of(asker))
        answer = canaries.clients[asker].get(url)
        if not answer.headers.get("Content-Type", "").startswith("text/html"):
            continue
        page = Page()
        page.feed(answer.content.decode())
        found = [one for one in page.runs if name != "as-mail" or one[1] != "style"]
        assert found == [], name
        assert "7|add:7" not in page.words or "{{ 7|add:7 }}" in page.words, name
        if "<script>alert(2)</script>" in page.words:
            shown.add(name)

    assert shown >= SHOW_IT & set(PATHS)


def test_the_canary_would_be_seen_where_it_ran():
    page = Page()
    page.feed(f'<p title="{CANARY}">')

    assert len(page.runs) == 3


def test_a_script_typed_into_a_form_comes_back_as_words(canaries):
    client = canaries.clients["dispatcher"]

    for name in ("site-new", "system-new", "person-new", "part-add", "visit-new"):
        url = address(name, canaries.ours, "")
        fields = dict.fromkeys(FIELDS, CANARY)
        page = Page()
        page.feed(client.post(url, fields).content.decode())
        assert page.runs == [], name


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_no_page_opens_a_dialog_or_breaks_its_own_policy(
    live_server, new_page, settings, monday_by_itself
):
    """In a real browser: a dialog ends the test, and so does a complaint in the console."""
    world = make_world(words=CANARY)
    page, dialogs = new_page(), []
    page.on("dialog", lambda dialog: (dialogs.append(dialog.message), dialog.dismiss()))
    for name in sorted(SHOW_IT | {"due", "morning", "reminders", "mailbox", "calls", "bring-in"}):
        asker = asker_of(name)
        held = world.clients[asker].cookies.get(settings.SESSION_COOKIE_NAME)
        page.context.clear_cookies()
        if held:
            page.context.add_cookies(
                [{"name": held.key, "value": held.value, "url": live_server.url}]
            )
        shown = page.goto(live_server.url + address(name, world.ours, world.link_of(asker)))
        assert shown.status == 200, name

    assert dialogs == []
    assert page.complaints == []
