"""Sheets brought into the register: what is taken, what is asked, and nothing comes in twice."""

import csv
import io
import json
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from drainservice.accounts.asker import CannotBeDone
from drainservice.accounts.models import Channel, Household, Membership, Person
from drainservice.exchange import actions, queries
from drainservice.exchange.actions.answer import AnswerNotTaken
from drainservice.exchange.actions.bring import MayNotBringIn
from drainservice.exchange.grid import SheetRefused
from drainservice.exchange.models import Question, Sheet, SheetRow
from drainservice.inspections import actions as inspections
from drainservice.inspections.models import Down, Inspection, Look, Reading
from drainservice.register.actions import change_site
from drainservice.register.models import Part, Pit, Pump, Site, System
from jobs.models import Job
from tests import makers

FOLDER = Path(__file__).parents[1] / "data" / "import"
EXPECTED = json.loads((FOLDER / "expected.json").read_text())["files"]
# "nothing after 3 November 2025 has happened yet" (expected.json, terms, context)
NOW = datetime(2025, 11, 3, 20, 0, tzinfo=UTC)
HEADER = ["Customer", "Where", "Phones", "Mail", "Pit depth", "Pump", "Done", "Remarks"]
ROW = ["Juno Greenlaw", "290 Maple Rd", "253-555-0174", "juno@example.com", "4 ft", "1/2 hp",
       "2018-06-08", ""]  # fmt: skip

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(dispatcher):
    """A dispatcher on the day the samples were written for."""
    return replace(dispatcher, at=NOW)


def sheet_of(*rows, header=HEADER):
    out = io.StringIO()
    csv.writer(out).writerows([header, *rows])
    return out.getvalue().encode()


def changed(**cells):
    """The ordinary row with some cells changed."""
    return [cells.get(name, cell) for name, cell in zip(HEADER, ROW, strict=True)]


def bring(office, content, *, name="list.csv", dry=False):
    return actions.bring_in(content, name=name, asker=office, dry=dry)


def sample(name):
    return (FOLDER / name).read_bytes()


def tables():
    """How many rows each table of the register holds."""
    models = (Site, System, Pit, Pump, Person, Household, Channel, Part, Inspection, Reading)
    return {model.__name__: model.objects.count() for model in models}


def outcomes(sheet):
    return [row["outcome"] for row in queries.report_of(sheet)["rows"]]


# The two samples, end to end.


def expected_rows(name, *classes):
    rows = [row for rows in EXPECTED[name]["sheets"].values() for row in rows]
    return [row for row in rows if row["c"] in classes]


def as_in_register(row):
    """What the register holds of an expected row, in the names of the expected answers."""
    site = Site.objects.get(address=row["f"]["site.address"])
    system = site.systems.get()
    people = [part.person for part in site.parts.filter(part="decides").order_by("pk")]
    channels = Channel.objects.filter(person__in=people).order_by("pk")
    pump, pit = system.pumps.first(), getattr(system, "pit", None)
    inspection = system.inspections.filter(on=date_of(row["f"].get("inspection.on"))).first()
    told = {
        "household.names": [person.name for person in people],
        "household.phones": [c.address for c in channels.filter(kind="telephone")],
        "household.emails": [c.address for c in channels.filter(kind="mail")],
        "site.address": site.address,
        "pit.depth_m": pit.depth_m if pit else None,
        "pump.power_w": pump.power_w if pump else None,
        "system.installed_on": vague(system.installed_on, system.installed_span),
        "notes": inspection.note if inspection else system.note,
    }
    if inspection:
        told["inspection.on"] = vague(inspection.on, inspection.on_span)
        for fact, kind in (("sediment_m", "sediment_m"), ("drain_time_s", "drain_time_s")):
            reading = Reading.objects.filter(look__inspection=inspection, kind=kind).first()
            told[f"inspection.{fact}"] = reading.value if reading else None
        told["inspection.pump_ran"] = inspection.looks.get(kind="pump").passed
    return {fact: value for fact, value in told.items() if value not in (None, [], "")}


def date_of(told):
    return date.fromisoformat(told.replace("summer", "06-01")) if told else None


