"""A household by its signed link: no cookie, no sign-in."""

from datetime import time

import pytest
import time_machine
from django.test import Client

from drainservice.accounts.links import HouseholdLink, write_link
from drainservice.accounts.models import Account
from drainservice.visits import actions as visits
from drainservice.visits.queries import Window
from tests import makers


@pytest.fixture(autouse=True)
def _as_at_home(settings, tmp_path):
    settings.PHOTOS = tmp_path / "photos"
    settings.STORAGES = {
        "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    with time_machine.travel(makers.MONDAY, tick=False):
        yield


@pytest.fixture
def browser():
    """A browser that enforces form tokens, holding no cookie."""
    return Client(enforce_csrf_checks=True)


def link_of(person, household, **more):
    """The household's own address."""
    told = {"purpose": "yard", "link_number": household.link_number} | more
    return f"/y/{write_link(HouseholdLink(person.pk, household.pk, **told))}/"


@pytest.fixture
def yard(home):
    """Juno Greenlaw's address."""
    return link_of(home[0], home[1])


@pytest.fixture
def next_door(neighbour):
    """The neighbour's address."""
    from drainservice.accounts.models import Household, Person

    person = Person.objects.get(pk=neighbour.person_id)
    return link_of(person, Household.objects.get(pk=neighbour.household_id))


@pytest.fixture
def make_visit(technician, dispatcher):
    """A function that offers (or agrees) a visit some days from Monday, 8 to 10."""

    def make(site, systems, *, days=2, agree=False):
        told = makers.as_account(Account.objects.get(handle="dora"))
        visit = visits.plan_visit(
            site,
            asker=told,
            purpose="Yearly look",
            systems={system: [] for system in systems},
            meant_for=None,
        )
        day = makers.later(days=days).date()
        andrea = Account.objects.get(handle="andrea")
        visits.offer_visit(visit, to=Window(day, time(8), time(10)), technician=andrea, asker=told)
        return visits.agree_visit(visit, asker=told) if agree else visit

    return make


@pytest.fixture
def offer(home, make_visit):
    """A visit offered for Wednesday."""
    return make_visit(home[2], [home[3]])
