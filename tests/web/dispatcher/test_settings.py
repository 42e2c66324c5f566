"""Settings: the firm's row with its one question, its people, places and types, for the owner."""

import pytest

from drainservice.accounts.models import Account, Firm
from drainservice.register import actions, queries
from drainservice.register.models import EquipmentType, Jurisdiction
from jobs.models import Job
from tests import makers
from tests.web.dispatcher.conftest import page, sign_in
from tests.web.dispatcher.test_system import posted

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(desk):
    """The owner's screen."""
    makers.make_account("olga", "owner")
    return sign_in("olga")


def test_the_one_question_is_open_until_it_is_answered(owner):
    assert "One question is open" in page(owner.get("/settings"))
    owner.post("/settings", posted(owner.get("/settings"), dead_of_100="12"))
    assert Firm.objects.get().dead_of_100 == 12
    assert "You said that 12 of 100 pumps do not pump" in page(owner.get("/settings"))


def test_a_share_that_cannot_be_is_refused_and_kept_on_the_page(owner):
    answer = owner.post("/settings", posted(owner.get("/settings"), target_yard="1.5"))
    assert answer.status_code == 422
    assert 'value="1.5"' in page(answer)
    assert Firm.objects.get().target_yard == 0.20


def test_a_zone_that_no_clock_knows_is_refused(owner):
    answer = owner.post("/settings", posted(owner.get("/settings"), zone="Fernhill"))
    assert "is no time zone; write it like America/Chicago." in page(answer)


def test_two_owners_do_not_overwrite_each_other(owner):
    told = posted(owner.get("/settings"), name="Old Drains")
    owner.post("/settings", posted(owner.get("/settings"), name="New Drains"))
    assert "Someone changed this while you were looking at it." in page(
        owner.post("/settings", told)
    )
    assert Firm.objects.get().name == "New Drains"


def test_somebody_new_is_let_in_by_a_link_that_works_once(owner, client):
    told = posted(
        owner.get("/settings/new/account"), person="Bruno Alder", name="bruno", role="technician"
    )
    owner.post("/settings/new/account", told)
    account = Account.objects.get(name="bruno")
    assert (account.handle, account.has_usable_password()) == ("bruno", False)
    shown = owner.post("/settings/people/bruno/link")
    path = shown.context["link"].partition("/in/")[2]
    assert client.post(f"/in/{path}").status_code == 302
    assert client.post(f"/in/{path}").status_code == 404


def test_a_place_is_entered_with_its_wet_seasons(owner):
    told = posted(
        owner.get("/settings/new/jurisdiction"),
        name="Ferry County",
        wet_seasons="10-15 to 04-15\n06-01 to 07-15",
        frost_from="12-01",
        frost_until="02-28",
    )
    owner.post("/settings/new/jurisdiction", told)
    place = Jurisdiction.objects.get(name="Ferry County")
    seasons = place.wet_seasons.order_by("pk").values_list("starts", "ends")
    assert list(seasons) == [("10-15", "04-15"), ("06-01", "07-15")]


@pytest.mark.parametrize("season", ["10-32 to 04-15", "autumn", "10-15"])
def test_a_season_that_no_year_has_is_refused(owner, season):
    told = posted(owner.get("/settings/new/jurisdiction"), name="Ferry County", wet_seasons=season)
    answer = owner.post("/settings/new/jurisdiction", told)
    assert answer.status_code == 422
    assert "is no day of the year; write month-day" in page(answer)
    assert not Jurisdiction.objects.filter(name="Ferry County").exists()


def test_a_type_whose_shortest_is_above_its_longest_is_refused(owner):
    told = posted(
        owner.get("/settings/new/type"),
        part="pump",
        name="Standby, 1/3 hp",
        shortest_days="400",
        longest_days="90",
    )
    answer = owner.post("/settings/new/type", told)
    assert answer.status_code == 422
    assert "That cannot be saved" in page(answer)
    assert not EquipmentType.objects.exists()


@pytest.mark.parametrize("address", ["/settings", "/settings/new/account"])
def test_a_dispatcher_may_not_change_the_firm(desk, address):
    assert desk.get(address).status_code == 403
    assert desk.post(address).status_code == 403


def test_a_setting_nobody_knows_is_not_found(owner):
    assert owner.get("/settings/new/colour").status_code == 404


@pytest.fixture
def county(owner, home):
    """Where Juno Greenlaw lives."""
    return Jurisdiction.objects.get(pk=home[2].jurisdiction_id)


def test_a_wet_season_changes_and_every_date_there_is_counted_anew(owner, county, home):
    Job.objects.all().delete()
    address = f"/settings/jurisdiction/{county.pk}"
    told = posted(owner.get(address), wet_seasons="11-01 to 03-31", drain_limit_h="48")
    owner.post(address, told)
    standing = county.wet_seasons.filter(removed_at=None).values_list("starts", "ends")
    assert list(standing) == [("11-01", "03-31")]
    assert Job.objects.filter(kind="system.changed", key__startswith=f"{home[3].pk}:").exists()
    assert "wet 11-01 to 03-31" in page(owner.get("/settings"))
    whole = queries.whole(home[3], day=makers.MONDAY.date())
    counted = [(s.starts, s.ends) for s in whole.site.jurisdiction.wet_seasons.all()]
    assert counted == [("11-01", "03-31")]


