"""Who sees which system, how a caller is found, and what the engine is told."""

from datetime import UTC, date, datetime

import pytest

from drainservice.accounts import history
from drainservice.accounts.asker import NotFound
from drainservice.accounts.models import Account
from drainservice.register import actions, queries
from drainservice.register.models import System
from tests import makers

pytestmark = pytest.mark.django_db


def test_a_neighbour_sees_nothing_of_ours(home, neighbour):
    _, _, site, system = home

    with pytest.raises(NotFound):
        queries.system_for(neighbour, system.pk)
    with pytest.raises(NotFound):
        queries.site_for(neighbour, site.pk)
    assert system not in queries.systems_for(neighbour)


def test_a_household_sees_its_own_system(home, homeowner):
    assert queries.system_for(homeowner, home[3].pk) == home[3]


def test_a_technician_without_a_visit_sees_nothing(home, technician):
    with pytest.raises(NotFound):
        queries.system_for(technician, home[3].pk)


@pytest.mark.parametrize("words", ["114 maple", "maple ri", "555-0137", "Greenlaw", "driveway"])
def test_a_caller_is_found_by_what_they_can_say(home, dispatcher, words):
    assert queries.find(dispatcher, words) == [home[3]]


def test_a_caller_is_found_by_the_code_under_the_lid(home, dispatcher):
    assert queries.find(dispatcher, home[3].code) == [home[3]]


def test_a_sound_system_is_told_to_the_engine_as_sound(home):
    whole = queries.whole(home[3], day=makers.MONDAY.date())

    facts = queries.as_built_of(whole)

    assert facts.valve_is_present.holds(True)
    assert facts.valve_attitude.value == "upright"
    assert facts.pump_base.value == "solid"
    assert facts.joint.value == "no_main"
    assert not facts.tree_is_near.is_known


def test_many_systems_are_loaded_whole_in_a_fixed_number_of_statements(
    home, django_assert_num_queries
):
    makers.make_system(home[2], place="by the garage")

    with django_assert_num_queries(10):
        loaded = queries.wholes(System.objects.all(), day=makers.MONDAY.date())

    assert len(loaded) == 2
    assert loaded[0].valve is not None


def open_to(technician, site):
    """Open from 15:00 to 17:00 UTC on Monday, contacts from 15:30 to 16:30."""
    return actions.open_site(
        asker=makers.clock(),
        account_id=technician.account_id,
        site=site,
        because="test",
        from_at=makers.MONDAY,
        until_at=makers.later(hours=2),
        contacts_from_at=makers.later(minutes=30),
        contacts_until_at=makers.later(minutes=90),
    )


@pytest.mark.parametrize(
    ("minutes", "sees_site", "sees_contacts"),
    [
        (-1, False, False),
        (0, True, False),
        (29, True, False),
        (30, True, True),
        (89, True, True),
        (90, True, False),
        (119, True, False),
        (120, False, False),
    ],
)
def test_a_technician_sees_a_site_and_its_people_to_the_minute(
    home, technician, minutes, sees_site, sees_contacts
):
    open_to(technician, home[2])
    account = Account.objects.get(pk=technician.account_id)
    asker = makers.as_account(account, makers.later(minutes=minutes))

    assert (home[2] in queries.sites_for(asker)) == sees_site
    assert queries.may_see_contacts(asker, home[2]) == sees_contacts


@pytest.mark.parametrize("words", ["Greenlaw", "555-0137", "juno@example.com"])
def test_a_technician_finds_nobody_by_name_or_number_even_within_the_window(
    home, technician, words
):
    open_to(technician, home[2])
    account = Account.objects.get(pk=technician.account_id)
    asker = makers.as_account(account, makers.later(hours=1))

    assert queries.find(asker, "114 maple") == [home[3]]
    assert queries.find(asker, words) == []


def test_the_digits_of_a_street_are_no_telephone(home, dispatcher):
    other = makers.make_person("Otis Dellwood", telephone="360-555-0114")
    makers.make_home(other, makers.make_site("9 Islay Ct"))
    theirs = makers.make_system(other.parts.first().site)

    assert queries.find(dispatcher, "114 maple") == [home[3]]
    assert set(queries.find(dispatcher, "0114")) == {theirs}


def test_a_person_or_number_taken_out_finds_nothing(home, dispatcher):
    history.remove(home[0].channels.get(kind="telephone"), asker=dispatcher)
    assert queries.find(dispatcher, "555-0137") == []

    history.remove(home[0], asker=dispatcher)
    assert queries.find(dispatcher, "Greenlaw") == []


def test_signs_with_a_meaning_in_a_search_are_signs(home, dispatcher):
    assert queries.find(dispatcher, "%") == []
    assert queries.find(dispatcher, "_14 maple") == []
    assert queries.find(dispatcher, "'") == []


def test_a_household_ends_with_its_last_members_day(home, homeowner):
    mine = home[0].memberships.get()
    history.keep(mine, asker=makers.clock(), ends_on=date(2027, 5, 9))

    with pytest.raises(NotFound):
        queries.site_for(homeowner, home[2].pk)


def test_a_households_day_is_the_firms_and_not_that_of_utc(home):
    for part in home[0].parts.all():
        actions.end_part(part, asker=makers.clock(), ends_on=date(2027, 5, 10))

    # 22:00 on the 10th in America/Los_Angeles is 05:00 UTC on the 11th.
    evening = makers.as_household(home[0], home[1], datetime(2027, 5, 11, 5, tzinfo=UTC))
    assert queries.site_for(evening, home[2].pk) == home[2]
    night = makers.as_household(home[0], home[1], datetime(2027, 5, 11, 8, tzinfo=UTC))
    with pytest.raises(NotFound):
        queries.site_for(night, home[2].pk)
