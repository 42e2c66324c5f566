"""Rounds of a day: how it stands, what can be changed by hand, and what a planner is asked."""

import re
from datetime import timedelta

import pytest

from drainservice.accounts.models import Account
from drainservice.visits import actions
from drainservice.visits.models import Lock, Plan, Round, State, Visit
from jobs.models import Job
from tests import makers
from tests.visits.busy_week import TUESDAY, booked, planned, site
from tests.web.dispatcher.conftest import page, sign_in

pytestmark = pytest.mark.django_db
ADDRESS = "/rounds/2027-05-11"
TELLING = ["visit.offered", "visit.agreed", "visit.moved", "visit.called_off"]


@pytest.fixture
def tuesday(desk):
    """Andrea: 8 to 10 in the north, 13 to 15 in the south; Basil: 9 to 11 in the south; one more
    visit is meant for the week."""
    makers.make_account("basil")
    andrea, basil = Account.objects.get(handle="andrea"), Account.objects.get(handle="basil")
    return {
        "andrea": andrea,
        "basil": basil,
        "north": booked(site(1, north=0.05), andrea, TUESDAY, 8),
        "south": booked(site(2, north=-0.05), andrea, TUESDAY, 13),
        "own": booked(site(3, north=-0.04, east=0.01), basil, TUESDAY, 9),
        "loose": planned(site(4, north=-0.03)),
    }


def post(desk, act, visit=None, **told):
    number = {} if visit is None else {"visit": visit.pk, "version": visit.version}
    return desk.post(ADDRESS, {"act": act} | number | told, follow=True)


def again(visit):
    return Visit.objects.get(pk=visit.pk)


def test_the_first_sentence_counts_and_names_the_tightest_promise(tuesday, desk):
    said = page(desk.get(ADDRESS))

    # Three promises in two rounds. Whoever comes earliest in their window has two hours to spare,
    # less what the way takes; the names of the gates are the streets.
    assert "Tuesday 11 May: 2 rounds, 3 visits; the tightest promise is" in said
    assert "to spare" in said
    assert tuesday["loose"].site.address in said
    assert "In no round yet" in said


def test_today_is_a_short_address(desk):
    assert desk.get("/rounds").headers["Location"] == "/rounds/2027-05-10"


NO_DAYS = ["2027-13-40", "soon", "2027-5-1", "99999-01-01", "9999-12-31", "0001-01-01"]


@pytest.mark.parametrize("path", ["/rounds/{}", "/rounds/{}/repair"])
@pytest.mark.parametrize("day", NO_DAYS)
def test_a_day_that_is_none_is_not_found(desk, day, path):
    assert desk.get(path.format(day)).status_code == 404
    # Where there is no address, nothing can be sent to it.
    assert desk.post(path.format(day), {"act": "plan"}).status_code in {404, 405}


@pytest.mark.parametrize("day", ["2000-01-01", "2199-12-31"])
def test_the_first_and_the_last_day_are_shown(desk, day):
    assert desk.get(f"/rounds/{day}").status_code == 200


def test_looking_writes_nothing(tuesday, desk, changes):
    before = list(Visit.objects.order_by("pk").values()), list(Round.objects.values())

    desk.get(ADDRESS)

    assert (list(Visit.objects.order_by("pk").values()), list(Round.objects.values())) == before


def test_given_to_somebody_else_the_promise_stays_and_nobody_is_told(tuesday, desk):
    told = Job.objects.filter(kind__in=TELLING).count()

    answer = post(desk, "hand_on", tuesday["south"], technician="basil")

    south = again(tuesday["south"])
    assert south.technician == tuesday["basil"]
    assert (south.window_from, south.window_to) == (
        tuesday["south"].window_from,
        tuesday["south"].window_to,
    )
    assert south.sequence == tuesday["south"].sequence
    assert Job.objects.filter(kind__in=TELLING).count() == told
    assert "Given to somebody else." in page(answer)


def test_a_named_technician_is_not_replaced_unasked(tuesday, desk):
    Visit.objects.filter(pk=tuesday["south"].pk).update(is_named=True)

    answer = post(desk, "hand_on", again(tuesday["south"]), technician="basil")

    assert answer.status_code == 409
    assert "promised the technician by name" in page(answer)
    assert again(tuesday["south"]).technician == tuesday["andrea"]


def test_put_in_a_round_locked_and_taken_out_again(tuesday, desk):
    loose = tuesday["loose"]

    post(desk, "put_in", loose, technician="basil")
    placed = again(loose)
    assert (placed.technician, placed.day, placed.state) == (
        tuesday["basil"],
        TUESDAY,
        State.PLANNED,
    )
    assert placed.slot_starts_at is not None

    post(desk, "lock", placed, lock="day")
    assert again(loose).lock == Lock.DAY
    assert "technician and day stay" in page(desk.get(ADDRESS))

    post(desk, "lock", again(loose), lock="")
    post(desk, "take_out", again(loose))
    out = again(loose)
    assert (out.technician, out.day, out.slot_starts_at) == (None, None, None)
    assert not Job.objects.filter(kind__in=TELLING, details__visit_id=loose.pk).exists()


