"""Races for one round, on either database: nobody is booked twice, nobody fails in silence."""

import itertools
import threading
import uuid
from datetime import date, time
from importlib import import_module

import pytest
from django.db import connection, connections

from drainservice.accounts.asker import CannotBeDone
from drainservice.accounts.history import ChangedMeanwhile
from drainservice.accounts.models import Account
from drainservice.visits import actions
from drainservice.visits.actions import rounds
from drainservice.visits.models import HomeBase, Round, State, Visit
from drainservice.visits.queries import Window
from drainservice.visits.queries import room as rooms
from tests import makers

pytestmark = pytest.mark.django_db(transaction=True)
TUESDAY = date(2027, 5, 11)
MORNING = Window(TUESDAY, time(8), time(10))
TRIES = 8
RULE = import_module("drainservice.visits.migrations.0002_never_two_at_once")


@pytest.fixture
def andrea():
    account = makers.make_account()
    HomeBase.objects.create(name="the yard", latitude=47.25, longitude=-122.44)
    return account


def meant(number, minutes=121):
    """Of two such visits the second would start at 10:01 at the earliest: the window takes one."""
    return actions.plan_visit(
        makers.make_site(f"{number} Reed Ln"),
        asker=makers.clock(),
        purpose="look",
        systems={},
        meant_for=None,
        minutes=minutes,
    )


