"""What belongs to a site and its people: entered, changed, taken off, undone; bad input refused."""

from datetime import date

import pytest

from drainservice.accounts.models import Away, Channel, Household
from drainservice.engine.units import FOOT_M
from drainservice.register.models import (
    Agreement,
    LocateTicket,
    Permit,
    SharedMain,
    Surrounding,
)
from jobs.models import Job
from tests import makers
from tests.web.dispatcher.conftest import page
from tests.web.dispatcher.test_system import posted

pytestmark = pytest.mark.django_db


@pytest.fixture
def site(yard):
    """Where Juno Greenlaw lives."""
    return yard.site


def add(desk, site, thing, of="", **told):
    """Fill the form and send it."""
    address = f"/sites/{site.pk}/add/{thing}" + (f"?of={of}" if of else "")
    return desk.post(address, posted(desk.get(address), **told))


def change(desk, site, thing, pk, **told):
    """The same for a thing that is there."""
    address = f"/sites/{site.pk}/{thing}/{pk}"
    return desk.post(address, posted(desk.get(address), **told))


def counting_waits(system):
    """Whether the system's dates will be counted anew."""
    return Job.objects.filter(kind="system.changed", key__startswith=f"{system.pk}:").exists()


def test_a_tree_is_entered_in_feet_and_the_dates_are_counted_anew(desk, site, yard):
    Job.objects.all().delete()
    answer = add(desk, site, "surrounding", kind="tree", what="old maple", distance_m="12 ft")
    tree = Surrounding.objects.get()
    assert tree.distance_m == pytest.approx(12 * FOOT_M)
    assert counting_waits(yard)
    assert "old maple" in page(desk.get(answer["Location"]))


def test_a_tree_that_was_felled_is_taken_off_and_may_be_put_back(desk, site, yard):
    add(desk, site, "surrounding", kind="tree", distance_m="12 ft")
    tree = Surrounding.objects.get()
    answer = desk.post(f"/sites/{site.pk}/surrounding/{tree.pk}", {"act": "off"})
    assert not Surrounding.objects.standing().exists()
    Job.objects.all().delete()
    group = answer["Location"].partition("act=")[2]
    desk.post(f"/undo/{group}", {"back": f"/sites/{site.pk}"})
    assert Surrounding.objects.standing().get() == tree
    assert counting_waits(yard)


def test_a_permit_is_entered_once_though_sent_twice(desk, site):
    told = posted(desk.get(f"/sites/{site.pk}/add/permit"), number="2024-118")
    desk.post(f"/sites/{site.pk}/add/permit", told)
    desk.post(f"/sites/{site.pk}/add/permit", told)
    assert Permit.objects.get().number == "2024-118"


def test_a_permit_without_a_number_is_refused_and_keeps_what_was_typed(desk, site):
    answer = add(desk, site, "permit", giver="Ferry County")
    assert answer.status_code == 422
    assert 'value="Ferry County"' in page(answer)
    assert not Permit.objects.exists()


def test_a_ticket_that_ends_before_it_begins_is_refused(desk, site):
    answer = add(
        desk, site, "ticket", number="T-1", valid_from="2027-06-10", valid_until="2027-06-01"
    )
    assert "This lies before the beginning; mend one of the two." in page(answer)
    assert not LocateTicket.objects.exists()


def test_a_ticket_is_made_longer(desk, site):
    add(desk, site, "ticket", number="T-1", valid_from="2027-06-01", valid_until="2027-06-10")
    change(desk, site, "ticket", LocateTicket.objects.get().pk, valid_until="2027-06-20")
    assert LocateTicket.objects.get().valid_until == date(2027, 6, 20)