def vague(day, span):
    if day is None:
        return None
    written = {"day": f"{day}", "month": f"{day:%Y-%m}", "season": f"{day:%Y}-summer"}
    return written.get(span, f"{day:%Y}")


def assert_same(expected, found):
    for fact, value in expected.items():
        if isinstance(value, list) and len(value) == 2 and isinstance(value[0], int | float):
            assert found[fact] == pytest.approx(value[0], abs=value[1]), fact
        else:
            assert found[fact] == value, fact
    assert set(found) == set(expected)


@pytest.mark.parametrize("name", EXPECTED)
def test_every_taken_fact_is_in_the_register_and_nothing_else(office, name):
    bring(office, sample(name))

    rows = [r for r in expected_rows(name, "take", "fault", "ask") if "site.address" in r["f"]]
    for row in rows:
        assert_same(row["f"], as_in_register(row))
    assert {row["f"]["site.address"] for row in rows} == set(
        Site.objects.values_list("address", flat=True)
    )


def test_facts_of_the_remarks_are_in_the_register_too(office):
    bring(office, sample("ex1_customers.csv"))

    valves = [
        s.pumps.get().check_valves.get().attitude
        for s in System.objects.filter(note__in=["check valve laying flat", "valve is on its side"])
    ]
    assert valves == ["on_its_side"] * 3
    covered = System.objects.filter(access_point__covered_by="pavers")
    assert covered.count() == 2


def test_the_struck_row_of_the_log_waits_for_a_person(office):
    sheet = bring(office, sample("ex2_log.xlsx"))

    assert not Site.objects.filter(address="32 Acorn Ct").exists()
    assert [q.reason for q in queries.open_questions(sheet)] == ["struck_out"]


@pytest.mark.parametrize("name", EXPECTED)
def test_the_same_file_twice_adds_nothing(office, name):
    bring(office, sample(name))
    before = tables()
    asked = Question.objects.count()

    again = bring(office, sample(name))

    assert tables() == before
    assert Question.objects.count() == asked
    assert "taken" not in outcomes(again)


@pytest.mark.parametrize("name", EXPECTED)
def test_a_dry_run_writes_nothing_of_the_register(office, name):
    before = tables()
    jobs = Job.objects.count()

    sheet = bring(office, sample(name), dry=True)

    assert tables() == before
    assert Job.objects.count() == jobs
    assert sheet.is_dry
    assert Question.objects.count() == SheetRow.objects.count() == 0


def test_a_dry_run_and_the_real_thing_tell_the_same_of_every_row(office):
    dry = queries.report_of(bring(office, sample("ex1_customers.csv"), dry=True))
    wet = queries.report_of(bring(office, sample("ex1_customers.csv")))

    for told in wet["rows"]:
        told["made"].pop("system", None)
    assert wet == dry


def test_what_was_read_dry_comes_in_once(office):
    dry = bring(office, sample("ex1_customers.csv"), dry=True)

    first = actions.bring_in_read(dry, asker=office)
    before = tables()
    second = actions.bring_in_read(dry, asker=office)

    assert first.pk == second.pk == dry.pk
    assert tables() == before
    assert before["System"] == 24
    assert Sheet.objects.get().content is None


def test_a_sheet_too_long_for_a_page_says_how_it_comes_in(office, monkeypatch):
    dry = bring(office, sample("ex1_customers.csv"), dry=True)
    monkeypatch.setattr("drainservice.exchange.actions.bring.MOST_AT_ONCE", 20)

    with pytest.raises(CannotBeDone, match=r"manage\.py bring_in"):
        actions.bring_in_read(dry, asker=office)

    assert not Site.objects.exists()


def test_a_file_let_go_is_asked_for_again(office):
    bring(office, sheet_of(ROW), dry=True)
    later = replace(office, at=NOW + timedelta(days=8))
    bring(later, sheet_of(changed(Where="12 Oak St")), dry=True)

    with pytest.raises(CannotBeDone, match="Choose the file again"):
        actions.bring_in_read(Sheet.objects.order_by("pk").first(), asker=later)


# The same facts, more facts, other facts.


