"""Each list asks the database a fixed number of questions, however many rows it shows."""

from datetime import time

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from drainservice.accounts.models import Account
from drainservice.inspections.actions import find_due
from drainservice.visits import actions as visits
from drainservice.visits.queries import Window
from tests import makers

pytestmark = pytest.mark.django_db


def statements(desk, path):
    """How many, the firm's row among them once."""
    with CaptureQueriesContext(connection) as asked:
        assert desk.get(path).status_code == 200
    of_the_firm = [one for one in asked.captured_queries if '"accounts_firm"' in one["sql"]]
    assert len(of_the_firm) == 1
    return len(asked)


def add_house(number, dispatcher):
    """A house that no mail reaches, its dates counted, a visit offered."""
    person = makers.make_person(f"Juno {number}", telephone=f"503 555 01{number:02}")
    _, _, site = makers.make_home(person, makers.make_site(f"{number} Quarry St"))
    system = makers.make_system(site)
    visit = visits.plan_visit(
        site, asker=dispatcher, purpose="yearly look", systems={system: ["pump"]}, meant_for=None
    )
    visits.offer_visit(
        visit,
        to=Window(makers.later(days=number).date(), time(8), time(10)),
        technician=Account.objects.get(handle="andrea"),
        asker=dispatcher,
    )


@pytest.mark.parametrize("path", ["/due", "/calls", "/mailbox", "/systems", "/reminders"])
def test_twice_the_rows_take_as_many_statements(desk, dispatcher, path):
    for number in (1, 2):
        add_house(number, dispatcher)
    find_due(asker=makers.clock(), force=True)
    few = statements(desk, path)
    for number in (3, 4, 8, 9):
        add_house(number, dispatcher)
    find_due(asker=makers.clock(), force=True)
    assert statements(desk, path) == few


def test_the_call_list_names_each_of_them(desk, dispatcher):
    for number in (1, 2):
        add_house(number, dispatcher)
    words = desk.get("/calls").content.decode()
    assert "503-555-0101" in words
    assert "503-555-0102" in words
