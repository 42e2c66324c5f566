"""Monday on the road: a technician signed in, a visit with two systems agreed for 8 to 10."""

from datetime import time

import pytest
import time_machine
from django.test import Client

from drainservice.accounts.models import Account
from drainservice.register.actions import change_site
from drainservice.visits import actions as visits
from drainservice.visits.queries import Window
from tests import makers


@pytest.fixture(autouse=True)
def _as_on_the_road(settings, tmp_path):
    settings.PHOTOS = tmp_path / "photos"
    settings.STORAGES = {
        "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    with time_machine.travel(makers.MONDAY, tick=False):
        yield


def sign_in(handle):
    client = Client()
    client.force_login(Account.objects.get(handle=handle))
    return client


@pytest.fixture
def phone(technician):
    """Andrea's telephone."""
    return sign_in("andrea")


@pytest.fixture
def office(dispatcher):
    """The dispatcher's screen."""
    return sign_in("dora")


@pytest.fixture
def make_visit(technician, dispatcher):
    """A function that agrees a visit of Andrea's for Monday (or `days` later)."""

    def make(site, systems, *, days=0, window=(8, 10), agree=True):
        told = makers.as_account(Account.objects.get(handle="dora"), makers.later(days=-5))
        visit = visits.plan_visit(
            site, asker=told, purpose="Yearly look", systems=systems, meant_for=None
        )
        day = makers.later(days=days).date()
        visits.offer_visit(
            visit,
            to=Window(day, time(window[0]), time(window[1])),
            technician=Account.objects.get(handle="andrea"),
            asker=told,
        )
        return visits.agree_visit(visit, asker=told) if agree else visit

    return make


@pytest.fixture
def site(home):
    """Juno Greenlaw's yard with gate, dog and code."""
    return change_site(
        home[2],
        asker=makers.clock(),
        access_note="Lift the latch of the left gate.",
        dog_note="Biscuit",
        codes="4711",
    )


@pytest.fixture
def visit(site, home, make_visit):
    """Two systems, each with its looks."""
    wanted = ["lid", "sediment", "pump", "valve"]
    second = makers.make_system(site, place="behind the shed")
    return make_visit(site, {home[3]: wanted, second: ["lid"]})