def test_the_same_facts_in_another_file_add_nothing(office):
    bring(office, sheet_of(ROW))
    before = tables()
    other = ["P. 290 Maple Road", "4'", "0.5 HP", "Greenlaw, Juno", "(253) 555-0174",
             "June 8 2018", "JUNO@example.com"]  # fmt: skip
    other[0] = "290 Maple Road"

    sheet = bring(
        office,
        sheet_of(
            other, header=["Address", "pit depth", "pump", "name", "tel", "installed", "email"]
        ),
        name="other.csv",
    )

    assert outcomes(sheet)[-1] == "duplicate"
    assert tables() == before


def test_a_second_sheet_with_more_facts_adds_only_what_was_unknown(office):
    bring(office, sheet_of(changed(Phones="", Pump="")))

    sheet = bring(office, sheet_of(changed(Remarks="customer supplied pump")))

    system = System.objects.get()
    pump = system.pumps.get()
    assert pump.power_w == pytest.approx(372.85, abs=0.01)  # 1/2 hp x 745.70 W
    assert (pump.power_w_how, pump.supplied_by) == ("told", "customer")
    assert Channel.objects.filter(kind="telephone").get().address == "2535550174"
    assert (Person.objects.filter(name="Juno Greenlaw").count(), Household.objects.count()) == (
        1,
        1,
    )
    assert queries.open_questions(sheet) == []


def test_a_contradiction_is_asked_and_never_overwrites(office):
    bring(office, sheet_of(ROW))

    sheet = bring(office, sheet_of(changed(**{"Pit depth": "5 ft"})))

    assert Pit.objects.get().depth_m == pytest.approx(1.2192)  # 4 ft x 0.3048
    (question,) = queries.open_questions(sheet)
    assert question.reason == "duplicate_conflict"
    assert '"5 ft"' in question.sentence
    assert "4 ft (told)" in question.sentence


def test_a_measured_value_stands_against_a_sheet(office):
    site = makers.make_site("290 Maple Rd")
    makers.make_system(site)

    bring(office, sheet_of(changed(**{"Pit depth": "3 ft"})))

    pit = Pit.objects.get()
    assert pit.depth_m == pytest.approx(1.2192)
    assert pit.depth_m_how == "measured"


def test_a_vaguer_date_of_the_same_time_is_no_contradiction(office):
    bring(office, sheet_of(ROW))

    sheet = bring(office, sheet_of(changed(Done="2018", Remarks="pops up at curb")))

    assert System.objects.get().installed_on == date(2018, 6, 8)
    assert queries.open_questions(sheet) == []


def test_a_more_precise_date_takes_the_place_of_a_vaguer_one(office):
    bring(office, sheet_of(changed(Done="2018")))

    bring(office, sheet_of(ROW))

    system = System.objects.get()
    assert (system.installed_on, system.installed_span) == (date(2018, 6, 8), "day")


def test_other_people_at_a_known_address_are_asked_about(office):
    bring(office, sheet_of(ROW))

    sheet = bring(office, sheet_of(changed(Customer="Otis Dellwood", Phones="253-555-0199")))

    assert not Person.objects.filter(name="Otis Dellwood").exists()
    assert not Channel.objects.filter(address="2535550199").exists()
    (question,) = queries.open_questions(sheet)
    assert question.fact == "household.names"


def test_one_street_in_two_towns_is_two_sites(office):
    header = [*HEADER, "City"]
    bring(office, sheet_of([*ROW, "Alder"], header=header))

    bring(office, sheet_of([*changed(Customer="Otis Dellwood"), "Birch"], header=header))

    assert sorted(Site.objects.values_list("city", flat=True)) == ["Alder", "Birch"]


def test_a_slip_of_the_house_number_is_asked(office):
    bring(office, sheet_of(ROW))

    sheet = bring(office, sheet_of(changed(Where="920 Maple Rd")))

    assert Site.objects.count() == 1
    (question,) = queries.open_questions(sheet)
    assert (question.fact, question.reason) == ("site.address", "duplicate_conflict")


# Whose it is.


def test_a_name_decides_gives_access_and_pays_and_it_is_marked_assumed(office):
    bring(office, sheet_of(ROW))

    parts = Part.objects.filter(person__name="Juno Greenlaw")
    assert {part.part for part in parts} == {"decides", "access", "pays"}
    assert all(part.is_assumed for part in parts)


