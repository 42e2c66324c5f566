"""What is written to the register: judged first, dated, and told to whom it concerns."""

from datetime import date

import pytest
from django.db import IntegrityError, transaction

from drainservice.accounts.actions import ZoneRefused
from drainservice.accounts.history import RuleBroken
from drainservice.accounts.models import Change
from drainservice.register import actions, queries
from drainservice.register.actions import known
from drainservice.register.actions.shapes import ShapeRefused
from drainservice.register.models import CheckValve, Pump, Site, WetSeason
from jobs.models import Job, State
from tests import makers

pytestmark = pytest.mark.django_db
ON = date(2027, 5, 1)


def told_changed():
    """Systems whose checks and dates will follow."""
    return set(
        Job.objects.filter(kind="system.changed", state=State.WAITING).values_list(
            "details__system_id", flat=True
        )
    )


def all_done():
    Job.objects.all().delete()


@pytest.mark.parametrize("wrong", ["13-40", "02-30", "2-3", "10/15", "", "1\u0660-15"])
def test_what_is_no_day_of_the_year_is_refused_in_words_and_by_the_database(db, wrong):
    with pytest.raises(ShapeRefused, match="such as 10-15"):
        makers.make_jurisdiction(wet_seasons=[("10-15", wrong)])
    county = makers.make_jurisdiction()

    with pytest.raises(IntegrityError, match="day_of_the_year"), transaction.atomic():
        WetSeason.objects.create(jurisdiction=county, starts=wrong, ends="04-15")


def test_frost_on_a_day_that_is_none_is_refused(db):
    with pytest.raises(ShapeRefused, match="frost"):
        makers.make_jurisdiction(frost_from="11-31", frost_until="03-01")


@pytest.mark.parametrize(
    "wrong",
    [[], {"roof": 12}, {"pump": "12"}, {"pump": True}, {"pump": 0}, {"pump": 601}, {3: 12}],
    ids=str,
)
def test_a_rule_in_another_shape_is_refused_in_words(db, wrong):
    with pytest.raises(ShapeRefused):
        makers.make_jurisdiction(rule_months=wrong)


@pytest.mark.parametrize(
    "wrong",
    [
        {"rates_per_year": {"stuck": -1}},
        {"rates_per_year": {"stuck": float("nan")}},
        {"rates_per_year": ["stuck"]},
        {"reveals": {"bucket": 0.5}},
        {"reveals": {"bucket": {"stuck": 1.1}}},
    ],
    ids=str,
)
def test_a_type_with_rates_in_another_shape_is_refused_in_words(db, wrong):
    with pytest.raises(ShapeRefused):
        actions.enter_equipment_type(asker=makers.clock(), part="pump", name="Third", **wrong)


def test_a_site_in_no_zone_is_refused_in_words(home):
    with pytest.raises(ZoneRefused, match="America/Chicago"):
        makers.make_site("9 Islay Ct", zone="Nowhere")
    with pytest.raises(ZoneRefused):
        actions.change_site(home[2], asker=makers.clock(), zone="../etc")


def test_the_same_code_told_again_is_no_change(home):
    actions.change_site(home[2], asker=makers.clock(), codes="1234#")
    version, changes = home[2].version, Change.objects.count()

    actions.change_site(home[2], asker=makers.clock(), codes="1234#")

    assert (home[2].version, Change.objects.count()) == (version, changes)


def test_other_rules_and_a_tree_are_told_to_every_system_of_the_site(home):
    other = makers.make_system(home[2], place="behind the garage")
    ours = {home[3].pk, other.pk}
    all_done()
    actions.change_site(home[2], asker=makers.clock(), note="ring twice")
    assert told_changed() == set()

    strict = makers.make_jurisdiction(name="Lower Tarn", drain_limit_h=24)
    actions.change_site(home[2], asker=makers.clock(), jurisdiction=strict)
    assert told_changed() == ours
    all_done()

    actions.note_surrounding(home[2], asker=makers.clock(), kind="tree", distance_m=2)
    assert told_changed() == ours


def test_a_main_that_changes_is_told_to_every_system_whose_line_joins_it(home):
    main = actions.enter_main(
        asker=makers.clock(), sites=[home[2]], name="lane", **known("drawn", slope=0.01)
    )
    joined = known("drawn", end="shared_main", joint="wye")
    actions.change_part(home[3].line, asker=makers.clock(), main=main, **joined)
    all_done()

    actions.change_part(main, asker=makers.clock(), **known("measured", slope=0.02))

    assert told_changed() == {home[3].pk}


def test_points_and_fittings_are_changed_like_other_parts(home):
    pump = home[3].pumps.get()
    section = home[3].line.sections.first()
    all_done()

    actions.change_part(pump.curve_points.first(), asker=makers.clock(), head_m=7.0)
    actions.change_part(section.fittings.first(), asker=makers.clock(), count=3)

    assert told_changed() == {home[3].pk}


def test_the_check_valve_moves_to_the_new_pump_as_it_was(home):
    old = home[3].pumps.get()

    new = actions.replace_pump(
        old, asker=makers.clock(), on=ON, because="worn", curve=[(0.0, 7.0), (0.002, 3.0)]
    )

    before, after = CheckValve.objects.get(pump=old), CheckValve.objects.get(pump=new)
    assert (before.until_on, after.from_on, after.until_on) == (ON, ON, None)
    assert (after.attitude, after.weep_hole_m) == (before.attitude, before.weep_hole_m)


def test_a_day_shows_the_pump_that_was_there_on_it(home):
    old = home[3].pumps.get()
    new = actions.replace_pump(
        old, asker=makers.clock(), on=ON, because="worn", curve=[(0.0, 7.0), (0.002, 3.0)]
    )

    def there(day):
        whole = queries.whole(home[3], day=day)
        return whole.pumps, [valve.pump_id for valve in whole.valves.values()]

    assert there(date(2027, 4, 30)) == ([old], [old.pk])
    assert there(ON) == ([new], [new.pk])
    assert there(date(2021, 5, 31)) == ([], [])


def test_a_pump_taken_out_before_it_came_is_refused_and_nothing_is_changed(home):
    old = home[3].pumps.get()

    with pytest.raises(RuleBroken, match="until on not before from on"):
        actions.replace_pump(
            old, asker=makers.clock(), on=date(2020, 1, 1), because="worn", curve=[]
        )

    assert Pump.objects.get(system=home[3]).until_on is None
    assert old.until_on is None


def test_a_person_plays_a_part_again_after_it_ended(home):
    part = home[0].parts.get(part="lives")
    actions.end_part(part, asker=makers.clock(), ends_on=ON)

    again = actions.give_part(
        home[0], home[2], asker=makers.clock(), part="lives", starts_on=date(2027, 5, 20)
    )

    assert again.pk != part.pk
    assert home[0].parts.filter(part="lives").count() == 2


def test_those_who_are_asked_are_those_of_the_day(home):
    actions.end_part(home[0].parts.get(part="lives"), asker=makers.clock(), ends_on=ON)
    actions.end_part(home[0].parts.get(part="decides"), asker=makers.clock(), ends_on=ON)
    actions.end_part(home[0].parts.get(part="access"), asker=makers.clock(), ends_on=ON)

    assert queries.people_asked(home[2], ON) == [home[0]]
    assert queries.people_asked(home[2], date(2027, 5, 2)) == []


def test_a_site_has_both_coordinates_or_none(home):
    with pytest.raises(RuleBroken, match="both coordinates"):
        actions.change_site(home[2], asker=makers.clock(), latitude=None)

    assert Site.objects.get(pk=home[2].pk).latitude == home[2].latitude == 47.25