def test_taking_out_can_be_undone(tuesday, desk):
    post(desk, "put_in", tuesday["loose"], technician="basil")
    placed = again(tuesday["loose"])
    answer = post(desk, "take_out", placed)

    group = answer.context["act"]
    desk.post(f"/undo/{group}", {"back": ADDRESS})

    back = again(tuesday["loose"])
    assert (back.technician, back.slot_starts_at) == (placed.technician, placed.slot_starts_at)


def test_what_was_promised_is_not_taken_out(tuesday, desk):
    answer = post(desk, "take_out", tuesday["south"])

    assert answer.status_code == 409
    assert again(tuesday["south"]).slot_starts_at == tuesday["south"].slot_starts_at


def test_each_change_counts_the_rounds_it_touches(tuesday, desk):
    def version(who):
        row = Round.objects.filter(technician=tuesday[who], day=TUESDAY).first()
        return 0 if row is None else row.version

    before = version("andrea"), version("basil")
    post(desk, "hand_on", tuesday["south"], technician="basil")
    assert version("andrea") > before[0]
    assert version("basil") > before[1]

    before = version("basil")
    post(desk, "lock", again(tuesday["own"]), lock="technician")
    assert version("basil") > before


def test_an_old_page_saves_nothing_over_newer_facts(tuesday, desk):
    post(desk, "lock", tuesday["own"], lock="day")

    answer = post(desk, "lock", tuesday["own"], lock="start")

    assert answer.status_code == 409
    assert "Someone changed this" in page(answer)
    assert again(tuesday["own"]).lock == Lock.DAY


def test_asking_for_a_better_order_leads_to_its_page(tuesday, desk):
    answer = post(desk, "plan")

    plan = Plan.objects.get()
    assert answer.redirect_chain[-1][0] == f"/plans/{plan.pk}"
    assert (plan.first_on, plan.last_on, plan.what_if) == (TUESDAY, TUESDAY, "")
    assert "is being looked for" in page(desk.get(ADDRESS))


def test_a_what_if_needs_something_to_try(tuesday, desk):
    answer = post(desk, "what_if", without="", longer="0")
    assert answer.status_code == 409
    assert Plan.objects.count() == 0

    post(desk, "what_if", without="basil", longer="30")
    name = tuesday["basil"].person.name.split()[0]
    assert Plan.objects.get().what_if == f"without {name}, with 30 min more a shift"


def test_who_is_away_stands_at_their_round(tuesday, desk):
    midnight = makers.MONDAY + timedelta(hours=16)
    actions.enter_absence(
        tuesday["basil"],
        asker=makers.clock(),
        from_at=midnight,
        until_at=midnight + timedelta(days=1),
        because="fever",
    )

    said = page(desk.get(ADDRESS))

    assert "is away on Tuesday 11 May: fever." in said
    assert "no longer keeps every promise" in said


@pytest.mark.parametrize("act", ["", "sell", "lock", "hand_on"])
def test_what_is_not_on_the_page_is_refused_in_a_sentence(tuesday, desk, act):
    answer = post(desk, act, tuesday["own"], lock="everything", technician="nobody")

    assert answer.status_code == 409
    assert "Choose" in page(answer)


def test_a_day_without_rounds_says_so(desk):
    assert "no visit stands in a round yet" in page(desk.get("/rounds/2027-05-12"))
    assert "nobody drove" in page(desk.get("/rounds/2027-05-03"))


def test_neither_neighbour_nor_technician_sees_the_whole_day(tuesday, client):
    assert client.get(ADDRESS).headers["Location"].startswith("/sign-in")
    theirs = sign_in("andrea")
    assert theirs.get(ADDRESS).status_code == 403
    assert theirs.post(ADDRESS, {"act": "plan"}).status_code == 403
    assert Plan.objects.count() == 0


def test_a_promise_that_breaks_is_drawn_from_how_things_stand_now(tuesday, desk):
    # Andrea's van is out until 11; her gate from 8 to 10 closes an hour before she can leave.
    eleven = makers.MONDAY + timedelta(hours=27)
    actions.enter_absence(
        tuesday["andrea"],
        asker=makers.clock(),
        from_at=makers.MONDAY + timedelta(hours=23),
        until_at=eleven,
        because="the van does not start",
    )

    said = page(desk.get(ADDRESS))

    assert "no longer keeps every promise" in said
    # Leaving at 11 the first gate is reached later than 11, so at least an hour too late.
    assert re.search(r"promised 8 to 10; <span class=\"wrong\">1 h( \d+ min)? too late", said)
