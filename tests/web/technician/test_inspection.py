"""The inspection page: one tap a look, the sum at once, stored once however often it is sent."""

import io
import uuid

import pytest
from PIL import Image

from drainservice.engine.units import FOOT_M, INCH_M
from drainservice.inspections.models import Inspection, Look, Reading
from drainservice.register import actions as register
from drainservice.register.models import Photo
from drainservice.visits.models import State, Visit
from tests import makers

pytestmark = pytest.mark.django_db

ALL_WELL = {
    "lid.what": "sound",
    "sediment.what": "measured",
    "sediment.sediment_m": "2",
    "pump1.what": "ran",
    "valve.what": "tight",
}


def address(system):
    return f"/pits/{system.code}/inspection"


def sent(visit, **more):
    hidden = {
        "id": str(uuid.uuid4()),
        "begun_at": makers.MONDAY.isoformat(),
        "visit": str(visit.pk),
        "do": "close",
    }
    return hidden | ALL_WELL | {name.replace("__", "."): value for name, value in more.items()}


def photo_file(name="lid.jpg"):
    out = io.BytesIO()
    Image.new("RGB", (40, 30), "red").save(out, "JPEG")
    out.seek(0)
    out.name = name
    return out


def test_asks_for_the_looks_the_visit_was_sent_for_and_offers_the_others(phone, visit, home):
    page = phone.get(address(home[3])).content.decode()

    wanted, _, others = page.partition("Other looks you did")
    assert "<legend>Pump test</legend>" in wanted
    assert "<legend>Drain test</legend>" not in wanted
    assert "<legend>Drain test</legend>" in others


def test_asks_rim_to_outlet(phone, site, home, make_visit):
    make_visit(site, {home[3]: ["line", "pump", "lid", "sediment"]})

    page = phone.get(address(home[3])).content.decode()

    places = [page.index(f"<legend>{t}</legend>") for t in ("Lid", "Silt", "Pump test")]
    assert places == sorted(places)
    assert places[-1] < page.index("<legend>Line and outlet</legend>")


def test_looking_stores_nothing(phone, visit, home):
    phone.get(address(home[3]))

    assert not Inspection.objects.exists()


def test_nothing_wrong_is_recorded_with_one_choice_a_look(phone, visit, home):
    # Five choices (one with a number that a phone steps) and the closing button: at most 9 taps.
    answer = phone.post(address(home[3]), sent(visit))

    stored = Inspection.objects.get()
    assert answer["Location"] == f"/pits/{home[3].code}/inspections/{stored.pk}"
    assert stored.closed_at == makers.MONDAY
    assert {look.kind: look.outcome for look in stored.looks.all()} == {
        "lid": "done",
        "sediment": "done",
        "pump": "done",
        "valve": "done",
    }
    assert Look.objects.get(kind="pump").passed is True


def test_readings_are_kept_in_si(phone, visit, home):
    phone.post(
        address(home[3]),
        sent(
            visit,
            pump1__pump_down_from_m="2 ft 1 in",
            pump1__pump_down_to_m="1 ft",
            pump1__pump_down_s="1:40",
        ),
    )

    read = dict(Reading.objects.values_list("kind", "value"))
    assert read["sediment_m"] == pytest.approx(2 * INCH_M)
    assert read["pump_down_from_m"] == pytest.approx(25 * INCH_M)
    assert read["pump_down_s"] == 100.0
    assert read["rise_after_stop_m"] == 0.0  # what the tap "no rise" says by itself


def test_sent_twice_is_stored_once(phone, visit, home):
    body = sent(visit)

    first = phone.post(address(home[3]), body)
    second = phone.post(address(home[3]), body)

    assert first["Location"] == second["Location"]
    assert Inspection.objects.count() == 1


def test_the_same_number_with_other_words_is_refused_and_kept_on_the_page(phone, visit, home):
    body = sent(visit)
    phone.post(address(home[3]), body)

    answer = phone.post(address(home[3]), body | {"note": "something else"})

    assert answer.status_code == 409
    assert "something else" in answer.content.decode()
    assert Inspection.objects.get().note == ""


def test_a_wanted_look_without_a_word_is_asked_for(phone, visit, home):
    answer = phone.post(address(home[3]), sent(visit, valve__what=""))

    page = answer.content.decode()
    assert answer.status_code == 422
    assert '<a href="#look-valve">Check valve</a>: Say what you saw' in page
    assert 'value="sound" checked' in page  # what was tapped stays
    assert not Inspection.objects.exists()


def test_a_number_that_cannot_be_is_refused_with_its_range_and_kept(phone, visit, home):
    answer = phone.post(address(home[3]), sent(visit, sediment__sediment_m="900 in"))

    page = answer.content.decode()
    assert answer.status_code == 422
    assert "900 in" in page
    assert "lies between 0 in and 118 in" in page  # 3 m