def test_two_people_of_one_household_share_its_site(office):
    bring(office, sheet_of(changed(Customer="Juno and Otis Greenlaw")))

    household = Household.objects.get()
    assert sorted(m.person.name for m in household.memberships.all()) == [
        "Juno Greenlaw",
        "Otis Greenlaw",
    ]
    assert Channel.objects.count() == 2  # nobody says whose the telephone is: the first has it


def test_two_households_may_share_one_mail_address(office):
    bring(office, sheet_of(ROW, changed(Customer="Flora Holmby", Where="12 Oak St", Phones="")))

    assert Household.objects.count() == 2
    assert Channel.objects.filter(address="juno@example.com").count() == 2


def test_the_same_person_at_a_second_site_is_one_person(office):
    bring(office, sheet_of(ROW))

    bring(office, sheet_of(changed(Where="12 Oak St")))

    assert Person.objects.filter(name="Juno Greenlaw").count() == 1
    assert (Household.objects.count(), Site.objects.count()) == (1, 2)


def test_a_namesake_with_other_channels_is_another_person(office):
    bring(office, sheet_of(ROW))

    bring(
        office,
        sheet_of(changed(Where="12 Oak St", Phones="253-555-0111", Mail="j@example.com")),
    )

    assert Person.objects.filter(name="Juno Greenlaw").count() == 2


def test_a_telephone_with_its_country_is_the_same_telephone(office):
    bring(office, sheet_of(ROW))

    bring(office, sheet_of(changed(Phones="+1 253 555 0174", Remarks="pops up at curb")))

    assert Channel.objects.filter(kind="telephone").count() == 1


# What is in the ground.


def test_a_system_of_a_sheet_is_adopted_from_today(office):
    bring(office, sheet_of(changed(Done="Aug 2011")))

    system = System.objects.get()
    assert (system.origin, system.entered_on) == ("adopted", date(2025, 11, 3))
    assert (system.installed_on, system.installed_span) == (date(2011, 8, 1), "month")
    assert (system.consequence, system.status) == ("", "in_use")


def test_a_system_we_put_in_is_ours(office):
    bring(office, sheet_of([*ROW, "us"], header=[*HEADER, "Installed by"]))

    assert System.objects.get().origin == "ours"


def test_two_pits_told_in_one_row_are_two_systems_and_nothing_is_guessed_of_the_second(office):
    bring(office, sheet_of([*ROW, "2"], header=[*HEADER, "Pits"]))

    first, second = System.objects.order_by("pk")
    assert first.pit.depth_m == pytest.approx(1.2192)
    assert not hasattr(second, "pit")
    assert "counts 2 systems" in second.note


def test_a_row_under_its_household_with_other_measures_is_a_second_system(office):
    bring(office, sheet_of(ROW, ["", "", "", "", "3 ft", "1/3 hp", "2020", ""]))

    assert sorted(round(pit.depth_m, 3) for pit in Pit.objects.all()) == [0.914, 1.219]
    assert (System.objects.count(), Site.objects.count()) == (2, 1)


def test_a_new_system_is_announced_so_that_its_checks_and_dates_follow(office):
    bring(office, sheet_of(ROW))

    system = System.objects.get()
    assert Job.objects.get(kind="system.entered").details == {"system_id": system.pk}


# Visits.

LOG = ["Name", "Address", "Date", "Silt", "Empty after", "Pump ok", "Note"]
SEEN = ["Juno Greenlaw", "290 Maple Rd", "2024-03-11", "2 in", "9 hours", "n", "loud"]


def test_a_visit_of_a_log_is_an_inspection_from_a_sheet_by_nobody_of_ours(office):
    bring(office, sheet_of(ROW))

    bring(office, sheet_of(SEEN, header=LOG), name="log.csv")

    inspection = Inspection.objects.get()
    assert (inspection.origin, inspection.person, inspection.note) == ("sheet", None, "loud")
    assert System.objects.count() == 1
    values = dict(Reading.objects.values_list("kind", "value"))
    assert values == {"sediment_m": pytest.approx(0.0508), "drain_time_s": 9 * 3600}
    assert Look.objects.get(kind="pump").passed is False
    assert Look.objects.get(kind="pump").pump == Pump.objects.get()


