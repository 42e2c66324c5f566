# ruff: noqa: E501
"""Sheets of other firms, each with its own habits (`habits.py`; all invented)."""

from datetime import date
from functools import cache

import pytest

from drainservice.exchange.judging_sites import KnownSite
from drainservice.exchange.reading import Context, read_sheet
from tests.exchange import habits

TODAY = date(2025, 11, 3)


@cache
def read(name):
    return read_sheet(habits.ALL[name], name=name, today=TODAY)


def rows_of(reading, sheet=""):
    return {row.number: row for row in reading.rows if row.sheet == sheet}


def told(row):
    return {(p.fact, p.reason, p.value) for p in (*row.refused, *row.questions)}


def outcomes(rows):
    return {number: row.outcome for number, row in rows.items()}


class TestSemicolonsSectionsAndARepeatedHeader:
    @pytest.fixture
    def rows(self):
        return rows_of(read("semicolons.csv"))

    def test_leave_titles_sections_headers_and_totals_out(self, rows):
        left = {number: row.why for number, row in rows.items() if row.outcome == "not_data"}

        assert left == {
            1: "title", 2: "blank", 3: "header", 4: "section", 9: "header", 10: "section", 14: "total",
        }  # fmt: skip

    def test_take_the_unit_from_the_heading(self, rows):
        # 48 in = 1.2192 m; 1/3 hp = 248.566624 W
        assert rows[5].facts["pit.depth_m"] == pytest.approx(1.2192)
        assert rows[5].facts["pump.power_w"] == pytest.approx(248.566624)

    def test_let_the_unit_in_the_cell_stand_above_the_heading(self, rows):
        assert rows[6].facts["pit.depth_m"] == pytest.approx(1.2192)  # 4 ft
        assert rows[11].facts["pit.depth_m"] == pytest.approx(1.22)
        assert rows[11].facts["pump.power_w"] == pytest.approx(250.0)

    def test_count_a_quoted_line_break_as_no_row(self, rows):
        assert rows[5].facts["notes"] == "weep hole missing\ncall first"
        assert rows[5].from_remarks["weep_hole.present"].value is False
        assert rows[6].line == 7

    def test_read_couples_companies_and_extensions(self, rows):
        assert rows[5].facts["household.names"] == ["Juno Greenlaw", "Cosmo Greenlaw"]
        assert rows[5].facts["household.phones"] == ["2535550101x12"]
        assert rows[7].facts["household.names"] == ["Maple Court HOA"]
        assert rows[11].facts["household.names"] == ["Kit Lowmoor", "Beryl Lowmoor"]

    def test_refuse_and_ask_cell_by_cell(self, rows):
        assert told(rows[7]) == {
            ("household.phones", "not_a_phone", "555-0103"),
            ("pump.power_w", "impossible_value", "900"),
            ("system.installed_on", "relative_date", "last week"),
        }
        assert told(rows[8]) == {
            ("pit.depth_m", "impossible_value", "999"),
            ("pump.power_w", "unclear", "?"),
            ("system.installed_on", "future_date", "2/2027"),
        }
        assert told(rows[12]) == {
            ("pit.depth_m", "formula_error", "#REF!"),
            ("pump.power_w", "formula_text", "=1/2"),
        }

    def test_keep_a_formula_in_remarks_as_text(self, rows):
        assert rows[11].facts["notes"] == "=SUM(A1)"

    def test_refuse_a_row_without_address(self, rows):
        assert rows[13].outcome == "refused"
        assert rows[13].facts == {}
        assert told(rows[13]) == {("site.address", "no_address", "Thora Nobody")}

    def test_ask_where_a_row_speaks_of_two_pits(self, rows):
        assert told(rows[6]) == {("site.system_count", "unclear", "2 pits")}

    def test_ask_once_about_a_column_of_prices_and_keep_its_cells(self, rows):
        (asked,) = read("semicolons.csv").columns

        assert (asked.column, asked.examples) == ("Price", ("450", "500"))
        assert rows[5].kept == {"Price": "450"}