def test_an_agreement_covers_the_systems_that_are_ticked(desk, site, yard, home):
    add(
        desk,
        site,
        "agreement",
        payer=str(home[1].pk),
        looks_a_year="2",
        covers_parts="yes",
        fix_limit="up to a new float",
        starts_on="2027-01-01",
    )
    agreement = Agreement.objects.get()
    yard.refresh_from_db()
    assert yard.agreement == agreement
    assert (agreement.looks_a_year, agreement.covers_parts, agreement.covers_storm_calls) == (
        2,
        True,
        False,
    )
    change(desk, site, "agreement", agreement.pk, systems=[], ends_on="2027-12-31")
    yard.refresh_from_db()
    agreement.refresh_from_db()
    assert (yard.agreement, agreement.ends_on) == (None, date(2027, 12, 31))


def test_a_payer_from_another_street_cannot_be_chosen(desk, site, neighbour):
    answer = add(desk, site, "agreement", payer=str(neighbour.household_id), starts_on="2027-01-01")
    assert answer.status_code == 422
    assert not Agreement.objects.exists()


def test_a_line_joins_a_main_by_a_wye(desk, site, yard):
    add(desk, site, "main", name="Lane main", slope="2", slope_how="measured", diameter_m="6")
    main = SharedMain.objects.get()
    assert (main.slope, main.slope_how) == (pytest.approx(0.02), "measured")
    address = f"/systems/{yard.code}/line/{yard.line.pk}"
    answer = desk.post(address, posted(desk.get(address), main=str(main.pk), end="daylight"))
    assert "ends in a shared main; choose that." in page(answer)
    told = posted(desk.get(address), main=str(main.pk), end="shared_main", joint="wye")
    desk.post(address, told)
    yard.line.refresh_from_db()
    assert (yard.line.main, yard.line.joint, yard.line.joint_how) == (main, "wye", "told")
    assert "Lane main" in page(desk.get(f"/systems/{yard.code}"))


def test_a_main_that_a_line_joins_is_not_taken_off(desk, site, yard):
    test_a_line_joins_a_main_by_a_wye(desk, site, yard)
    main = SharedMain.objects.get()
    answer = desk.post(f"/sites/{site.pk}/main/{main.pk}", {"act": "off"})
    assert "still joins this main" in page(answer)
    assert SharedMain.objects.standing().exists()


def test_a_telephone_is_added_mended_and_ranked(desk, site, home):
    add(desk, site, "way", of=home[0].pk, kind="telephone", address="503 555 0199", rank="2")
    way = Channel.objects.get(address="5035550199")
    change(desk, site, "way", way.pk, address="503-555-0198", rank="1")
    way.refresh_from_db()
    assert (way.address, way.rank, way.person) == ("5035550198", 1, home[0])


def test_a_telephone_of_letters_is_refused_in_words(desk, site, home):
    answer = add(desk, site, "way", of=home[0].pk, kind="telephone", address="ring me")
    assert answer.status_code == 422
    assert "may hold digits" in page(answer)
    assert "ring me" in page(answer)


def test_an_address_that_reaches_nobody_is_passed_over_until_it_is_mended(desk, site, home):
    way = home[0].channels.filter(kind="mail").first()
    address = f"/sites/{site.pk}/way/{way.pk}"
    desk.post(address, {"act": "bad"})
    way.refresh_from_db()
    assert way.bad_since == makers.MONDAY
    change(desk, site, "way", way.pk, address="juno.greenlaw@example.com")
    way.refresh_from_db()
    assert way.bad_since is None
    desk.post(address, {"act": "bad"})
    desk.post(address, {"act": "good"})
    way.refresh_from_db()
    assert way.bad_since is None


def test_consent_to_text_messages_bears_its_day(desk, site, home):
    told = {"kind": "text", "address": "503 555 0142", "consent_how": "said so by telephone"}
    add(desk, site, "way", of=home[0].pk, **told)
    way = Channel.objects.get(kind="text")
    assert (way.consent_at, way.consent_how) == (makers.MONDAY, "said so by telephone")


