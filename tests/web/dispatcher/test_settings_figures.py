"""The catalogue's own figures of a pump, and how a place counts its hours, for the owner."""

import pytest

from drainservice.accounts.links import HouseholdLink, write_link
from drainservice.accounts.models import Firm
from drainservice.engine.failure_mode import FailureMode
from drainservice.engine.reliability.rates import NOMINAL
from drainservice.inspections.models import Due
from drainservice.inspections.queries.parts import limit_of
from drainservice.register import actions, queries
from drainservice.register.models import Jurisdiction, System
from jobs.models import Job
from jobs.reactions import judge_system
from tests import makers
from tests.inspections.test_actions import closed, record
from tests.web.dispatcher.conftest import page, sign_in
from tests.web.dispatcher.test_system import posted

pytestmark = pytest.mark.django_db
FOOT_M = 0.3048  # exact, by the international yard and pound of 1959


@pytest.fixture
def owner(desk):
    """The owner's screen."""
    makers.make_account("olga", "owner")
    return sign_in("olga")


@pytest.fixture
def kind(home):
    """The type of Juno Greenlaw's pump."""
    found = actions.enter_equipment_type(asker=makers.clock(), part="pump", name="Standby")
    actions.change_part(home[3].pumps.get(), asker=makers.clock(), type=found)
    return found


@pytest.fixture
def county(home):
    """Where Juno Greenlaw lives."""
    return Jurisdiction.objects.get(pk=home[2].jurisdiction_id)


def change(owner, row, **typed):
    what = "type" if row._meta.model_name == "equipmenttype" else "jurisdiction"
    address = f"/settings/{what}/{row.pk}"
    answer = owner.post(address, posted(owner.get(address), **typed))
    row.refresh_from_db()
    return answer


def test_a_pump_type_shows_our_usual_figures_where_nothing_is_told(owner, kind):
    form = owner.get(f"/settings/type/{kind.pk}").context["form"]
    for mode in FailureMode:
        field = form[f"rate_{mode}"]
        assert field.value() is None
        assert float(field.field.widget.attrs["placeholder"]) == NOMINAL[mode].rate_per_a
    assert form["bucket_float"].field.widget.attrs["placeholder"] == "90"
    # A proof test counts as complete where the catalogue says nothing.
    assert form["proof_discharge"].field.widget.attrs["placeholder"] == "100"


def test_what_is_told_of_a_pump_type_is_kept_and_shown_again(owner, kind):
    answer = change(
        owner,
        kind,
        rate_float="0.4",
        rate_air_lock="0.0001",
        bucket_float="7",
        bucket_valve="0",
        proof_discharge="57.5",
        starts_life="20000",
        wear_life_years="8",
    )
    assert answer.status_code == 302
    assert kind.rates_per_year == {"float": 0.4, "air_lock": 0.0001}
    # 7 of 100 is 0.07, 57.5 of 100 is 0.575; none of 100 is told, which is not the same as empty.
    assert kind.reveals == {"bucket": {"float": 0.07, "valve": 0}, "proof": {"discharge": 0.575}}
    assert (kind.starts_life, kind.wear_life_years) == (20000, 8)
    form = owner.get(f"/settings/type/{kind.pk}").context["form"]
    names = ("rate_float", "rate_air_lock", "bucket_float", "bucket_valve", "proof_discharge")
    shown = [form[name].value() for name in names]
    assert shown == ["0.4", "0.0001", "7", "0", "57.5"]
    assert form["starts_life"].value() == "20000"


def test_a_type_sent_as_it_stands_is_not_written_again(owner, kind):
    change(owner, kind, rate_pump="0.07", bucket_pump="29", proof_pump="98", starts_life="1000")
    before = kind.version
    change(owner, kind)
    assert kind.version == before


def test_an_emptied_figure_is_our_usual_one_again(owner, kind):
    change(owner, kind, rate_float="0.4", bucket_float="50", starts_life="20000")
    change(owner, kind, rate_float="", bucket_float="", starts_life="")
    assert (kind.rates_per_year, kind.reveals, kind.starts_life) == ({}, {}, None)