class TestThreeHeaderRowsAndDittoMarks:
    @pytest.fixture
    def rows(self):
        return rows_of(read("three_header_rows.txt"))

    def test_join_group_name_and_unit(self, rows):
        # 4 ft = 1.2192 m, 36 in = 0.9144 m
        assert rows[4].facts["pit.depth_m"] == pytest.approx(1.2192)
        assert rows[4].facts["pit.width_m"] == pytest.approx(0.9144)
        assert rows[4].facts["pump.installed_on"] == "2019"

    def test_repeat_what_stands_above_a_lone_quote_sign(self, rows):
        assert rows[5].facts["household.names"] == ["Juno Greenlaw"]
        assert rows[5].facts["site.address"] == "12 Oxbow Ct"
        assert rows[5].continues == 4

    def test_tell_one_household_with_two_sites(self, rows):
        assert rows[7].facts["household.names"] == ["Ivor Holmby"]
        assert (rows[7].continues, rows[7].same_household_as) == (None, 6)

    def test_read_words_of_the_trade_in_their_columns(self, rows):
        assert [rows[n].facts.get("pump.base") for n in (4, 5, 7)] == [
            "loose_stone",
            "solid",
            "solid",
        ]
        assert rows[5].facts["valve.attitude"] == "on_its_side"
        assert rows[6].facts["valve.present"] is False
        assert told(rows[6]) == {("pump.base", "unclear", "?")}


class TestPipesAndCodes:
    @pytest.fixture
    def rows(self):
        return rows_of(read("pipes.csv"))

    def test_take_a_pump_apart(self, rows):
        facts = rows[2].facts

        # 40 gpm x 3.785411784 L / 60 s = 2.5236 L/s; 10 ft = 3.048 m
        assert facts["pump.flow_m3s"] == pytest.approx(0.0025236, abs=1e-7)
        assert facts["pump.head_m"] == pytest.approx(3.048)
        assert facts["pump.power_w"] == pytest.approx(372.849936)
        assert facts["pump.model"] == "1/2 hp Harrow M5, 40 gpm @ 10 ft"

    def test_read_choices(self, rows):
        assert rows[3].facts["pump.present"] is False
        assert rows[3].facts["line.joint"] == "tee"
        assert rows[3].facts["pit.fabric"] == "landscape"
        assert rows[2].facts["line.joint"] == "wye"

    def test_ask_about_what_is_not_plain(self, rows):
        assert told(rows[4]) == {
            ("pump.power_w", "unit_missing", "0.5"),
            ("line.end", "unclear", "curb"),
            ("line.joint", "unclear", "?"),
        }
        assert rows[4].facts["notes"] == "Alarm: yes - beeps"

    def test_see_a_repeat_under_another_number_and_spelling(self, rows):
        assert (rows[6].outcome, rows[6].duplicate_of) == ("duplicate", 5)

    def test_refuse_a_row_with_too_many_cells_whole(self, rows):
        assert rows[7].facts == {}
        assert told(rows[7]) == {("", "too_many_columns", "oops")}


class TestCustomerBook:
    @pytest.fixture
    def rows(self):
        return rows_of(read("customer_book.csv"))

    def test_place_headings_that_are_shortened_or_doubled(self):
        reading = read("customer_book.csv")

        assert reading.columns == ()
        assert dict(reading.sheets[0].columns)["Date Inst."] == "system.installed_on"

    def test_read_sizes_written_with_x(self, rows):
        assert rows[5].facts["pit.width_m"] == pytest.approx(1.2192)
        assert rows[8].facts["pit.depth_m"] == pytest.approx(1.2192)

    def test_read_yes_with_a_remark_behind_it(self, rows):
        assert rows[6].facts["valve.present"] is True
        assert rows[6].facts["valve.attitude"] == "on_its_side"

    def test_do_not_take_a_neighbours_weep_hole_for_ours(self, rows):
        assert rows[8].facts["weep_hole.present"] is True
        assert "weep_hole.present" not in rows[8].from_remarks

    def test_do_not_take_the_past_for_the_present(self, rows):
        assert "pump.base" not in rows[9].from_remarks

    def test_keep_what_the_sheet_says_nobody_knows(self, rows):
        assert rows[7].unknown == {
            "household.emails": "none", "pit.depth_m": "unk", "pump.power_w": "TBD",
        }  # fmt: skip

    def test_ask_whether_the_people_have_changed(self, rows):
        assert ("household.names", "unclear", "sold 2022 - new owner?") in told(rows[7])

    def test_refuse_names_that_are_formulas(self, rows):
        assert told(rows[11]) == {
            ("household.names", "formula_text", '=HYPERLINK("http://x")'),
            ("pit.depth_m", "impossible_value", "40'"),
        }

    def test_never_take_the_address_of_the_row_above_for_another_name(self, rows):
        assert [rows[n].outcome for n in (12, 13)] == ["refused", "refused"]

    def test_ask_about_a_row_that_contradicts_another(self, rows):
        assert rows[16].waits
        assert rows[16].facts == {}
        assert told(rows[16]) == {("pit.depth_m", "duplicate_conflict", "5'")}

    def test_see_a_repeat_in_other_words(self, rows):
        assert (rows[17].outcome, rows[17].duplicate_of) == ("duplicate", 15)


