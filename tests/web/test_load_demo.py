"""Loading the demonstration: the same each time, whole or not at all, into an empty place only."""

import hashlib
from datetime import date, time

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import transaction

from drainservice.accounts import asker as askers
from drainservice.accounts import wall
from drainservice.accounts.models import Change, Channel, Firm, Person
from drainservice.inspections.models import Defect, Due, Reading, SelfCheck
from drainservice.register.models import Pump, Site, System
from drainservice.visits import queries as visits
from drainservice.visits.models import (
    Absence,
    Answer,
    ClosedDay,
    CrewMember,
    Plan,
    Round,
    State,
    Visit,
    WorkingHours,
)
from drainservice.web.demo import loading
from drainservice.web.demo.county import ZONE
from tests import makers

pytestmark = pytest.mark.django_db
TODAY = date(2027, 5, 10)
# What is told without keys: each a table and its telling columns.
TOLD = [
    (Person, ["name"]),
    (Channel, ["person__name", "kind", "address"]),
    (Site, ["address", "city", "latitude", "longitude"]),
    (System, ["lid_code", "place", "installed_on", "entered_on", "consequence"]),
    (Pump, ["system__lid_code", "serial", "from_on", "until_on"]),
    (
        Reading,
        ["look__inspection__id", "look__inspection__on", "look__kind", "kind", "value"],
    ),
    (SelfCheck, ["system__lid_code", "on", "answer"]),
    (Defect, ["system__lid_code", "kind", "found_on", "mended_on"]),
    (Visit, ["site__address", "purpose", "state", "day", "slot_starts_at", "sequence"]),
    (Answer, ["visit__site__address", "word", "at", "by"]),
    (Due, ["system__lid_code", "kind", "what", "due_on", "governed_by", "flag"]),
    (Visit, ["site__address", "meant_for", "minutes", "skills_wanted", "technician__handle"]),
    (Round, ["technician__handle", "day", "break_starts_at"]),
    (CrewMember, ["account__handle", "base__name", "van__name"]),
    (WorkingHours, ["account__handle", "valid_from", "weekday", "starts", "ends"]),
    (Absence, ["account__handle", "from_at", "until_at", "because"]),
    (ClosedDay, ["first_on", "last_on", "name", "is_worked"]),
    (Plan, ["kind", "scope", "state", "what_if", "cost", "done"]),
    (Change, ["at", "subject", "action", "door"]),
]


def load(**options):
    """The homes with a story, as of that day."""
    call_command("load_demo", **{"small": True, "today": TODAY, "verbosity": 0} | options)


def digest():
    """One hash of everything that is told."""
    told = hashlib.sha256()
    for model, columns in TOLD:
        for row in sorted(map(repr, model.objects.values_list(*columns))):
            told.update(row.encode())
    return told.hexdigest()


def digest_of(**options):
    """Load, hash, and take it all back."""
    with transaction.atomic():
        load(**options)
        seen = digest()
        transaction.set_rollback(True)
    return seen


def test_the_same_number_and_day_give_the_same_facts():
    assert digest_of() == digest_of()


def test_loaded_in_the_morning_a_technician_is_held_up_and_the_next_promise_breaks():
    # Whoever came at 9:55, the last five minutes of a window, for 150 minutes of work is free at
    # 12:25; the promise that follows is to be begun by 12.
    now = wall.instant(TODAY, time(10, 30), ZONE)

    loading.load(seed=7, systems=70, today=TODAY, now=now)

    found = visits.rounds_of_day(askers.command(now, door="test"), TODAY).rounds
    late = next(one for one in found if one.technician.handle == "basil")
    first, second = late.visits[:2]
    assert first.state == State.AT_PIT
    assert first.arrived_at == wall.instant(TODAY, time(9, 55), ZONE)
    assert second.state == State.AGREED
    assert second.window_to == time(12)
    assert not late.is_kept
    assert late.crew.because == ""


def test_another_number_gives_other_people():
    with transaction.atomic():
        load(seed=7)
        first = set(Person.objects.values_list("name", flat=True))
        transaction.set_rollback(True)

    load(seed=8)

    assert set(Person.objects.values_list("name", flat=True)) != first


def test_a_database_that_holds_a_firm_is_refused_in_a_sentence():
    makers.make_firm()

    with pytest.raises(CommandError, match="holds a firm already"):
        load()

    assert not System.objects.exists()


def test_too_few_systems_for_the_stories_are_refused():
    with pytest.raises(CommandError, match="Ask for 40 systems or more"):
        load(small=False, systems=12)

    assert not Firm.objects.exists()