@pytest.mark.parametrize("newest_first", [True, False])
def test_a_pump_that_ran_later_is_not_down_in_whatever_order_a_log_is_read(office, newest_first):
    years = [["2023-04-09", "y"], ["2020-09-24", "n"]]
    rows = [[*SEEN[:2], day, "", "", ran, ""] for day, ran in years]
    bring(office, sheet_of(*rows, header=LOG))

    for each in Inspection.objects.order_by("-on" if newest_first else "on"):
        inspections.after_inspection(asker=office, inspection_id=str(each.pk))

    assert not Down.objects.filter(proven_at__isnull=True).exists()


def test_a_pump_that_did_not_run_when_last_seen_is_down(office):
    bring(office, sheet_of(SEEN, header=LOG))

    inspections.after_inspection(asker=office, inspection_id=str(Inspection.objects.get().pk))

    assert Down.objects.get().since_at.date() == date(2024, 3, 11)


def test_another_silt_of_the_same_day_is_asked(office):
    bring(office, sheet_of(SEEN, header=LOG))

    sheet = bring(office, sheet_of([*SEEN[:3], "3 in", *SEEN[4:]], header=LOG))

    assert Inspection.objects.count() == 1
    assert [q.fact for q in queries.open_questions(sheet)] == ["inspection.sediment_m"]


def test_more_of_the_same_day_is_added(office):
    bring(office, sheet_of([*SEEN[:3], "", "9 hours", "", ""], header=LOG))

    bring(office, sheet_of(SEEN, header=LOG))

    assert sorted(Reading.objects.values_list("kind", flat=True)) == ["drain_time_s", "sediment_m"]


def test_a_visit_to_one_of_two_systems_is_asked_which(office):
    bring(office, sheet_of(ROW, ["", "", "", "", "3 ft", "1/3 hp", "2020", ""]))

    sheet = bring(office, sheet_of(SEEN, header=LOG))

    assert Inspection.objects.count() == 0
    (question,) = queries.open_questions(sheet)
    assert question.fact == "system.place"


def test_a_log_by_name_alone_finds_the_site_on_record(office):
    bring(office, sheet_of(ROW))

    bring(office, sheet_of([SEEN[0], *SEEN[2:]], header=[LOG[0], *LOG[2:]]))

    assert Inspection.objects.get().system == System.objects.get()


def test_a_log_by_a_name_nobody_knows_is_not_brought_in(office):
    bring(office, sheet_of(ROW))

    sheet = bring(office, sheet_of(["Zed Unheard", *SEEN[2:]], header=[LOG[0], *LOG[2:]]))

    assert Inspection.objects.count() == 0
    (question,) = queries.open_questions(sheet)
    assert question.reason == "unknown_system"


# Answers.


def only_question(sheet):
    (question,) = queries.open_questions(sheet)
    return question


def test_a_value_typed_for_an_answer_is_brought_in(office):
    sheet = bring(office, sheet_of(changed(**{"Pit depth": "48"})))

    question = actions.answer_question(only_question(sheet), answer="48 in", asker=office)

    assert Pit.objects.get().depth_m == pytest.approx(1.2192)  # 48 in x 0.0254
    assert (question.answer, question.answered_by_id) == ("48 in", office.account_id)
    assert queries.open_questions(sheet) == []


def test_an_answer_that_is_no_value_leaves_the_question_open(office):
    sheet = bring(office, sheet_of(changed(**{"Pit depth": "48"})))

    with pytest.raises(Exception, match="Type the value with its unit"):
        actions.answer_question(only_question(sheet), answer="rather deep", asker=office)

    assert only_question(sheet).answered_at is None


def test_the_day_of_a_visit_brings_in_all_that_was_read_of_it(office):
    sheet = bring(office, sheet_of([*SEEN[:2], "last week", *SEEN[3:]], header=LOG))
    assert not Inspection.objects.exists()

    actions.answer_question(only_question(sheet), answer="2025-10-28", asker=office)

    assert Inspection.objects.get().on == date(2025, 10, 28)
    assert Reading.objects.get(kind="sediment_m").value == pytest.approx(0.0508)  # 2 in x 0.0254