class TestDayFirstLog:
    @pytest.fixture
    def rows(self):
        return rows_of(read("day_first_log.csv"))

    def test_ask_where_other_dates_of_the_column_put_the_day_first(self, rows):
        assert told(rows[3]) == {("inspection.on", "unclear", "3.10.2024")}
        assert rows[5].facts["inspection.on"] == "2024-10-13"

    def test_read_the_pump_column_of_a_log_as_whether_it_ran(self, rows):
        assert [rows[n].facts.get("inspection.pump_ran") for n in (3, 5, 6, 7)] == [
            True,
            False,
            True,
            None,
        ]

    def test_ask_about_words_that_are_no_measure(self, rows):
        assert told(rows[7]) == {
            ("inspection.sediment_m", "unclear", "trace"),
            ("inspection.drain_time_s", "unclear", "still full"),
            ("inspection.pump_ran", "unclear", "no power"),
        }

    def test_refuse_days_that_are_none(self, rows):
        assert ("inspection.on", "relative_date", "yesterday") in told(rows[8])
        assert ("inspection.on", "invalid_date", "31/11/2024") in told(rows[9])

    def test_do_not_read_a_wish_as_a_fact(self, rows):
        assert rows[10].from_remarks == {}

    def test_ask_for_the_date_of_a_visit_without_one(self, rows):
        assert told(rows[11]) == {("inspection.on", "unclear", "24 Islay Ct")}


class TestNamesInTwoColumns:
    def test_join_first_and_last_name_and_house_number(self):
        rows = rows_of(read("first_and_last.csv"))

        assert rows[2].facts["household.names"] == ["Juno Greenlaw", "Cosmo Greenlaw"]
        assert rows[2].facts["site.address"] == "12 Oxbow Ct"
        assert rows[4].facts["household.names"] == ["Maple Court HOA"]

    def test_take_an_email_that_stands_under_telephones(self):
        assert rows_of(read("first_and_last.csv"))[3].facts["household.emails"] == [
            "juno@example.com"
        ]

    def test_tell_a_size_by_its_cells_and_a_date_by_its_neighbours(self):
        placed = dict(read("first_and_last.csv").sheets[0].columns)

        assert (placed["Size"], placed["Date"]) == ("pump.power_w", "system.installed_on")


class TestNameTypedOnce:
    @pytest.fixture
    def rows(self):
        return rows_of(read("name_once.csv"))

    def test_go_on_with_the_household_above(self, rows):
        assert (rows[3].continues, rows[3].facts["site.address"]) == (2, "12 Oxbow Ct")
        assert (rows[5].continues, rows[5].facts["notes"]) == (4, "call before 9")

    def test_ask_whose_an_address_without_a_name_is(self, rows):
        assert ("household.names", "unclear", "14 Oxbow Ct") in told(rows[4])

    def test_do_not_go_on_across_a_gap(self, rows):
        assert rows[7].outcome != "taken"
        assert rows[7].facts == {}
        assert ("site.address", "no_address") in {(f, r) for f, r, _ in told(rows[7])}

    def test_ask_whether_a_length_under_pit_is_its_depth(self, rows):
        assert ("pit.depth_m", "unclear", "4 ft") in told(rows[2])