def test_what_other_tests_reveal_is_not_lost(owner, kind):
    told = {"float_lifted_dry": {"float": 0.3}, "bucket": {"float": 0.5}}
    actions.change_equipment_type(kind, asker=makers.clock(), reveals=told)
    change(owner, kind, bucket_float="60")
    assert kind.reveals == {"float_lifted_dry": {"float": 0.3}, "bucket": {"float": 0.6}}


@pytest.fixture
def seen(yard):
    """Juno Greenlaw's system, its pump seen to run today."""
    closed(yard, record())
    return yard


def count_pump(system):
    """The day its pump is due, counted as the queue counts after a change."""
    judge_system(asker=makers.clock(), system_id=system.pk)
    return Due.objects.current().get(system=system, kind="pump").due_on


def test_a_pump_that_fails_more_often_is_looked_at_earlier(owner, seen, kind):
    usual = count_pump(seen)
    Job.objects.all().delete()
    change(owner, kind, rate_float="2")
    assert Job.objects.filter(kind="system.changed", key__startswith=f"{seen.pk}:").exists()
    assert count_pump(seen) < usual


def test_a_short_life_brings_an_old_pump_earlier(owner, seen, kind):
    usual = count_pump(seen)
    change(owner, kind, wear_life_years="2")
    assert count_pump(seen) < usual


def test_tests_that_show_nothing_bring_the_next_one_earlier(owner, seen, kind):
    usual = count_pump(seen)
    nothing = {f"{test}_{mode}": "0" for test in ("bucket", "proof") for mode in FailureMode}
    change(owner, kind, **nothing)
    assert count_pump(seen) < usual


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("rate_float", "0", "Write a number from 0.0001 to 100, or leave it empty for our usual"),
        ("rate_float", "often", "Write a number from 0.0001 to 100"),
        ("rate_pump", "nan", "or leave it empty for our usual 0.06."),
        ("rate_pump", "101", "Write a number from 0.0001 to 100"),
        ("bucket_float", "-1", "Write a number from 0 to 100, or leave it empty for our usual 90."),
        ("proof_valve", "100.5", "Write a number from 0 to 100"),
        ("starts_life", "5", "Write a number from 100 to 1,000,000,000"),
        ("wear_life_years", "0.1", "Write a number from 0.5 to 100"),
    ],
)
def test_a_figure_that_cannot_be_is_refused_and_kept_on_the_page(
    owner, kind, name, typed, sentence
):
    before = kind.version
    answer = change(owner, kind, **{name: typed, "rate_valve": "0.02"})
    assert answer.status_code == 422
    assert sentence in page(answer)
    form = answer.context["form"]
    assert (form[name].value(), form["rate_valve"].value()) == (typed, "0.02")
    assert list(form.errors) == [name]
    assert (kind.version, kind.rates_per_year) == (before, {})


def test_two_owners_do_not_overwrite_each_others_figures(owner, kind):
    told = posted(owner.get(f"/settings/type/{kind.pk}"), rate_float="0.4")
    change(owner, kind, rate_float="0.2")
    answer = owner.post(f"/settings/type/{kind.pk}", told)
    assert "Someone changed this while you were looking at it." in page(answer)
    assert answer.context["form"]["rate_float"].value() == "0.4"
    kind.refresh_from_db()
    assert kind.rates_per_year == {"float": 0.2}


def test_a_new_pump_type_leads_on_to_its_figures_and_another_does_not(owner):
    def entered(part):
        told = posted(owner.get("/settings/new/type"), part=part, name=f"New {part}")
        return owner.post("/settings/new/type", told)["Location"]

    assert entered("valve") == "/settings?done=entered"
    led_to = owner.get(entered("pump"))
    assert "Entered." in page(led_to)
    assert "rate_float" in led_to.context["form"].fields


def test_a_valve_has_none_of_a_pumps_figures(owner):
    valve = actions.enter_equipment_type(asker=makers.clock(), part="valve", name="Swing")
    change(owner, valve, rate_float="0.4", bucket_float="50", starts_life="20000", name="Spring")
    assert (valve.name, valve.rates_per_year, valve.reveals) == ("Spring", {}, {})
    assert valve.starts_life is None
    fields = owner.get(f"/settings/type/{valve.pk}").context["form"].fields
    assert not {"rate_float", "bucket_float", "starts_life"} & set(fields)