def test_an_address_typed_for_a_row_without_one_brings_the_row_in(office):
    sheet = bring(
        office, sheet_of(ROW, changed(Customer="Kit Lowmoor", Where="", Phones="", Mail=""))
    )
    question = next(q for q in queries.open_questions(sheet) if q.fact == "site.address")

    actions.answer_question(question, answer="12 Oak St", asker=office)

    assert Site.objects.get(address="12 Oak St").systems.get().pit.depth_m == pytest.approx(1.2192)


def test_an_answer_finds_its_system_though_the_address_was_mended_since(office):
    sheet = bring(office, sheet_of(changed(**{"Pit depth": "48"})))
    site = Site.objects.get()
    change_site(site, asker=office, address="292 Maple Road")

    actions.answer_question(only_question(sheet), answer="48 in", asker=office)

    assert Pit.objects.get().system.site == site
    assert Site.objects.count() == 1


def test_take_lets_the_sheet_overrule_the_record(office):
    bring(office, sheet_of(ROW))
    sheet = bring(office, sheet_of(changed(**{"Pit depth": "5 ft"})))

    actions.answer_question(only_question(sheet), answer="take", asker=office)

    assert Pit.objects.get().depth_m == pytest.approx(1.524)  # 5 ft x 0.3048


def test_leave_changes_nothing_and_the_same_sheet_does_not_ask_again(office):
    bring(office, sheet_of(ROW))
    contradicts = sheet_of(changed(**{"Pit depth": "5 ft"}))
    question = only_question(bring(office, contradicts))

    actions.answer_question(question, answer="leave", asker=office)
    again = bring(office, contradicts)

    assert Pit.objects.get().depth_m == pytest.approx(1.2192)
    assert queries.open_questions(again) == []


def test_second_makes_another_system_of_the_row(office):
    bring(office, sheet_of(ROW))
    sheet = bring(office, sheet_of(changed(**{"Pit depth": "5 ft"})))

    actions.answer_question(only_question(sheet), answer="second", asker=office)

    assert sorted(round(pit.depth_m, 3) for pit in Pit.objects.all()) == [1.219, 1.524]


def test_a_second_system_settles_all_that_contradicted_the_first(office):
    bring(office, sheet_of(ROW))
    sheet = bring(office, sheet_of(changed(Done="2012-01-01", **{"Pit depth": "5 ft"})))
    first, second = queries.open_questions(sheet)

    actions.answer_question(first, answer="second", asker=office)

    assert System.objects.order_by("pk").last().installed_on == date(2012, 1, 1)
    assert queries.open_questions(sheet) == []
    second.refresh_from_db()
    assert second.answer == "second"


def test_a_struck_row_comes_in_when_a_person_says_so(office):
    sheet = bring(office, sample("ex2_log.xlsx"))

    actions.answer_question(only_question(sheet), answer="take", asker=office)

    site = Site.objects.get(address="32 Acorn Ct")
    assert Inspection.objects.get(system__site=site).on == date(2020, 2, 5)


def test_a_lid_code_tells_which_system_a_visit_was_at(office):
    bring(office, sheet_of(ROW, ["", "", "", "", "3 ft", "1/3 hp", "2020", ""]))
    sheet = bring(office, sheet_of(SEEN, header=LOG))
    second = System.objects.order_by("pk").last()

    actions.answer_question(only_question(sheet), answer=second.code, asker=office)

    assert Inspection.objects.get().system == second


def test_new_people_take_over_when_a_person_says_so(office):
    bring(office, sheet_of(ROW))
    sheet = bring(office, sheet_of(changed(Customer="Otis Dellwood", Phones="253-555-0199")))

    actions.answer_question(only_question(sheet), answer="take", asker=office)

    open_parts = Part.objects.filter(ends_on__isnull=True, site=Site.objects.get())
    assert {part.person.name for part in open_parts} == {"Otis Dellwood"}
    assert Channel.objects.get(address="2535550199").person.name == "Otis Dellwood"


def test_an_answer_stays_once_it_is_given(office):
    sheet = bring(office, sheet_of(changed(**{"Pit depth": "48"})))
    question = actions.answer_question(only_question(sheet), answer="leave", asker=office)

    actions.answer_question(question, answer="48 in", asker=office)

    assert not Pit.objects.exists()


