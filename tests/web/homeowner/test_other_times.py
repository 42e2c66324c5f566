"""Another day by the household itself: six free times, one press, agreed at once if still free."""

import re
from datetime import date, time, timedelta

import pytest
import time_machine

from drainservice.accounts.models import Account, Change, Household
from drainservice.visits import actions
from drainservice.visits.models import Answer, State, Visit
from drainservice.visits.queries import Window
from jobs.models import Job
from tests import makers

pytestmark = pytest.mark.django_db


def times_on(answer):
    """The words of the buttons."""
    return re.findall(r'name="time" value="([^"]+)"', answer.content.decode())


def ask(browser, yard, visit, query=""):
    return browser.get(f"{yard}visits/{visit.pk}/another_day{query}")


def take(browser, yard, visit, word):
    address = f"{yard}visits/{visit.pk}/another_day"
    return browser.post(address, {"sequence": visit.sequence, "time": word})


def test_six_free_times_are_buttons_with_windows_and_nothing_of_our_rounds(browser, yard, offer):
    before = Change.objects.count()

    answer = ask(browser, yard, offer)

    words, page = times_on(answer), answer.content.decode()
    assert len(words) == 6
    assert words == sorted(words)
    # It is Monday, 10 May: from tomorrow on, and not the time they are asked about already.
    assert min(words) >= "2027-05-11"
    assert "2027-05-12_0800_1000" not in words
    assert "Take one of these, and it is agreed at once:" in page
    assert "Andrea" not in page
    assert "driving" not in page
    assert Change.objects.count() == before


def test_one_press_agrees_an_offer_at_the_time_they_took(browser, yard, offer):
    word = times_on(ask(browser, yard, offer))[-1]

    answer = take(browser, yard, offer, word)

    visit = Visit.objects.get(pk=offer.pk)
    day, from_, _ = word.split("_")
    assert (visit.state, visit.day) == (State.AGREED, date.fromisoformat(day))
    assert visit.window_from == time(int(from_[:2]))
    # A later number, so that calendars follow; their yes stands at it.
    assert visit.sequence == offer.sequence + 1
    said = Answer.objects.get()
    assert (said.word, said.by, said.sequence) == ("yes", "link", visit.sequence)
    assert visit.needs_person_since is None
    key = f"{visit.pk}:{visit.sequence}"
    assert Job.objects.filter(kind="visit.agreed", key=key).exists()
    assert "Thank you: we come" in browser.get(answer["Location"]).content.decode()


def test_an_agreed_visit_moves_and_its_calendar_follows(browser, yard, home, make_visit):
    visit = make_visit(home[2], [home[3]], agree=True)
    word = times_on(ask(browser, yard, visit))[0]

    take(browser, yard, visit, word)

    moved = Visit.objects.get(pk=visit.pk)
    assert (moved.state, moved.was_moved, moved.sequence) == (State.AGREED, True, 1)
    assert moved.moved_from_day == visit.day
    assert Job.objects.filter(kind="visit.moved", key=f"{visit.pk}:1").exists()


def test_a_time_that_is_gone_is_said_and_others_are_shown(browser, yard, offer):
    word = times_on(ask(browser, yard, offer))[0]
    office = makers.as_account(Account.objects.get(handle="dora"))
    andrea = Account.objects.get(handle="andrea")
    day = date.fromisoformat(word[:10])
    # Both halves of that day are taken: 8 to 12, the break, and 13 to 17:50.
    for from_h, minutes in ((8, 240), (13, 290)):
        other = actions.plan_visit(
            makers.make_site(f"{from_h} Reed Ln"),
            asker=office,
            purpose="mend",
            systems={},
            meant_for=None,
            minutes=minutes,
        )
        to = Window(day, time(from_h), time(from_h + 1))
        actions.offer_visit(other, to=to, technician=andrea, asker=office)

    answer = take(browser, yard, offer, word)

    assert answer.status_code == 409
    page = answer.content.decode()
    assert "Somebody took that time a moment ago. These are free now:" in page
    assert word not in times_on(answer)
    assert times_on(answer)
    assert Visit.objects.get(pk=offer.pk).state == State.OFFERED
    assert not Answer.objects.exists()


@pytest.mark.parametrize(
    "word",
    [
        "2027-05-16_0800_1000",  # a Sunday
        "2027-05-13_0300_0500",  # at night
        "2027-05-13_0815_1015",  # not one of the windows we promise
        "2020-05-13_0800_1000",
        "2027-05-13",
        "never",
        "2027-05-13_9900_1000",
    ],
)
def test_a_time_we_did_not_show_is_not_taken(browser, yard, offer, word):
    answer = take(browser, yard, offer, word)

    assert answer.status_code == 409
    assert Visit.objects.get(pk=offer.pk).state == State.OFFERED


def test_later_dates_are_a_link_away(browser, yard, offer):
    page = ask(browser, yard, offer).content.decode()
    later = re.search(r'href="(\?from=[0-9-]+)"', page).group(1)

    words = times_on(ask(browser, yard, offer, later))

    assert min(words) >= later.removeprefix("?from=")
    assert len(words) == 6


def test_who_finds_none_that_suits_writes_as_before(browser, yard, offer):
    assert "None of these?" in ask(browser, yard, offer).content.decode()

    browser.post(
        f"{yard}visits/{offer.pk}/another_day", {"sequence": 0, "day": ["Monday"], "note": "late"}
    )

    assert Answer.objects.get().note == "Days that suit: Monday. late"


def test_without_any_free_time_there_is_the_note_alone(browser, yard, offer):
    Account.objects.filter(handle="andrea").update(is_active=False)

    page = ask(browser, yard, offer).content.decode()

    assert "Take one of these" not in page
    assert "We then write or ring with another time." in page


def test_shortly_before_we_come_or_on_the_way_a_person_is_asked(
    browser, yard, home, make_visit, technician
):
    visit = make_visit(home[2], [home[3]], days=1, agree=True)
    with time_machine.travel(makers.later(hours=22.5), tick=False):
        # 6:30 on Tuesday; the window opens at 8.
        near = ask(browser, yard, visit)
        refused = take(browser, yard, visit, "2027-05-13_0800_1000")
    actions.set_out(visit, asker=technician)

    assert times_on(near) == []
    assert refused.status_code == 409
    assert times_on(ask(browser, yard, visit)) == []
    assert Visit.objects.get(pk=visit.pk).day == makers.MONDAY.date() + timedelta(days=1)


def test_a_dig_is_arranged_by_a_person_for_its_ground_must_be_located(browser, yard, offer):
    Visit.objects.filter(pk=offer.pk).update(is_digging=True)

    assert times_on(ask(browser, yard, offer)) == []


def test_a_neighbour_can_take_no_time_for_us(browser, next_door, offer):
    assert take(browser, next_door, offer, "2027-05-13_0800_1000").status_code == 404
    assert Visit.objects.get(pk=offer.pk).state == State.OFFERED


def test_it_is_said_in_spanish(browser, yard, offer):
    Household.objects.update(language="es")

    page = ask(browser, yard, offer).content.decode()

    assert "Tome una de estas y queda acordada enseguida:" in page
    assert "¿Ninguna de estas?" in page