def test_a_season_that_stays_is_not_written_again(owner, county):
    before = list(county.wet_seasons.values_list("pk", "version"))
    address = f"/settings/jurisdiction/{county.pk}"
    owner.post(address, posted(owner.get(address), name="Another county"))
    assert list(county.wet_seasons.values_list("pk", "version")) == before


def test_a_changed_season_that_no_year_has_is_refused_and_kept_on_the_page(owner, county):
    address = f"/settings/jurisdiction/{county.pk}"
    answer = owner.post(address, posted(owner.get(address), wet_seasons="13-01 to 03-31"))
    assert answer.status_code == 422
    assert "is no day of the year" in page(answer)
    assert "13-01 to 03-31" in page(answer)


def test_a_type_is_changed_and_the_dates_of_its_pumps_are_counted_anew(owner, home):
    kind = actions.enter_equipment_type(asker=makers.clock(), part="pump", name="Standby")
    actions.change_part(home[3].pumps.get(), asker=makers.clock(), type=kind)
    Job.objects.all().delete()
    address = f"/settings/type/{kind.pk}"
    owner.post(address, posted(owner.get(address), longest_days="180", wear_life_years="8"))
    kind.refresh_from_db()
    assert (kind.longest_days, kind.wear_life_years, kind.part) == (180, 8, "pump")
    assert Job.objects.filter(kind="system.changed", key__startswith=f"{home[3].pk}:").exists()


def test_who_is_switched_off_is_out_with_the_next_click(owner):
    makers.make_account("bruno", "dispatcher")
    bruno = sign_in("bruno")
    assert bruno.get("/").status_code == 200
    told = posted(owner.get("/settings/people/bruno"), is_active="no")
    owner.post("/settings/people/bruno", told)
    assert bruno.get("/").status_code != 200
    assert "Switched off." in page(owner.get("/settings"))


def test_a_role_is_changed(owner):
    makers.make_account("bruno", "dispatcher")
    told = posted(owner.get("/settings/people/bruno"), role="owner")
    owner.post("/settings/people/bruno", told)
    assert Account.objects.get(handle="bruno").role == "owner"


@pytest.mark.parametrize("told", [{"is_active": "no"}, {"role": "dispatcher"}])
def test_the_last_owner_stays(owner, told):
    answer = owner.post("/settings/people/olga", posted(owner.get("/settings/people/olga"), **told))
    assert answer.status_code == 422
    assert "Make somebody else an owner first." in page(answer)
    kept = Account.objects.get(handle="olga")
    assert (kept.is_active, kept.role) == (True, "owner")


def test_a_technician_with_visits_ahead_is_not_switched_off(owner, offered):
    told = posted(owner.get("/settings/people/andrea"), is_active="no")
    answer = owner.post("/settings/people/andrea", told)
    assert "still goes to one visit. Give them to somebody else first." in page(answer)
    assert Account.objects.get(handle="andrea").is_active


@pytest.mark.parametrize("path", ["type/999999", "colour/1", "people/nobody"])
def test_what_is_no_setting_is_not_found(owner, path):
    assert owner.get(f"/settings/{path}").status_code == 404


def test_the_head_line_leads_only_owners_to_the_settings(owner, desk):
    assert 'href="/settings"' in page(owner.get("/"))
    assert 'href="/settings"' not in page(desk.get("/"))


def test_a_rule_of_a_place_asks_for_looks_by_months(owner, county):
    address = f"/settings/jurisdiction/{county.pk}"
    told = posted(
        owner.get(address), rule_months="percolation 12\nsediment 24", signer="an engineer"
    )
    owner.post(address, told)
    county.refresh_from_db()
    assert county.rule_months == {"percolation": 12, "sediment": 24}
    assert owner.get(address).context["form"]["rule_months"].value() == told["rule_months"]


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("percolation", "write a kind of look and months"),
        ("gnomes 12", "Nobody looks for"),
        ("pump 9999", "must be a number from 0.1 to 600"),
        ("pump nan", "must be a number"),
    ],
)
def test_a_rule_that_cannot_be_is_refused_in_words(owner, county, typed, sentence):
    address = f"/settings/jurisdiction/{county.pk}"
    answer = owner.post(address, posted(owner.get(address), rule_months=typed))
    assert answer.status_code == 422
    assert sentence in page(answer)


def test_a_pump_type_names_its_class_for_the_reckoning(owner):
    told = posted(owner.get("/settings/new/type"), part="pump", name="Cheap", class_word="budget")
    owner.post("/settings/new/type", told)
    assert EquipmentType.objects.get(name="Cheap").class_word == "budget"