def test_a_household_has_its_language_and_its_quiet_hours(desk, site, home):
    change(
        desk,
        site,
        "household",
        home[1].pk,
        language="es",
        quiet_from="21:00",
        quiet_until="09:30",
    )
    kept = Household.objects.get(pk=home[1].pk)
    assert (kept.language, f"{kept.quiet_from:%H:%M}") == ("es", "21:00")
    assert "told in Spanish, no messages from 21 to 9:30" in page(desk.get(f"/sites/{site.pk}"))


def test_quiet_hours_without_an_end_are_refused(desk, site, home):
    answer = change(desk, site, "household", home[1].pk, quiet_from="21:00", quiet_until="")
    assert "give both or neither" in page(answer)
    assert Household.objects.get(pk=home[1].pk).quiet_from is None


def test_asking_stops_and_begins_again(desk, site, home):
    address = f"/sites/{site.pk}/household/{home[1].pk}"
    desk.post(address, {"act": "stop"})
    assert Household.objects.get(pk=home[1].pk).asking_stopped_at == makers.MONDAY
    assert "Asked nothing any more" in page(desk.get(f"/sites/{site.pk}"))
    desk.post(address, {"act": "again"})
    assert Household.objects.get(pk=home[1].pk).asking_stopped_at is None


def test_days_away_name_who_holds_the_key(desk, site, home):
    add(
        desk,
        site,
        "away",
        of=home[1].pk,
        starts_on="2027-06-01",
        ends_on="2027-06-14",
        key_holder="Otis next door",
        pump_is_powered="no",
    )
    assert "Otis next door holds the key" in page(desk.get(f"/sites/{site.pk}"))
    change(desk, site, "away", Away.objects.get().pk, ends_on="2027-06-20", pump_is_powered="")
    away = Away.objects.get()
    assert (away.ends_on, away.pump_is_powered) == (date(2027, 6, 20), None)


def test_what_two_people_change_at_once_is_saved_once(desk, site, home):
    address = f"/sites/{site.pk}/person/{home[0].pk}"
    told = posted(desk.get(address), name="Juno Green")
    change(desk, site, "person", home[0].pk, name="Juno Greenlaw-Fenn")
    answer = desk.post(address, told)
    assert "Someone changed this while you were looking at it." in page(answer)
    home[0].refresh_from_db()
    assert home[0].name == "Juno Greenlaw-Fenn"


def test_a_thing_of_next_door_is_as_missing_as_one_that_is_nowhere(desk, site, neighbour):
    way = Channel.objects.filter(person=neighbour.person_id).first()
    there = desk.get(f"/sites/{site.pk}/way/{way.pk}")
    nowhere = desk.get(f"/sites/{site.pk}/way/999999")
    assert (there.status_code, there.content) == (404, nowhere.content)
    of = desk.get(f"/sites/{site.pk}/add/away?of={neighbour.household_id}")
    assert (of.status_code, of.content) == (404, nowhere.content)
    desk.post(f"/sites/{site.pk}/household/{neighbour.household_id}", {"act": "stop"})
    assert Household.objects.get(pk=neighbour.household_id).asking_stopped_at is None


@pytest.mark.parametrize("path", ["add/colour", "colour/1", "add/person", "add/way?of=x", "way/0"])
def test_what_is_no_thing_of_a_site_is_not_found(desk, site, path):
    assert desk.get(f"/sites/{site.pk}/{path}").status_code == 404


def test_an_act_that_does_not_fit_is_not_found(desk, site, home):
    assert desk.post(f"/sites/{site.pk}/person/{home[0].pk}", {"act": "off"}).status_code == 404


def test_looking_at_the_forms_changes_nothing(desk, site, home, changes):
    before = changes()
    for what in ("surrounding", "permit", "ticket", "agreement", "main"):
        assert desk.get(f"/sites/{site.pk}/add/{what}").status_code == 200
    assert desk.get(f"/sites/{site.pk}/household/{home[1].pk}").status_code == 200
    assert changes() == before