def at_once(*acts):
    """Each act in a thread of its own, begun together; answers what each returned or raised."""
    begin = threading.Barrier(len(acts))
    outcomes = [None] * len(acts)

    def run(number, act):
        try:
            begin.wait()
            outcomes[number] = act() or "done"
        except Exception as refusal:
            outcomes[number] = refusal
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=one) for one in enumerate(acts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return outcomes


def holding(pk, who, to=MORNING):
    """A dispatcher who holds a time for a caller."""

    def hold():
        visit = Visit.objects.get(pk=pk)
        technician = Account.objects.get(pk=who.pk)
        actions.hold_visit(visit, to=to, technician=technician, asker=makers.clock())

    return hold


def overlaps():
    """Pairs of visits of one technician that overlap."""
    rows = list(
        Visit.objects.filter(slot_starts_at__isnull=False, state__in=["offered", "held", "agreed"])
        .order_by("technician", "slot_starts_at")
        .values_list("technician", "slot_starts_at", "slot_ends_at")
    )
    return [(a, b) for a, b in itertools.pairwise(rows) if a[0] == b[0] and b[1] < a[2]]


def race_for_the_morning(andrea):
    visits = [meant(number).pk for number in range(TRIES)]
    return at_once(*(holding(pk, andrea) for pk in visits))


def check_one_has_it(outcomes):
    assert outcomes.count("done") == Visit.objects.filter(state=State.HELD).count() == 1
    refused = [one for one in outcomes if one != "done"]
    # Each is told in words, none of them by a fault of the database.
    assert all(isinstance(one, actions.NoTimeFree) for one in refused), refused
    assert overlaps() == []


def test_of_many_dispatchers_one_has_the_time_and_the_others_are_told(andrea):
    check_one_has_it(race_for_the_morning(andrea))

    # Who held it raised the version, once; who came too late raised nothing.
    assert Round.objects.get(technician=andrea, day=TUESDAY).version == 2


def test_without_the_version_the_databases_own_rule_still_refuses(andrea, monkeypatch):
    monkeypatch.setattr(rounds, "take_version", lambda *_, **__: True)

    outcomes = race_for_the_morning(andrea)

    assert outcomes.count("done") >= 1
    refused = [one for one in outcomes if one != "done"]
    assert all(isinstance(one, CannotBeDone) for one in refused), refused
    assert overlaps() == []


def test_without_the_databases_rule_the_version_still_refuses(andrea):
    with connection.cursor() as cursor:
        for statement in RULE.UNDO[connection.vendor]:
            cursor.execute(statement)
    try:
        check_one_has_it(race_for_the_morning(andrea))
    finally:
        made = RULE.SQLITE if connection.vendor == "sqlite" else RULE.POSTGRES
        with connection.cursor() as cursor:
            for statement in made:
                cursor.execute(statement)


def test_a_round_that_changed_meanwhile_is_read_again_once(andrea, monkeypatch):
    visit, calls, plain = meant(1), [], rooms.room_for

    def room_and_an_adoption(*args, **kwargs):
        room = plain(*args, **kwargs)
        if not calls:
            rounds.raise_versions([(andrea.pk, TUESDAY)])
        calls.append(room.version)
        return room

    monkeypatch.setattr(rooms, "room_for", room_and_an_adoption)
    actions.hold_visit(visit, to=MORNING, technician=andrea, asker=makers.clock())

    assert len(calls) == 2
    assert Visit.objects.get(pk=visit.pk).state == State.HELD


def test_a_round_that_keeps_changing_is_given_up_in_words_and_nothing_is_written(
    andrea, monkeypatch
):
    visit, plain = meant(1), rooms.room_for

    def room_and_an_adoption(*args, **kwargs):
        room = plain(*args, **kwargs)
        rounds.raise_versions([(andrea.pk, TUESDAY)])
        return room

    monkeypatch.setattr(rooms, "room_for", room_and_an_adoption)
    with pytest.raises(actions.NoTimeFree, match="a moment ago"):
        actions.hold_visit(visit, to=MORNING, technician=andrea, asker=makers.clock())

    assert (visit.state, visit.technician, visit.version) == (State.PLANNED, None, 1)
    assert Visit.objects.get(pk=visit.pk).state == State.PLANNED


def test_an_adoption_sees_that_a_hold_came_first(andrea):
    actions.hold_visit(meant(1), to=MORNING, technician=andrea, asker=makers.clock())

    # It was asked on the round as it was before anybody was there: version 0 or 1.
    assert not rounds.take_version(andrea.pk, TUESDAY, 0)
    assert not rounds.take_version(andrea.pk, TUESDAY, 1)


@pytest.mark.parametrize("turn", range(3))
def test_a_yes_wins_over_a_hold_that_ends_while_the_place_is_free(andrea, turn):
    visit = meant(1)
    actions.hold_visit(visit, to=MORNING, technician=andrea, asker=makers.clock())
    late = makers.clock(makers.later(minutes=10))

    def sweep():
        actions.let_hold_go(Visit.objects.get(pk=visit.pk), asker=late)

    def say_yes():
        kept = MORNING, Account.objects.get(pk=andrea.pk)
        actions.agree_visit(Visit.objects.get(pk=visit.pk), asker=late, kept=kept)

    swept, said = at_once(sweep, say_yes)

    assert said == "done", said
    # The sweep either came first, or finds the visit changed and tries again later.
    assert swept == "done" or isinstance(swept, ChangedMeanwhile)
    assert Visit.objects.get(pk=visit.pk).state == State.AGREED


def test_visits_that_change_places_do_not_wait_for_each_other_for_ever(andrea):
    ben = makers.make_account("ben")
    first, second = meant(1, minutes=45), meant(2, minutes=45)
    actions.offer_visit(first, to=MORNING, technician=andrea, asker=makers.clock())
    actions.offer_visit(second, to=MORNING, technician=ben, asker=makers.clock())
    afternoon = Window(TUESDAY, time(13), time(15))

    def moving(pk, who):
        def move():
            for n in range(4):
                actions.move_visit(
                    Visit.objects.get(pk=pk),
                    to=afternoon if n % 2 else MORNING,
                    technician=Account.objects.get(pk=who[n % 2].pk),
                    asker=makers.clock(),
                )

        return move

    outcomes = at_once(moving(first.pk, (ben, andrea)), moving(second.pk, (andrea, ben)))

    told = [one for one in outcomes if one != "done"]
    assert all(isinstance(one, CannotBeDone) for one in told), told
    assert overlaps() == []


def test_the_same_press_twice_at_once_holds_one_visit(andrea):
    token, visits = uuid.uuid4(), [meant(1, 45).pk, meant(2, 45).pk]

    def press(pk):
        def hold():
            actions.hold_visit(
                Visit.objects.get(pk=pk),
                to=MORNING,
                technician=Account.objects.get(pk=andrea.pk),
                asker=makers.clock(),
                token=token,
            )

        return hold

    outcomes = at_once(*(press(pk) for pk in visits))

    # The second finds the first one's hold, or is refused by the mark's own rule.
    assert Visit.objects.filter(state=State.HELD).count() == 1
    assert all(one == "done" or isinstance(one, CannotBeDone) for one in outcomes), outcomes