class TestInventory:
    @pytest.fixture
    def rows(self):
        return rows_of(read("inventory.csv"))

    def test_read_how_and_where_the_valve_lies_from_one_column(self, rows):
        assert (rows[3].facts["valve.attitude"], rows[3].facts["valve.place"]) == (
            "upright",
            "in_pit",
        )
        assert rows[5].facts["valve.place"] == "buried"

    def test_do_not_read_a_mended_valve_or_hearsay_from_remarks(self, rows):
        assert rows[3].from_remarks == {}
        assert rows[5].from_remarks == {}

    def test_ask_about_several_pumps_and_a_pump_that_is_gone(self, rows):
        assert told(rows[6]) == {("pump.count", "unclear", "two pumps in pit")}
        assert told(rows[10]) == {("pump.present", "unclear", "removed pump 2020")}

    def test_refuse_what_contradicts_the_unit_of_the_heading(self, rows):
        # 54 ft = 16.46 m, which no pit is; 54 in was meant, but only a person can say so.
        assert told(rows[4]) == {("pit.depth_m", "impossible_value", "54")}

    def test_name_the_telephone_that_holds_a_letter(self, rows):
        assert ("household.phones", "not_a_phone", "(253) 555-01O4") in told(rows[5])
        assert rows[5].facts["household.phones"] == ["2535550103"]

    def test_refuse_tomorrow(self, rows):
        assert told(rows[11]) == {("system.installed_on", "future_date", "11/4/2025")}

    def test_see_that_a_row_with_fewer_facts_adds_nothing(self, rows):
        assert (rows[12].outcome, rows[12].duplicate_of) == ("duplicate", 11)


class TestTabLog:
    @pytest.fixture
    def rows(self):
        return rows_of(read("tab_log.txt"))

    def test_read_measures_of_a_visit(self, rows):
        facts = rows[2].facts

        # 2 1/2 in = 0.0635 m; 3 days = 259,200 s; 35 gpm = 2.2082 L/s
        assert facts["inspection.sediment_m"] == pytest.approx(0.0635)
        assert facts["inspection.drain_time_s"] == 259_200.0
        assert facts["inspection.flow_m3s"] == pytest.approx(0.0022082, abs=1e-7)
        assert facts["inspection.current_a"] == pytest.approx(4.2)

    def test_do_not_take_a_cross_for_a_pump_that_ran(self, rows):
        assert told(rows[4]) == {("inspection.pump_ran", "unclear", "X")}

    def test_go_on_with_the_same_address_without_a_name(self, rows):
        assert (rows[6].continues, rows[6].facts["household.names"]) == (5, ["Cobbett"])


