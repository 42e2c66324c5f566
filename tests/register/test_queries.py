"""Who sees which system, how a caller is found, and what the engine is told."""

import pytest

from drainservice.accounts.asker import NotFound
from drainservice.register import queries
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
