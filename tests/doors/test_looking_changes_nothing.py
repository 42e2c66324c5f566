"""Looking is free: whoever looks at whatever, no row of any table is another afterwards.

RFC 9110, 9.2.1: GET, HEAD, OPTIONS are safe methods. A mail scanner that opens every link of a
mail must have answered nothing.
"""

import re

import pytest
from django.conf import settings

from drainservice.accounts.models import Person
from drainservice.reminders.models import Reminder
from drainservice.reminders.queries import preview_of
from tests.doors.asking import address
from tests.doors.examples import PATHS, has_thing
from tests.doors.rows import changed, model_tables, rows_by_table, tables
from tests.doors.world import ASKERS, OURS

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
HREF = re.compile(r'href="([^"]+)"')
# What the pages' own links carry in their queries.
QUERIES = ["", "?say=yes", "?done=offered&act=00", "?words=maple", "?from=2027-06-01"]


def look(world, asker, method, url):
    """Look and keep what came of it: nothing is rolled back here."""
    return world.clients[asker].generic(method, url).status_code


def test_the_tables_looked_at_are_all_there_are(world):
    assert model_tables() <= tables()
    assert len(tables()) > 40


def test_a_changed_row_would_be_seen(world):
    before = rows_by_table()

    Person.objects.filter(pk=world.ours.person.pk).update(note="x")

    assert changed(before, rows_by_table()) == {"accounts_person"}


@pytest.mark.parametrize("method", ["GET", "HEAD", "OPTIONS"])
def test_nobody_changes_anything_by_looking(world, method):
    wrote, looked = [], 0
    before = rows_by_table()
    for name in PATHS:
        for asker in ASKERS:
            for house in (world.ours, world.theirs) if has_thing(name) else (world.ours,):
                look(world, asker, method, address(name, house, world.link_of(asker)))
                looked += 1
        after = rows_by_table()
        if before != after:
            wrote.append((name, changed(before, after)))
            before = after

    assert wrote == []
    assert looked > 500


def test_a_scanner_that_opens_every_link_of_a_mail_has_answered_nothing(world):
    octets = [preview_of(row).html for row in Reminder.objects.exclude(octets=None)]
    found = [link for html in octets for link in HREF.findall(html)]
    inside = [link.removeprefix(settings.PUBLIC_URL) for link in found if "/y/" in link]
    before = rows_by_table()

    statuses = {link: look(world, OURS, "GET", link) for link in inside}

    assert changed(before, rows_by_table()) == set()
    assert len(inside) >= 8
    assert set(statuses.values()) <= {200, 302}


@pytest.mark.parametrize("query", QUERIES)
def test_no_query_makes_a_look_write(world, query):
    before = rows_by_table()

    for name in PATHS:
        for asker in (OURS, "dispatcher"):
            url = address(name, world.ours, world.link_of(asker))
            look(world, asker, "GET", url if "?" in url else url + query)

    assert changed(before, rows_by_table()) == set()
