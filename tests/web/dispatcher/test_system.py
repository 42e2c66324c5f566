"""Systems: found while the caller waits, read whole, changed part by part."""

import uuid
from datetime import date

import pytest

from drainservice.engine.units import FOOT_M
from drainservice.inspections.actions import check_as_built, record_inspection
from drainservice.inspections.models.record import InspectionRecord, LookRecord, ReadingRecord
from drainservice.register.actions import change_part
from drainservice.register.models import CheckValve, CurvePoint, Pit, Pump, System
from tests import makers
from tests.web.dispatcher.conftest import page, sign_in

pytestmark = pytest.mark.django_db


def measured(system, on=date(2027, 4, 1)):
    """A pump-down, a drain test and silt."""
    looks = (
        LookRecord(
            "pump",
            passed=True,
            readings=(
                ReadingRecord("pump_down_from_m", 2.0 * FOOT_M),
                ReadingRecord("pump_down_to_m", 1.0 * FOOT_M),
                ReadingRecord("pump_down_s", 100.0),
            ),
        ),
        LookRecord(
            "percolation",
            readings=(
                ReadingRecord("drain_from_m", 1.0),
                ReadingRecord("drain_to_m", 0.4),
                ReadingRecord("drain_s", 40_000.0),
            ),
        ),
        LookRecord("sediment", readings=(ReadingRecord("sediment_m", 0.05),)),
    )
    record = InspectionRecord(id=uuid.uuid4(), on=on, looks=looks, origin="office")
    return record_inspection(system, asker=makers.clock(), record=record)


def posted(answer, **changed):
    """The form on a page as a browser would send it, some values typed anew."""
    form = answer.context["form"]
    told = {name: form[name].value() for name in form.fields}
    return {name: "" if value is None else value for name, value in told.items()} | changed


@pytest.mark.parametrize("words", ["0137", "maple", "Greenlaw", "driveway"])
def test_a_caller_is_found_by_what_they_can_say(yard, desk, words):
    answer = desk.get("/systems", {"words": words})
    assert answer["Location"] == f"/systems/{yard.code}?found=1"


def test_a_lid_code_is_found_in_small_letters_without_its_dash(yard, desk):
    answer = desk.get("/systems", {"words": yard.lid_code.lower()})
    assert answer["Location"] == f"/systems/{yard.code}?found=1"


def test_nobody_found_says_what_to_try(yard, desk):
    assert "Nothing fits “Zzyzx”. Try fewer letters" in page(desk.get("/systems?words=Zzyzx"))


def test_a_word_that_no_database_takes_finds_nobody(yard, desk):
    assert desk.get("/systems", {"words": "\0"}).status_code == 200


def test_the_page_draws_the_section_and_says_how_each_value_is_known(yard, desk):
    words = page(desk.get(f"/systems/{yard.code}"))
    assert "Section of by the driveway, to scale" in words
    assert '<dt>depth below grade</dt><dd>4 ft <span class="soft small">measured</span>' in words
    assert "First of all:" in words
    assert "Juno Greenlaw" in words


def test_each_part_of_the_drawing_can_be_pressed(yard, desk):
    answer = desk.get(f"/systems/{yard.code}")
    words = page(answer)
    for call_out in answer.context["call_outs"]:
        assert f'id="part-{call_out.part}"' in words
        assert f'href="#part-{call_out.part}"' in words


def test_a_wrong_valve_is_drawn_wrong_and_said_in_words(yard, desk):
    valve = CheckValve.objects.get(pump__system=yard)
    change_part(valve, asker=makers.clock(), attitude="on_its_side")
    check_as_built(asker=makers.clock(), system_id=yard.pk)
    words = page(desk.get(f"/systems/{yard.code}"))
    assert "Check valve on its side" in words


def test_what_was_measured_is_drawn_as_trend_test_and_log(yard, desk):
    measured(yard)
    answer = desk.get(f"/systems/{yard.code}")
    words = page(answer)
    assert len(answer.context["trends"]) == 2
    assert "Flow against duty" in words
    assert "History of by the driveway, newest first" in words


def test_a_system_without_parts_says_so_and_offers_to_enter_them(yard, desk):
    bare = makers.make_system(yard.site, parts=False, place="by the shed")
    words = page(desk.get(f"/systems/{bare.code}"))
    assert "Not on record." in words
    assert f'href="/systems/{bare.code}/add/pit"' in words


def test_a_part_is_changed_in_the_firms_units(yard, desk):
    address = f"/systems/{yard.code}/pit/{yard.pit.pk}"
    told = posted(desk.get(address), depth_m="5 ft 6 in", depth_m_how="told")
    assert desk.post(address, told)["Location"].startswith(f"/systems/{yard.code}?done=saved")
    pit = Pit.objects.get(pk=yard.pit.pk)
    assert pit.depth_m == pytest.approx(5.5 * FOOT_M)
    assert pit.depth_m_how == "told"


