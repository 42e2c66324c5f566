"""The household's pages in a real browser: within reach of everyone, without any script."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from drainservice.visits.models import State, Visit

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]
RULES = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]
PATHS = ["", "storm", "visits/{visit}/another_day", "visits/{visit}/answered", "bucket-test/{code}"]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 1280])
@pytest.mark.parametrize("path", PATHS)
def test_is_within_reach_of_everyone(live_server, new_page, yard, home, offer, path, width, scheme):
    page = new_page(width=width, color_scheme=scheme)
    page.goto(live_server.url + yard + path.format(visit=offer.pk, code=home[3].code))

    found = Axe().run(page, options={"runOnly": RULES}).response["violations"]
    sideways = page.evaluate("document.documentElement.scrollWidth - innerWidth")

    assert [one["id"] for one in found] == []
    assert sideways <= 0


def test_says_yes_in_one_tap_from_a_page_that_tells_nobody_where_it_was(
    live_server, new_page, yard, offer
):
    # A page without a referrer posts with "Origin: null" in Chromium; the answer must still count.
    page = new_page(width=360, java_script_enabled=False)
    page.goto(live_server.url + yard)

    page.get_by_role("button", name="Yes, come").click()

    assert "Thank you: we come" in page.inner_text("h1")
    assert Visit.objects.get(pk=offer.pk).state == State.AGREED
    assert page.context.cookies() == []