class TestWorkbook:
    @pytest.fixture
    def reading(self):
        return read("workbook.xlsx")

    def test_ask_for_the_unit_of_a_bare_number(self, reading):
        assert told(rows_of(reading, "Systems")[3]) == {("pit.depth_m", "unit_missing", "4.5")}

    def test_split_town_state_and_postcode_off(self, reading):
        facts = rows_of(reading, "Systems")[3].facts

        assert facts["site.address"] == "12 Oxbow Ct"
        assert (facts["site.city"], facts["site.region"], facts["site.postcode"]) == (
            "Tacoma",
            "WA",
            "98402",
        )

    def test_never_work_out_a_formula(self, reading):
        assert told(rows_of(reading, "Systems")[5]) == {("pit.depth_m", "formula_text", "=12*4")}

    def test_add_a_second_telephone_to_the_household_above(self, reading):
        row = rows_of(reading, "Systems")[6]

        assert (row.continues, row.facts["household.phones"]) == (5, ["3605550103"])

    def test_hold_a_hidden_row_back(self, reading):
        row = rows_of(reading, "Systems")[8]

        assert (row.facts, row.waits) == ({}, True)
        assert ("", "hidden_row", "18 Oxbow Ct") in told(row)

    def test_ask_about_a_struck_cell_and_a_comment(self, reading):
        assert told(rows_of(reading, "Systems")[9]) == {
            ("pump.power_w", "struck_out", "3/4 hp"),
            ("pit.depth_m", "unclear", "measured by Otis, could be 5 ft"),
        }

    def test_give_a_merged_household_two_systems(self, reading):
        rows = rows_of(reading, "Systems")

        assert (rows[11].continues, rows[11].outcome) == (10, "taken")
        assert rows[11].facts["pit.depth_m"] == pytest.approx(0.9144)

    def test_find_the_site_of_a_visit_by_its_number(self, reading):
        row = rows_of(reading, "Visits")[2]

        assert (row.facts["site.address"], row.refers_to) == ("12 Oxbow Ct", ("Systems", 3))

    def test_ask_about_a_visit_to_a_system_not_in_the_list(self, reading):
        assert ("system.code", "unknown_system", "9") in told(rows_of(reading, "Visits")[4])

    def test_see_repeats_and_contradictions_of_visits(self, reading):
        rows = rows_of(reading, "Visits")

        assert (rows[5].outcome, rows[5].duplicate_of) == ("duplicate", 2)
        assert told(rows[6]) == {("inspection.sediment_m", "duplicate_conflict", "3.5")}

    def test_read_remarks_under_an_unusual_heading(self, reading):
        assert rows_of(reading, "Visits")[7].from_remarks["valve.attitude"].value == "on_its_side"

    def test_find_the_site_by_a_name_that_only_one_household_has(self, reading):
        rows = rows_of(reading, "By name")

        assert rows[2].facts["site.address"] == "14 Oxbow Ct"
        assert told(rows[3]) == {("household.names", "unknown_system", "Nobody")}

    def test_say_that_a_hidden_sheet_was_not_read(self, reading):
        sentences = {note.sheet: note.sentence for note in reading.sheets}

        assert "is hidden and was not read" in sentences["Old"]
        assert "has no row of headings" in sentences["Prices"]


def test_keep_a_hidden_column_aside_and_ask():
    reading = read("hidden_column.xlsx")
    row = rows_of(reading, "Sheet")[2]

    assert [question.reason for question in reading.columns] == ["hidden_column"]
    assert row.kept == {"Pit depth": "4 ft"}
    assert "pit.depth_m" not in row.facts


def test_take_telephones_and_emails_out_of_a_column_of_contacts():
    sheet = (
        b"Name,Address,Contact,Pump HP\n"
        b'Nova Thornby,12 Oxbow Ct,"253-555-0130\nnova@example.com",1/2\n'
        b"Kit Cobbett,14 Oxbow Ct,Otis 253-555-0131,1/3\n"
    )

    rows = rows_of(read_sheet(sheet, name="contacts.csv", today=TODAY))

    assert rows[2].facts["household.names"] == ["Nova Thornby"]
    assert rows[2].facts["household.phones"] == ["2535550130"]
    assert rows[2].facts["household.emails"] == ["nova@example.com"]
    assert rows[3].facts["household.names"] == ["Kit Cobbett", "Otis"]


def test_hold_a_row_whose_cells_have_slid_sideways():
    sheet = b"Name,Address,Phone,Depth,Pump,Date,Notes\nKit,Cobbett,29 Islay Dr,253-555-0106,4 ft,1/2 hp,2020\n"

    row = rows_of(read_sheet(sheet, name="slid.csv", today=TODAY))[2]

    assert (row.facts, row.waits) == ({}, True)
    assert ("", "unclear", "253-555-0106") in told(row)


def test_find_the_site_of_a_log_in_the_register():
    known = Context((KnownSite("12 Oxbow Ct", ("Juno Greenlaw",), "K7Q"),))
    sheet = b"System no,Visited,Silt\nK7Q,5/6/2024,1 in\nK7R,5/6/2024,1 in\n"

    rows = rows_of(read_sheet(sheet, name="log.csv", today=TODAY, context=known))

    assert rows[2].facts["site.address"] == "12 Oxbow Ct"
    assert told(rows[3]) == {("system.code", "unknown_system", "K7R")}
