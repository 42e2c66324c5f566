"""Pieces of a line and a pump after they were entered: fittings, points, types of the catalogue."""

import pytest

from drainservice.engine.units import FOOT_M, GPM_M3S
from drainservice.register import queries
from drainservice.register.models import CurvePoint, Fitting, Section
from jobs.models import Job
from tests import makers
from tests.web.dispatcher.conftest import page
from tests.web.dispatcher.test_site_things import counting_waits
from tests.web.dispatcher.test_system import posted

pytestmark = pytest.mark.django_db


@pytest.fixture
def section(yard):
    """The first stretch of the line; nothing waits to be counted."""
    Job.objects.all().delete()
    return Section.objects.filter(line=yard.line).order_by("rank").first()


def test_fittings_are_shown_changed_and_counted_anew(desk, yard, section):
    address = f"/systems/{yard.code}/section/{section.pk}"
    told = posted(desk.get(address), fitting_elbow_90="4", fitting_union="1")
    desk.post(address, told)
    standing = Fitting.objects.standing().filter(section=section)
    kept = dict(standing.values_list("kind", "count"))
    assert (kept["elbow_90"], kept["union"]) == (4, 1)
    assert counting_waits(yard)
    assert "4 of 90 degree elbow" in page(desk.get(f"/systems/{yard.code}"))
    desk.post(address, posted(desk.get(address), fitting_elbow_90="", fitting_union="1"))
    whole = queries.whole(yard, day=makers.MONDAY.date())
    assert "elbow_90" not in {f.kind for s in whole.sections for f in s.fittings.all()}


def test_a_stretch_that_is_not_there_is_taken_off_and_may_be_put_back(desk, yard, section):
    answer = desk.post(f"/systems/{yard.code}/section/{section.pk}", {"act": "off"})
    assert counting_waits(yard)
    assert section not in queries.whole(yard, day=makers.MONDAY.date()).sections
    group = answer["Location"].partition("act=")[2].partition("#")[0]
    desk.post(f"/undo/{group}", {"back": "/"})
    assert section in queries.whole(yard, day=makers.MONDAY.date()).sections


def test_a_new_stretch_alone_lets_the_dates_be_counted_anew(desk, yard, section):
    address = f"/systems/{yard.code}/add/section"
    desk.post(address, posted(desk.get(address), rank="9", length_m="10 ft", diameter_m="2"))
    assert Section.objects.filter(line=yard.line, rank=9).exists()
    assert counting_waits(yard)


def test_points_of_a_curve_are_typed_in_the_firms_units(desk, yard):
    pump = yard.pumps.get()
    Job.objects.all().delete()
    address = f"/systems/{yard.code}/pump/{pump.pk}"
    desk.post(address, posted(desk.get(address), curve="20 at 20\n45 at 6"))
    points = CurvePoint.objects.standing().filter(pump=pump).order_by("flow_m3s")
    # 1 gpm = 231 in3/min and 1 ft = 0.3048 m, both exact (NIST SP 811).
    assert [(p.flow_m3s, p.head_m) for p in points] == [
        (pytest.approx(20 * GPM_M3S), pytest.approx(20 * FOOT_M)),
        (pytest.approx(45 * GPM_M3S), pytest.approx(6 * FOOT_M)),
    ]
    assert counting_waits(yard)


def test_a_curve_that_was_only_looked_at_keeps_every_digit(desk, yard):
    pump = yard.pumps.get()
    before = list(CurvePoint.objects.filter(pump=pump).values_list("pk", "flow_m3s", "version"))
    assert before
    address = f"/systems/{yard.code}/pump/{pump.pk}"
    told = posted(desk.get(address), note="Looked at.")
    told["curve"] = told["curve"].replace("\n", "\r\n")  # as a browser sends it
    desk.post(address, told)
    after = list(CurvePoint.objects.filter(pump=pump).values_list("pk", "flow_m3s", "version"))
    assert after == before


def test_a_point_that_cannot_be_read_is_refused_in_words(desk, yard):
    address = f"/systems/{yard.code}/pump/{yard.pumps.get().pk}"
    answer = desk.post(address, posted(desk.get(address), curve="much at little"))
    assert "write flow at head, as 25 at 18." in page(answer)


def test_a_pump_takes_its_type_out_of_the_catalogue(desk, yard):
    from drainservice.register import actions

    wanted = actions.enter_equipment_type(asker=makers.clock(), part="pump", name="Standby 1/3 hp")
    other = actions.enter_equipment_type(asker=makers.clock(), part="backup", name="Battery box")
    pump = yard.pumps.get()
    address = f"/systems/{yard.code}/pump/{pump.pk}"
    assert desk.post(address, posted(desk.get(address), type=str(other.pk))).status_code == 422
    desk.post(address, posted(desk.get(address), type=str(wanted.pk)))
    pump.refresh_from_db()
    assert pump.type == wanted
    assert "Standby 1/3 hp" in page(desk.get(f"/systems/{yard.code}"))
