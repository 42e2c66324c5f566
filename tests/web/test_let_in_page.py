"""Being let in works in a browser, whose form posts without an origin from such a page."""

import pytest

from drainservice.accounts import actions
from tests import makers

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_the_button_lets_a_person_in(live_server, new_page, settings):
    from django.utils import timezone

    settings.PUBLIC_URL = live_server.url
    account = makers.make_account("dora", "dispatcher")
    address = actions.let_in_link(account, at=timezone.now())
    page = new_page(width=360)

    page.goto(address)
    page.get_by_role("button", name="Come in").click()

    assert page.url == f"{live_server.url}/"
    assert page.get_by_role("button", name="Sign out").is_visible()
