"""Under the lid: how to find it, what is there, what was odd."""

import pytest

from drainservice.accounts.models import Change
from drainservice.engine.units import FOOT_M
from drainservice.inspections.actions import check_as_built
from drainservice.register.actions import change_part, known
from tests import makers

pytestmark = pytest.mark.django_db


def test_tells_the_distances_from_two_corners(phone, visit, home):
    change_part(
        home[3].access_point,
        asker=makers.clock(),
        corner_a="the kitchen corner",
        corner_b="the garage corner",
        **known("measured", corner_a_m=12.5 * FOOT_M, corner_b_m=20 * FOOT_M),
    )

    page = phone.get(f"/pits/{home[3].code}").content.decode()

    assert "<strong>12 ft 6 in</strong> from the kitchen corner" in page
    assert "<strong>20 ft</strong> from the garage corner" in page


def test_draws_the_section_for_a_phone_and_lists_its_parts(phone, visit, home):
    page = phone.get(f"/pits/{home[3].code}").content.decode()

    assert "Section of by the driveway, to scale" in page
    assert 'id="part-pump"' in page


def test_says_what_is_wrong_first_and_in_words(phone, site, make_visit):
    odd = makers.make_system(site, place="behind the shed", parts=False)
    makers.add_parts(odd, valve=known("drawn", attitude="on_its_side"))
    check_as_built(asker=makers.clock(), system_id=odd.pk)
    make_visit(site, {odd: ["lid"]})

    page = phone.get(f"/pits/{odd.code}").content.decode()

    assert "1 thing is wrong here." in page
    assert 'id="part-valve" value="1"' in page


def test_shows_the_cautions(phone, visit, home):
    page = phone.get(f"/pits/{home[3].code}").content.decode()

    assert "Unplug before reaching in." in page
    assert "Never enter a pit" in page


def test_a_system_of_which_nothing_is_known_still_has_its_page(phone, site, make_visit):
    bare = makers.make_system(site, parts=False)
    make_visit(site, {bare: ["first_look"]})

    answer = phone.get(f"/pits/{bare.code}")

    assert answer.status_code == 200
    assert "not on record" in answer.content.decode()


def test_a_pit_of_nobodys_visit_looks_like_one_that_is_not_there(phone, home):
    foreign = phone.get(f"/pits/{home[3].code}")
    missing = phone.get("/pits/ZZZ-ZZZ")

    assert foreign.status_code == missing.status_code == 404
    assert foreign.content == missing.content


def test_looking_writes_nothing(phone, visit, home):
    before = Change.objects.count()

    phone.get(f"/pits/{home[3].code}")

    assert Change.objects.count() == before
