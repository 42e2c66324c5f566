"""Monday morning in the office: a dispatcher signed in, one house with a counted system."""

from datetime import time

import pytest
import time_machine
from django.test import Client

from drainservice.accounts.models import Account, Change
from drainservice.inspections.actions import find_due
from drainservice.visits import actions as visits
from drainservice.visits.queries import Window
from tests import makers


def sign_in(handle):
    client = Client()
    client.force_login(Account.objects.get(handle=handle))
    return client


def page(answer):
    """What stands on it, in one line."""
    return " ".join(answer.content.decode().split())


@pytest.fixture
def at_eight(settings):
    """Monday, 8:00; style sheets as plain files."""
    settings.STORAGES = {
        "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    with time_machine.travel(makers.MONDAY, tick=False) as traveller:
        yield traveller


@pytest.fixture
def desk(at_eight, dispatcher, technician):
    """The dispatcher's screen; Andrea goes out."""
    return sign_in("dora")


@pytest.fixture
def yard(desk, home):
    """Juno Greenlaw's system, its dates counted."""
    find_due(asker=makers.clock(), force=True)
    return home[3]


@pytest.fixture
def offered(yard, dispatcher):
    """A visit offered for Tuesday, 8 to 10, by Andrea."""
    visit = visits.plan_visit(
        yard.site, asker=dispatcher, purpose="yearly look", systems={yard: ["pump"]}, meant_for=None
    )
    tuesday = makers.later(days=1).date()
    return visits.offer_visit(
        visit,
        to=Window(tuesday, time(8), time(10)),
        technician=Account.objects.get(handle="andrea"),
        asker=dispatcher,
    )


@pytest.fixture
def changes():
    """How many changes history holds: a page that is only looked at adds none."""
    return Change.objects.count
