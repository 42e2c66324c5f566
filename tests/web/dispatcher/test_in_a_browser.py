"""The office's pages in a real Chromium: by keys alone, at every width, judged by axe."""

from datetime import time
from email import message_from_string

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client

from drainservice.accounts.models import Account, Change, Firm
from drainservice.exchange import actions as exchange
from drainservice.inspections.actions import find_due
from drainservice.register import actions
from drainservice.reminders import actions as reminders
from drainservice.reminders.models import Reminder
from drainservice.visits import actions as visits
from drainservice.visits.models import Visit
from drainservice.visits.queries import Window
from jobs import reactions, running
from tests import mail_fixtures, makers

the_mail_server = mail_fixtures.the_mail_server
mail_server = mail_fixtures.mail_server
pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
RULES = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]


@pytest.fixture
def house(dispatcher, technician):
    """One house whose system is counted; Olga owns the firm."""
    makers.make_account("olga", "owner")
    _, _, site = makers.make_home()
    system = makers.make_system(site)
    find_due(asker=makers.clock(), force=True)
    return system


@pytest.fixture
def open_desk(live_server, new_page, house):
    """A function that opens a page with the dispatcher signed in."""

    def open_at(path, handle="dora", **options):
        client = Client()
        client.force_login(Account.objects.get(handle=handle))
        page = new_page(**options)
        name = client.cookies.keys().__iter__().__next__()
        page.context.add_cookies(
            [{"name": name, "value": client.cookies[name].value, "url": live_server.url}]
        )
        page.goto(live_server.url + path)
        return page

    return open_at


def text_of(octets):
    """All parts of a mail as text, calendar lines unfolded (RFC 5545, 3.1)."""
    parts = message_from_string(octets).walk()
    bodies = [part.get_payload(decode=True) or b"" for part in parts]
    return b"\n".join(bodies).decode().replace("\r\n ", "")


@pytest.fixture
def told(house, dispatcher):
    """A visit whose offer was written and kept in the mailbox."""
    visit = visits.plan_visit(
        house.site, asker=dispatcher, purpose="yearly look", systems={house: ["pump"]},
        meant_for=None,
    )  # fmt: skip
    soon = makers.later(days=1).date()
    visits.offer_visit(
        visit,
        to=Window(soon, time(8), time(10)),
        technician=Account.objects.get(handle="andrea"),
        asker=dispatcher,
    )
    reminders.send_offer(asker=dispatcher, visit_id=visit.pk, sequence=visit.sequence)
    return visit


def of_site(house):
    """A site with one of everything on record, and each form."""
    site, asker = house.site, makers.clock()
    tree = actions.note_surrounding(site, asker=asker, kind="tree", what="maple", distance_m=4.0)
    home = site.parts.first().person.memberships.first().household
    person = site.parts.first().person
    here = f"/sites/{site.pk}"
    forms = [f"{here}/add/{what}" for what in ("permit", "ticket", "agreement", "main")]
    forms += [f"{here}/add/way?of={person.pk}", f"{here}/add/away?of={home.pk}"]
    forms += [f"{here}/surrounding/{tree.pk}", f"{here}/household/{home.pk}"]
    pump, section = house.pumps.get(), house.line.sections.first()
    parts = [f"/systems/{house.code}/pump/{pump.pk}", f"/systems/{house.code}/section/{section.pk}"]
    return [here, *forms, *parts]


def of_firm(house):
    """What only an owner sees."""
    place = house.site.jurisdiction_id
    return ["/settings", f"/settings/jurisdiction/{place}", "/settings/people/dora"]


def of_visit(visit):
    """The visit and the message about it."""
    return [f"/visits/{visit.pk}", f"/reminders/{Reminder.objects.first().pk}"]


def of_sheet():
    """A sheet of which one row is good and one is not."""
    asker = makers.as_account(Account.objects.get(handle="dora"))
    rows = b"address,telephone\n12 Quarry St,503 555 0142\n14 Quarry St,ring me\n"
    return [f"/bring-in/{exchange.bring_in(rows, name='old.csv', asker=asker, dry=True).pk}"]


def of_crew():
    """Who can go, one of them, and what is entered there."""
    return ["/crew", "/crew/andrea", "/crew/andrea/hours", "/crew/add/barrier", "/terms"]


def of_planning():
    """Rounds of a day, their repair, the season."""
    return ["/rounds", "/rounds/2027-05-10", "/rounds/2027-05-10/repair", "/season"]


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (320, "dark")])
def test_no_page_offends_axe_or_scrolls_sideways(open_desk, house, told, width, scheme):
    page = open_desk("/", handle="olga", width=width, color_scheme=scheme)
    here = page.url.rstrip("/")
    pit = f"/systems/{house.code}/pit/{house.pit.pk}"
    due = house.dues.filter(kind="pump").get().pk
    pages = ["/", "/due", f"/due/{due}", "/systems", f"/systems/{house.code}", pit]
    pages += [f"/visits/new?system={house.code}", "/answers", "/calls", "/down", "/reminders"]
    pages += ["/mailbox", "/sites/new", "/bring-in"]
    pages += [*of_site(house), *of_firm(house), *of_visit(told), *of_sheet()]
    pages += [*of_crew(), *of_planning()]
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


def test_a_caller_has_an_agreed_time_within_twelve_keys_and_its_invitation(
    open_desk, mail_server, settings
):
    settings.MAIL_URL = mail_server.url
    # From eight to eight is every hour: it is not night in this test.
    Firm.objects.update(quiet_from="08:00", quiet_until="08:00")
    page = open_desk("/")
    # The search field is the first stop after the skip link, and Alt with a slash goes there too:
    # a browser takes access keys from a real keyboard only.
    keys = ["Tab", "Tab", "0", "1", "3", "7", "Enter"]  # the last digits of the caller's telephone
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
    visit = Visit.objects.get()
    assert visit.state == "agreed"
    running.run_all(reactions.REACTIONS, reactions.MESSAGES)
    (mail,) = mail_server.taken()
    assert mail["to"] == ["juno@example.com"]
    assert "METHOD:REQUEST" in text_of(mail["octets"])
    assert f"UID:{visit.calendar_uid}" in text_of(mail["octets"])


def test_the_second_time_is_one_arrow_away_and_more_are_a_link_away(open_desk, house):
    page = open_desk(f"/visits/new?system={house.code}")
    page.wait_for_function("document.activeElement.name === 'time'")
    words = [one.get_attribute("value") for one in page.locator("input[name=time]").all()]
    page.keyboard.press("ArrowDown")
    assert page.locator("input[name=time]:checked").get_attribute("value") == words[1]
    page.get_by_text("More times").click()
    page.wait_for_url("**more=1")
    assert page.locator("input[name=time]").count() == 10


def test_no_key_alone_does_anything(open_desk):
    # WCAG 2.1, 2.1.4: whoever speaks to the machine must not set off commands by letters.
    page = open_desk("/due")
    for key in ["/", "f", "n", "?"]:
        page.keyboard.press(key)
    assert page.url.endswith("/due")
    assert page.evaluate("document.activeElement.tagName") == "BODY"


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