@pytest.mark.parametrize("word", ["", "second", "take"])
def test_an_answer_that_is_not_offered_is_refused(office, word):
    sheet = bring(office, sheet_of(changed(**{"Pit depth": "48"})))

    with pytest.raises(AnswerNotTaken, match="Choose one"):
        actions.answer_question(only_question(sheet), answer=word, asker=office)


# Rows taken home.


def test_refused_rows_are_taken_home_mended_and_brought_in_again(office):
    sheet = bring(office, sample("ex1_customers.csv"))
    home = list(csv.DictReader(io.StringIO(queries.refused_csv(sheet))))
    mended = {"'-4 ft": "4 ft", "48": "48 in", "2/30/2020": "2/28/2020"}
    rows = [[mended.get(cell, cell) for cell in row.values()] for row in home]

    again = bring(office, sheet_of(*rows, header=list(home[0])), name="mended.csv")

    assert len(home) == 3
    assert System.objects.count() == Pit.objects.count() == 24
    assert not System.objects.filter(installed_on__isnull=True).exists()
    assert queries.open_questions(again) == []


def test_rows_taken_home_cannot_start_a_formula(office):
    sheet = bring(office, sheet_of(changed(Customer="=cmd|'/c calc'!A0", Phones="+1 253 555 0174")))

    text = queries.refused_csv(sheet)

    assert "'=cmd" in text
    assert "'+1 253" in text
    starts = {cell[:1] for row in csv.reader(io.StringIO(text)) for cell in row}
    assert not starts & set("=+-@\t\r")


def test_a_name_that_begins_like_a_formula_never_becomes_a_person(office):
    bring(office, sheet_of(changed(Customer="=cmd|'/c calc'!A0")))

    assert not Person.objects.filter(name__startswith="=").exists()


def test_a_sheet_without_trouble_has_nothing_to_take_home(office):
    assert queries.refused_csv(bring(office, sheet_of(ROW))) == ""


# Who may, and what cannot be read.


@pytest.mark.parametrize("who", ["technician", "homeowner", "neighbour"])
def test_only_the_office_brings_sheets_in(request, who):
    asker = request.getfixturevalue(who)

    with pytest.raises(MayNotBringIn):
        bring(asker, sheet_of(ROW))

    assert not Sheet.objects.exists()
    assert not queries.sheets_for(asker).exists()


def test_a_file_that_cannot_be_read_leaves_nothing(office):
    with pytest.raises(SheetRefused, match="PDF"):
        bring(office, b"%PDF-1.7")

    assert not Sheet.objects.exists()


def test_signs_no_database_stores_are_shown_as_replaced(office):
    sheet = bring(office, sheet_of(changed(Remarks="odd \x00 sign")))

    assert "\x00" not in json.dumps(queries.report_of(sheet))
    assert "\ufffd" in json.dumps(queries.report_of(sheet), ensure_ascii=False)


def test_a_removed_system_lets_its_facts_come_in_again(office):
    bring(office, sheet_of(ROW))
    system = System.objects.get()
    from drainservice.accounts import history

    history.remove(system, asker=office)

    bring(office, sheet_of(ROW))

    assert System.objects.standing().count() == 1


def test_a_person_already_known_by_another_way_gets_no_second_household(office):
    person = makers.make_person("Juno Greenlaw", mail="juno@example.com")
    household = makers.make_household(person)

    bring(office, sheet_of(ROW))

    assert Household.objects.get() == household
    assert Membership.objects.get().person == person


def test_a_gate_code_is_sealed_and_a_different_one_is_asked_without_showing_it(office):
    header = [*HEADER, "Gate code"]
    bring(office, sheet_of([*ROW, "4417"], header=header))

    sheet = bring(office, sheet_of([*ROW, "9921"], header=header))

    assert "4417" not in Site.objects.get().codes
    assert "4417" not in only_question(sheet).sentence


def test_register_and_accounts_are_written_with_their_history(office):
    from drainservice.accounts.models import Change

    bring(office, sheet_of(ROW))

    subjects = set(
        Change.objects.filter(group__startswith="sheet").values_list("subject", flat=True)
    )
    assert {"accounts.person", "register.site", "register.system", "register.pit"} <= subjects