def test_what_nobody_touched_keeps_its_last_digit(yard, desk):
    pump = yard.pumps.get()
    before = (pump.power_w, pump.on_level_m)
    address = f"/systems/{yard.code}/pump/{pump.pk}"
    desk.post(address, posted(desk.get(address), serial="A-17"))
    after = Pump.objects.get(pk=pump.pk)
    assert (after.power_w, after.on_level_m) == before
    assert after.serial == "A-17"


def test_an_emptied_value_is_not_known_any_more(yard, desk):
    address = f"/systems/{yard.code}/pit/{yard.pit.pk}"
    desk.post(address, posted(desk.get(address), void_ratio=""))
    pit = Pit.objects.get(pk=yard.pit.pk)
    assert (pit.void_ratio, pit.void_ratio_how) == (None, "unknown")


def test_a_length_nobody_can_read_is_refused_and_kept_in_its_field(yard, desk):
    address = f"/systems/{yard.code}/pit/{yard.pit.pk}"
    answer = desk.post(address, posted(desk.get(address), depth_m="about four"))
    assert answer.status_code == 422
    words = page(answer)
    assert "about four" in words
    assert "cannot be read here; write it like" in words


def test_a_depth_no_pit_has_is_refused_by_the_rule_of_the_record(yard, desk):
    address = f"/systems/{yard.code}/pit/{yard.pit.pk}"
    answer = desk.post(address, posted(desk.get(address), depth_m="90 ft"))
    assert answer.status_code == 422
    assert "That cannot be saved" in page(answer)
    assert Pit.objects.get(pk=yard.pit.pk).depth_m == pytest.approx(4 * FOOT_M)


def test_two_who_change_the_same_part_do_not_overwrite_each_other(yard, desk):
    address = f"/systems/{yard.code}/pit/{yard.pit.pk}"
    told = posted(desk.get(address), soil="silt loam")
    change_part(Pit.objects.get(pk=yard.pit.pk), asker=makers.clock(), soil="clay")
    answer = desk.post(address, told)
    assert "Someone changed this while you were looking at it." in page(answer)
    assert Pit.objects.get(pk=yard.pit.pk).soil == "clay"


def test_a_form_sent_twice_adds_one_downspout(yard, desk):
    address = f"/systems/{yard.code}/add/downspout"
    told = posted(desk.get(address), name="B", roof_area_m2="400")
    desk.post(address, told)
    desk.post(address, told)
    assert list(yard.downspouts.order_by("name").values_list("name", flat=True)) == ["A", "B"]


def test_a_pump_is_replaced_and_the_old_one_stays_in_history(yard, desk):
    old = yard.pumps.get()
    address = f"/systems/{yard.code}/pump/{old.pk}/replace"
    told = posted(desk.get(address), from_on="2027-05-10", power_w="0.5", curve="0 at 30\n40 at 15")
    answer = desk.post(address, told | {"because": "worn out"})
    assert "done=replaced" in answer["Location"]
    old.refresh_from_db()
    assert (old.until_on, old.until_because) == (date(2027, 5, 10), "worn out")
    new = yard.pumps.get(until_on__isnull=True)
    points = CurvePoint.objects.filter(pump=new).order_by("flow_m3s")
    assert [round(p.head_m / FOOT_M, 6) for p in points] == [30, 15]
    assert new.check_valves.get().attitude == "upright"


@pytest.mark.parametrize("part", ["pit", "system", "roof"])
def test_a_part_of_another_system_is_not_found(yard, desk, part):
    other = makers.make_system(makers.make_site("9 Alder Lane"))
    missing = desk.get(f"/systems/{yard.code}/{part}/999999")
    foreign = desk.get(f"/systems/{yard.code}/{part}/{other.pit.pk + 1000}")
    assert missing.status_code == foreign.status_code == 404
    assert missing.content == foreign.content


def test_advice_is_written_down_and_answered(yard, desk):
    desk.post(f"/systems/{yard.code}/advice", {"what": "A wye in place of the tee", "why": ""})
    row = yard.recommendations.get()
    desk.post(f"/systems/{yard.code}/advice", {"advice": row.pk, "answer": "declined"})
    row.refresh_from_db()
    assert row.answer == "declined"
    assert "They declined on 10 May 2027." in page(desk.get(f"/systems/{yard.code}"))


def test_a_system_dug_out_has_nothing_due(yard, desk):
    desk.post(f"/systems/{yard.code}/status", {"status": "dug_out"})
    assert System.objects.get(pk=yard.pk).status == "dug_out"
    assert "This system is dug out, so nothing is due here." in page(
        desk.get(f"/systems/{yard.code}")
    )


def test_a_technician_changes_no_part_from_the_office_pages(yard, desk):
    phone = sign_in("andrea")
    assert phone.get(f"/systems/{yard.code}/pit/{yard.pit.pk}").status_code == 403


def test_looking_changes_nothing(yard, desk, changes):
    before = changes()
    desk.get(f"/systems/{yard.code}")
    desk.get("/systems")
    assert changes() == before
