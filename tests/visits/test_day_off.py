"""A whole day called off: each household hears of it once, and every visit comes back."""

from datetime import date, timedelta

import pytest

from drainservice.accounts import history
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import CannotBeDone
from drainservice.visits.actions.day_off import NothingToCallOff, call_off_day
from drainservice.visits.models import Round, State, Visit, VisitSystem
from jobs.models import Job
from tests import makers
from tests.visits.busy_week import TUESDAY, WEDNESDAY, booked, crew, planned, site

pytestmark = pytest.mark.django_db


@pytest.fixture
def tuesday():
    """Andrea: agreed, offered, held; Basil: agreed, and one planned without a word to anybody."""
    andrea, basil = crew()
    visits = {
        "agreed": booked(site(1), andrea, TUESDAY, 8, likes=["morning"], is_digging=False),
        "offered": booked(site(2), andrea, TUESDAY, 10, state=State.OFFERED),
        "held": booked(site(3), andrea, TUESDAY, 13),
        "basil": booked(site(4), basil, TUESDAY, 8, wanted_by=date(2027, 5, 14)),
        "untold": booked(site(5), basil, TUESDAY, 13),
        "other_day": booked(site(6), basil, WEDNESDAY, 8),
    }
    held, untold = visits["held"], visits["untold"]
    Visit.objects.filter(pk=held.pk).update(state=State.HELD, held_until=makers.later(minutes=10))
    Visit.objects.filter(pk=untold.pk).update(state=State.PLANNED)
    return visits


def call_off(asker=None, **more):
    asker = asker or makers.clock()
    return call_off_day(TUESDAY, asker=asker, by="the firm", because="a storm", **more)


def test_whoever_was_told_hears_of_it_once(tuesday):
    call_off()

    told = Job.objects.filter(kind="visit.called_off").values_list("details__visit_id", flat=True)
    assert sorted(told) == sorted(tuesday[name].pk for name in ("agreed", "offered", "basil"))


def test_each_visit_comes_back_as_a_planned_one(tuesday):
    left = call_off()

    states = {name: Visit.objects.get(pk=visit.pk).state for name, visit in tuesday.items()}
    assert states == {
        "agreed": State.CALLED_OFF,
        "offered": State.CALLED_OFF,
        "basil": State.CALLED_OFF,
        "held": State.PLANNED,
        "untold": State.PLANNED,
        "other_day": State.AGREED,
    }
    assert len(left.to_rebook) == 5
    again = Visit.objects.filter(state=State.PLANNED, slot_starts_at__isnull=True)
    assert {visit.pk for visit in again} == {visit.pk for visit in left.to_rebook}
    assert {visit.site_id for visit in again} == {
        tuesday[name].site_id for name in ("agreed", "offered", "held", "basil", "untold")
    }


def test_what_comes_back_wants_what_was_wanted_and_soon(tuesday):
    where = tuesday["agreed"].site
    system = makers.make_system(where)
    VisitSystem.objects.create(visit=tuesday["agreed"], system=system, looks_wanted=["pump", "lid"])

    call_off()

    again = Visit.objects.get(site=where, state=State.PLANNED)
    assert (again.purpose, again.minutes, again.likes) == ("look", 45, ["morning"])
    assert (again.meant_for, again.wanted_by) == (TUESDAY, TUESDAY + timedelta(days=14))
    assert again.visit_systems.get().looks_wanted == ["pump", "lid"]
    basil = Visit.objects.get(site=tuesday["basil"].site, state=State.PLANNED)
    assert basil.wanted_by == date(2027, 5, 14)


def test_only_some_technicians_days_are_called_off(tuesday):
    left = call_off(technicians=[tuesday["basil"].technician])

    assert [visit.pk for visit in left.called_off] == [tuesday["basil"].pk]
    assert Visit.objects.get(pk=tuesday["agreed"].pk).state == State.AGREED


def test_whoever_is_on_the_way_goes_on(tuesday):
    agreed = tuesday["agreed"]
    Visit.objects.filter(pk=agreed.pk).update(set_out_at=makers.later(days=1))

    call_off()

    assert Visit.objects.get(pk=agreed.pk).state == State.AGREED


def test_rounds_that_were_read_before_are_out_of_date(tuesday):
    andrea = tuesday["agreed"].technician
    Round.objects.create(technician=andrea, day=TUESDAY, version=7)

    call_off()

    assert Round.objects.get(technician=andrea, day=TUESDAY).version == 8


def test_undoing_it_puts_everything_back(tuesday):
    asker = makers.clock().acting(group="storm")
    before = list(Visit.objects.order_by("pk").values("pk", "state", "slot_starts_at", "meant_for"))

    call_off(asker)
    history.undo("storm", asker=makers.clock())

    standing = Visit.objects.standing().order_by("pk")
    after = list(standing.values("pk", "state", "slot_starts_at", "meant_for"))
    assert after == before
    assert accounts.rows_of_act("storm", "visits.visit")


def test_a_day_without_visits_is_refused(tuesday):
    with pytest.raises(NothingToCallOff, match="there is none"):
        call_off_day(date(2027, 5, 13), asker=makers.clock(), by="the firm", because="a storm")


def test_a_day_that_is_over_is_refused(tuesday):
    with pytest.raises(NothingToCallOff, match="today or a day to come"):
        call_off_day(date(2027, 5, 9), asker=makers.clock(), by="the firm", because="a storm")


def test_it_asks_why(tuesday):
    with pytest.raises(CannotBeDone, match="Say why"):
        call_off_day(TUESDAY, asker=makers.clock(), by="the firm", because=" ")


def test_a_visit_more_costs_only_what_writing_it_does(django_assert_max_num_queries):
    # Each row is written and recorded by itself; what is read stays the same for any number.
    crew()
    for number in range(6):
        visit = planned(site(20 + number))
        Visit.objects.filter(pk=visit.pk).update(day=TUESDAY)

    with django_assert_max_num_queries(6 * 8 + 12):
        left = call_off()

    assert len(left.unbooked) == 6