@pytest.mark.parametrize(
    ("who", "status"), [("dora", 403), ("andrea", 403), ("otis", 302), ("nobody", 302)]
)
def test_only_an_owner_may_set_figures_and_rules(
    owner, desk, kind, county, neighbour, who, status, client
):
    if status == 403:
        client = sign_in(who)
    elif who == "otis":
        link = HouseholdLink(neighbour.person_id, neighbour.household_id, "yard", 1)
        assert client.get(f"/y/{write_link(link)}/").status_code == 200
    told = posted(owner.get(f"/settings/type/{kind.pk}"), rate_float="0.4")
    rules = posted(owner.get(f"/settings/jurisdiction/{county.pk}"), drain_from="peak")
    for address, form in [
        (f"/settings/type/{kind.pk}", told),
        (f"/settings/jurisdiction/{county.pk}", rules),
    ]:
        assert client.get(address).status_code == status
        assert client.post(address, form).status_code == status
    kind.refresh_from_db()
    county.refresh_from_db()
    assert (kind.rates_per_year, county.drain_from) == ({}, "end_of_rain")


def test_a_place_says_from_when_and_to_which_level_the_hours_count(owner, yard, county):
    Job.objects.all().delete()
    assert change(owner, county, drain_from="peak", drain_to_level_m="0.5").status_code == 302
    assert county.drain_from == "peak"
    assert county.drain_to_level_m == pytest.approx(FOOT_M / 2)
    assert Job.objects.filter(kind="system.changed", key__startswith=f"{yard.pk}:").exists()
    counts = limit_of(queries.whole(yard, day=makers.MONDAY.date())).definition
    assert (counts.counts_from.value, counts.counts_to.value) == ("peak", "level")
    assert count_pump(yard) is not None


def test_a_new_place_counts_to_a_level_in_the_firms_units(owner):
    Firm.objects.update(units="metric")
    shown = owner.get("/settings/new/jurisdiction")
    assert "until the water has fallen to (m)" in page(shown)
    assert shown.context["form"]["drain_from"].value() == "end_of_rain"
    told = posted(
        shown, name="Ferry County", wet_seasons="10-15 to 04-15", drain_to_level_m="15 cm"
    )
    owner.post("/settings/new/jurisdiction", told | {"drain_from": "filled"})
    place = Jurisdiction.objects.get(name="Ferry County")
    assert (place.drain_from, place.drain_to_level_m) == ("filled", pytest.approx(0.15))


def test_a_level_sent_as_it_stands_keeps_what_was_measured(owner, county):
    # 0.1 m is 3.94 in, which is shown to the half inch as 4 in: 0.1016 m.
    actions.change_jurisdiction(
        county, asker=makers.clock(), wet_seasons=[("10-15", "04-15")], drain_to_level_m=0.1
    )
    address = f"/settings/jurisdiction/{county.pk}"
    assert owner.get(address).context["form"]["drain_to_level_m"].value() == "4 in"
    change(owner, county, name="Another county")
    assert (county.name, county.drain_to_level_m) == ("Another county", 0.1)
    change(owner, county, drain_to_level_m="")
    assert county.drain_to_level_m == 0


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("drain_to_level_m", "knee-high", "cannot be read here; write it like 2 ft 3 in or 27 in."),
        ("drain_to_level_m", "-1", "cannot be read here"),
        ("drain_to_level_m", "17", "Write a level of at most 16 ft 5 in, or leave it empty."),
        ("drain_from", "noon", "Choose from when the hours count; it is one of these."),
    ],
)
def test_a_way_of_counting_that_cannot_be_is_refused_and_kept(owner, county, name, typed, sentence):
    before = county.version
    answer = change(owner, county, **{name: typed, "drain_source": "County code"})
    assert answer.status_code == 422
    assert sentence in page(answer)
    form = answer.context["form"]
    assert (form[name].value(), form["drain_source"].value()) == (typed, "County code")
    assert county.version == before


def test_looking_at_the_figures_writes_nothing(owner, kind, county, changes):
    before = changes()
    owner.get(f"/settings/type/{kind.pk}")
    owner.get(f"/settings/jurisdiction/{county.pk}")
    assert (changes(), System.objects.count()) == (before, 1)
