"""A race for one technician's hour: whoever comes second is told, on either database."""

import os
import threading
from datetime import UTC, date, datetime, time, timedelta

import pytest
from django.db import IntegrityError, connection, connections, transaction

from drainservice.accounts.asker import CannotBeDone
from drainservice.accounts.models import Account
from drainservice.visits import actions
from drainservice.visits.models import State, Visit
from drainservice.visits.queries import Window
from tests import makers

pytestmark = pytest.mark.django_db(transaction=True)
WINDOW = Window(date(2027, 5, 11), time(8), time(10))
TRIES = 8


def test_of_many_who_book_one_hour_at_once_the_technician_gets_no_overlap():
    andrea = makers.make_account()
    site = makers.make_site()
    # 90 minutes each: a two-hour window takes two starts, at 8:00 and at 9:30.
    planned = [
        actions.plan_visit(
            site,
            asker=makers.clock(),
            purpose="yearly look",
            systems={},
            meant_for=None,
            minutes=90,
        ).pk
        for _ in range(TRIES)
    ]
    begin = threading.Barrier(TRIES)
    outcomes = []

    def book(pk):
        try:
            visit = Visit.objects.get(pk=pk)
            who = Account.objects.get(pk=andrea.pk)
            begin.wait()
            actions.offer_visit(visit, to=WINDOW, technician=who, asker=makers.clock())
            outcomes.append("booked")
        except CannotBeDone as refusal:
            outcomes.append(str(refusal))
        finally:
            connections.close_all()

    threads = [threading.Thread(target=book, args=[pk]) for pk in planned]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    booked = Visit.objects.filter(state=State.OFFERED).order_by("slot_starts_at")
    slots = [(v.slot_starts_at, v.slot_ends_at) for v in booked]
    assert outcomes.count("booked") == len(slots)
    assert 1 <= len(slots) <= 2
    assert all(slots[i][1] <= slots[i + 1][0] for i in range(len(slots) - 1))
    assert all("choose another time" in o for o in outcomes if o != "booked")


def test_the_database_itself_refuses_an_overlap_written_past_the_action():
    andrea = makers.make_account()
    site = makers.make_site()
    start = datetime(2027, 5, 11, 15, 0, tzinfo=UTC)
    slot = {
        "technician": andrea,
        "slot_starts_at": start,
        "slot_ends_at": start + timedelta(minutes=45),
    }
    Visit.objects.create(site=site, purpose="first", **slot)

    refused = pytest.raises(IntegrityError, match="a_technician_has_one_visit_at_a_time")
    with refused, transaction.atomic():
        Visit.objects.create(site=site, purpose="second", **slot)

    after = {
        "slot_starts_at": slot["slot_ends_at"],
        "slot_ends_at": slot["slot_ends_at"] + timedelta(minutes=45),
    }
    assert Visit.objects.create(site=site, purpose="third", **(slot | after)).pk
    assert Visit.objects.create(
        site=site, purpose="called off", state="called_off", called_off_at=start, **slot
    ).pk


def test_this_run_is_on_the_database_it_says():
    wanted = os.environ.get("DRAIN_TEST_DATABASE", "sqlite")

    assert connection.vendor == wanted