def test_half_a_pump_down_says_which_numbers_are_missing(phone, visit, home):
    answer = phone.post(address(home[3]), sent(visit, pump1__pump_down_s="22"))

    assert answer.status_code == 422
    assert "Three numbers belong together" in answer.content.decode()


def test_could_not_be_done_needs_its_why(phone, visit, home):
    answer = phone.post(address(home[3]), sent(visit, pump1__what="not_done"))

    assert answer.status_code == 422
    assert "Say why it could not be done." in answer.content.decode()


def test_what_could_not_be_done_is_stored_with_its_why_and_without_readings(phone, visit, home):
    phone.post(
        address(home[3]),
        sent(visit, sediment__what="not_done", sediment__why_not="lid_covered"),
    )

    look = Look.objects.get(kind="sediment")
    assert (look.outcome, look.why_not) == ("not_done", "lid_covered")
    assert not look.readings.exists()


def test_works_the_sum_out_on_the_spot_and_stores_nothing(phone, visit, home):
    body = sent(
        visit,
        pump1__pump_down_from_m="2 ft",
        pump1__pump_down_to_m="1 ft",
        pump1__pump_down_s="100",
    ) | {"do": "sum:pump1"}

    page = phone.post(address(home[3]), body).content.decode()

    # 8.3 ft2 (as poured) x 1 ft = 8.3 ft3 = 62.1 gal in 100 s = 37.3 gpm, no inflow read.
    assert "37.3 gpm left the pit" in page
    assert 'value="100"' in page
    assert not Inspection.objects.exists()


def test_the_sum_alone_answers_the_pages_script(phone, visit, home):
    body = sent(visit) | {"do": "sum:sediment"}

    part = phone.post(address(home[3]), body, headers={"X-Part": "sum"}).content.decode()

    # Half of a 12 in sump is the limit that binds here, 6 in below the lowest inlet.
    assert "There are 2 in of silt; the sump is cleaned out above 6 in" in part
    assert "<html" not in part


def test_a_pit_on_a_shared_main_is_asked_whether_the_main_comes_back(phone, visit, home):
    alone = phone.get(address(home[3])).content.decode()
    main = register.enter_main(asker=makers.clock(), sites=[home[2]], name="the lane")
    register.change_part(home[3].line, asker=makers.clock(), main=main, end="shared_main")
    body = sent(
        visit,
        valve__rise_other_runs_m="2",
        valve__rise_other_runs_s="120",
        valve__rise_all_rest_m="0",
        valve__rise_all_rest_s="120",
    ) | {"do": "sum:valve"}

    part = phone.post(address(home[3]), body, headers={"X-Part": "sum"}).content.decode()

    # 8.3 ft2 x 2 in = 10.3 gal in 2 min.
    assert "Rise while another pump on the main runs" not in alone
    assert (
        "Rise while another pump on the main runs" in phone.get(address(home[3])).content.decode()
    )
    assert "5.2 gpm more ran into this pit than at rest" in part
    assert "The main runs back through this pit" in part


def test_the_visit_is_made_when_every_system_has_its_inspection(phone, visit, home):
    first, second = home[3], visit.systems.exclude(pk=home[3].pk).get()

    phone.post(address(first), sent(visit))
    assert Visit.objects.get(pk=visit.pk).state == State.AGREED
    phone.post(address(second), sent(visit))

    assert Visit.objects.get(pk=visit.pk).state == State.MADE


def test_the_visit_of_another_site_is_not_found(phone, visit, home, make_visit):
    other = makers.make_site("27 Alder Court")
    elsewhere = make_visit(other, {makers.make_system(other): ["lid"]}, window=(13, 15))

    assert phone.post(address(home[3]), sent(elsewhere)).status_code == 404


def test_a_photo_comes_with_the_record_and_can_be_seen(phone, visit, home):
    body = sent(visit) | {"photo": photo_file(), "of_what": "the lid"}

    phone.post(address(home[3]), body)

    photo = Photo.objects.get()
    assert list(Inspection.objects.get().photos.all()) == [photo]
    answer = phone.get(f"/photos/{photo.pk}")
    assert answer["Content-Type"] == "image/jpeg"
    assert "sandbox" in answer["Content-Security-Policy"]
    assert answer.content[:2] == b"\xff\xd8"


def test_a_file_that_is_no_photo_leaves_the_record_stored(phone, visit, home):
    bad = io.BytesIO(b"<svg onload=alert(1)>")
    bad.name = "lid.jpg"

    answer = phone.post(address(home[3]), sent(visit) | {"photo": bad})

    assert answer.status_code == 409
    assert "The record is stored. This file is no photo" in answer.content.decode()
    assert Inspection.objects.count() == 1


