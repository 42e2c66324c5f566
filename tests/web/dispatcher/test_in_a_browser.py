"""The office's pages in a real Chromium: by keys alone, at every width, judged by axe."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client

from drainservice.accounts.models import Account, Change
from drainservice.inspections.actions import find_due
from drainservice.visits.models import Visit
from tests import makers

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
RULES = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]


@pytest.fixture
def house(dispatcher, technician):
    """One house whose system is counted."""
    _, _, site = makers.make_home()
    system = makers.make_system(site)
    find_due(asker=makers.clock(), force=True)
    return system


@pytest.fixture
def open_desk(live_server, new_page, house):
    """A function that opens a page with the dispatcher signed in."""

    def open_at(path, **options):
        client = Client()
        client.force_login(Account.objects.get(handle="dora"))
        page = new_page(**options)
        name = client.cookies.keys().__iter__().__next__()
        page.context.add_cookies(
            [{"name": name, "value": client.cookies[name].value, "url": live_server.url}]
        )
        page.goto(live_server.url + path)
        return page

    return open_at


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (320, "dark")])
def test_no_page_offends_axe_or_scrolls_sideways(open_desk, house, width, scheme):
    page = open_desk("/", width=width, color_scheme=scheme)
    here = page.url.rstrip("/")
    pit = f"/systems/{house.code}/pit/{house.pit.pk}"
    due = house.dues.filter(kind="pump").get().pk
    pages = ["/", "/due", f"/due/{due}", "/systems", f"/systems/{house.code}", pit]
    pages += [f"/visits/new?system={house.code}", "/answers", "/calls", "/down", "/reminders"]
    pages += ["/mailbox", f"/sites/{house.site_id}", "/sites/new", "/bring-in"]
    for path in pages:
        page.goto(here + path)
        found = Axe().run(page, options={"runOnly": RULES}).response["violations"]
        assert [(path, v["id"], v["nodes"][0]["html"]) for v in found] == []
        wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert (path, wide) == (path, 0)


def test_axe_finds_a_planted_fault(open_desk):
    # The judge itself is tried: a field without a name must be found.
    page = open_desk("/")
    page.evaluate("document.querySelector('main').append(document.createElement('input'))")
    found = Axe().run(page, options={"runOnly": RULES}).response["violations"]
    assert "label" in {violation["id"] for violation in found}


def test_a_caller_has_an_agreed_time_within_twelve_keys(open_desk):
    page = open_desk("/")
    keys = ["/", "0", "1", "3", "7", "Enter"]  # the last digits of the caller's telephone
    for key in keys:
        page.keyboard.press(key)
    page.wait_for_url("**/systems/*?found=1")
    page.wait_for_function("document.activeElement.innerText === 'Offer a time'")
    page.keyboard.press("Enter")
    page.wait_for_url("**/visits/new?*")
    page.wait_for_function("document.activeElement.name === 'time'")
    for key in ["Tab", "Tab", "Tab", "Enter"]:  # hold, who, "They say yes"
        page.keyboard.press(key)
    page.wait_for_url("**/visits/*?done=agreed")
    assert len(keys) + 1 + 4 <= 12
    assert Visit.objects.get().state == "agreed"


def test_a_slash_typed_into_a_field_stays_there(open_desk, house):
    page = open_desk(f"/systems/{house.code}/pit/{house.pit.pk}")
    page.locator("[name=soil]").fill("")
    page.locator("[name=soil]").press("/")
    assert page.locator("[name=soil]").input_value() == "/"


def test_every_stop_of_the_tab_key_shows_where_it_is(open_desk):
    page = open_desk("/due")
    for _ in range(12):
        page.keyboard.press("Tab")
        style = page.evaluate(
            "(() => { const s = getComputedStyle(document.activeElement);"
            " return s.outlineStyle + s.outlineWidth; })()"
        )
        assert style == "solid3px"


def test_looking_at_every_page_wrote_nothing(open_desk, house):
    before = Change.objects.count()
    open_desk(f"/systems/{house.code}")
    assert Change.objects.count() == before
