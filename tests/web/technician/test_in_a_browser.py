"""The technician's pages in a real browser, with wet gloves: few taps, no keyboard, no faults."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from drainservice.accounts.models import Account
from drainservice.inspections.models import Inspection

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]
RULES = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]


@pytest.fixture
def open_as_andrea(live_server, new_page, visit, settings):
    """A function that opens one of the technician's pages, signed in."""
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore

    andrea = Account.objects.get(handle="andrea")
    session = SessionStore()
    session[SESSION_KEY] = str(andrea.pk)
    session[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
    session[HASH_SESSION_KEY] = andrea.get_session_auth_hash()
    session.create()

    def open_page(path, **options):
        page = new_page(**options)
        cookie = {"name": settings.SESSION_COOKIE_NAME, "value": session.session_key}
        page.context.add_cookies([cookie | {"url": live_server.url}])
        page.goto(live_server.url + path)
        return page

    return open_page


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 1280])
@pytest.mark.parametrize("path", ["/today", "/pits/{code}", "/pits/{code}/inspection"])
def test_is_within_reach_of_everyone(open_as_andrea, home, path, width, scheme):
    page = open_as_andrea(path.format(code=home[3].code), width=width, color_scheme=scheme)

    found = Axe().run(page, options={"runOnly": RULES}).response["violations"]
    sideways = page.evaluate("document.documentElement.scrollWidth - innerWidth")

    assert [one["id"] for one in found] == []
    assert sideways <= 0


def test_records_nothing_wrong_in_at_most_nine_taps_without_a_keyboard(open_as_andrea, home):
    page = open_as_andrea(f"/pits/{home[3].code}/inspection", width=360)
    taps = [
        page.get_by_text("Sound, and it closes"),
        page.get_by_role("button", name="Silt on the floor: more"),
        page.get_by_text("It ran, the level fell, it stopped"),
        page.get_by_text("No rise after it stopped"),
        page.get_by_role("button", name="Close the inspection"),
    ]

    for target in taps:
        target.click()
    page.wait_for_url("**/inspections/**")

    assert len(taps) <= 9
    assert Inspection.objects.get().looks.count() == 4


def test_every_target_of_a_look_is_large_enough_for_a_glove(open_as_andrea, home):
    page = open_as_andrea(f"/pits/{home[3].code}/inspection", width=360)

    heights = page.eval_on_selector_all(
        ".look > label, .look button, .fixed-bar button",
        "all => all.map(one => one.getBoundingClientRect().height).filter(high => high > 0)",
    )

    assert heights
    assert min(heights) >= 56


def test_works_the_sum_out_without_leaving_the_page(open_as_andrea, home):
    page = open_as_andrea(f"/pits/{home[3].code}/inspection", width=360)
    page.fill("[name='pump1.pump_down_from_m']", "2 ft")
    page.fill("[name='pump1.pump_down_to_m']", "1 ft")
    page.fill("[name='pump1.pump_down_s']", "100")
    before = page.url

    page.locator("[value='sum:pump1']").click()
    page.wait_for_selector("#look-pump1 .said")

    # 8.3 ft2 x 1 ft = 62.1 gal in 100 s = 37.3 gpm.
    assert "37.3 gpm" in page.inner_text("#look-pump1 .said")
    assert page.url == before
    assert not Inspection.objects.exists()


def test_steps_in_feet_and_inches_from_what_was_read_last(open_as_andrea, home):
    page = open_as_andrea(f"/pits/{home[3].code}/inspection", width=360)
    field = "[name='pump1.pump_down_from_m']"
    page.fill(field, "1 ft 11 in")

    page.get_by_role("button", name="Water when it started: more").click()

    assert page.input_value(field) == "2 ft 0 in"