def test_a_photo_can_follow_its_record(phone, visit, home):
    done = phone.post(address(home[3]), sent(visit))["Location"]

    phone.post(done, {"photo_id": str(uuid.uuid4()), "photo": photo_file(), "of_what": "silt"})

    assert [photo.of_what for photo in Inspection.objects.get().photos.all()] == ["silt"]


def test_findings_and_what_was_mended_are_handed_on(phone, visit, home, monkeypatch):
    from drainservice.visits.actions import record as at_visit

    handed = []
    real = at_visit.record_inspection
    monkeypatch.setattr(
        at_visit,
        "record_inspection",
        lambda system, **told: handed.append(told["record"]) or real(system, **told),
    )

    phone.post(
        address(home[3]),
        sent(visit, lid__what="broken", found1__kind="float_sticks", found1__note="on the cord")
        | {"mended.no_weep_hole": "1"},
    )

    found = [(d.kind, d.part, d.note) for d in handed[0].defects_found]
    assert found == [
        ("lid_not_child_safe", "access_point", ""),
        ("float_sticks", "pump", "on the cord"),
    ]
    assert handed[0].kinds_mended == ("no_weep_hole",)


def test_two_pumps_are_tested_one_by_one(phone, site, make_visit):
    system = makers.make_system(site)
    from drainservice.register.actions import add_pump, known

    add_pump(
        system,
        asker=makers.clock(),
        curve=[],
        position=2,
        **known("told", on_level_m=2.2 * FOOT_M, off_level_m=1.2 * FOOT_M),
    )
    visit = make_visit(site, {system: ["pump"]})

    phone.post(
        address(system),
        {
            "id": str(uuid.uuid4()),
            "begun_at": makers.MONDAY.isoformat(),
            "visit": visit.pk,
            "do": "close",
            "pump1.what": "ran",
            "pump2.what": "did_not_start",
        },
    )

    tested = {look.pump.position: look.passed for look in Look.objects.filter(kind="pump")}
    assert tested == {1: True, 2: False}


def test_an_inspection_of_a_foreign_system_looks_like_a_missing_one(phone, home):
    foreign = phone.get(address(home[3]))
    missing = phone.get("/pits/ZZZ-ZZZ/inspection")

    assert foreign.status_code == missing.status_code == 404
    assert foreign.content == missing.content


def test_a_page_opened_on_an_earlier_day_asks_which_day_it_tells_of(phone, visit, home):
    body = sent(visit) | {"begun_at": makers.later(days=-2).isoformat()}

    asked = phone.post(address(home[3]), body)
    phone.post(address(home[3]), body | {"on": "2027-05-10"})

    assert asked.status_code == 422
    assert "You opened this page on 8 May." in asked.content.decode()
    assert 'name="on"' in asked.content.decode()
    assert Inspection.objects.get().on == makers.MONDAY.date()


def test_a_day_that_has_not_come_is_refused_in_words(phone, visit, home):
    answer = phone.post(address(home[3]), sent(visit, on="2027-05-11"))

    assert answer.status_code == 409
    assert "lies ahead" in answer.content.decode()
    assert not Inspection.objects.exists()


def test_a_correction_is_a_new_one_that_names_the_old(phone, visit, home):
    phone.post(address(home[3]), sent(visit))
    old = Inspection.objects.get()

    page = phone.get(f"{address(home[3])}?corrects={old.pk}").content.decode()
    phone.post(
        address(home[3]),
        sent(visit, valve__what="rose", valve__rise_after_stop_m="3") | {"corrects": str(old.pk)},
    )

    assert "stands in place of what was recorded on Mon 10 May" in page
    new = Inspection.objects.exclude(pk=old.pk).get()
    assert new.corrects == old
    assert new.looks.get(kind="valve").readings.get().value == pytest.approx(3 * INCH_M)


def test_an_inspection_of_another_system_cannot_be_corrected_here(phone, visit, home):
    second = visit.systems.exclude(pk=home[3].pk).get()
    phone.post(address(second), sent(visit))
    other = Inspection.objects.get()

    assert phone.get(f"{address(home[3])}?corrects={other.pk}").status_code == 404
    assert phone.get(f"{address(home[3])}?corrects=no-number").status_code == 404


def test_a_finding_that_no_database_can_store_is_refused_in_words(phone, visit, home):
    answer = phone.post(address(home[3]), sent(visit, found1__note="a\0b"))

    assert answer.status_code == 422
    assert "cannot be stored; type it anew" in answer.content.decode()
    assert not Inspection.objects.exists()


def test_the_page_stays_small(phone, visit, home):
    content = phone.get(address(home[3])).content

    assert len(content) < 40_000
