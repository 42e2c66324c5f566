"""Atlas 14 texts: the facts of a real one, the short one of the case, and damaged ones."""

from pathlib import Path

import pytest

from drainservice.engine.rainfall.atlas14 import (
    FrequencyFileUnreadable,
    FrequencyTableDamaged,
    OutsideFrequencyTable,
    duration_s,
    read_atlas14,
)
from drainservice.engine.units import INCH_M, INCH_PER_HOUR_MS
from tests.engine.cases import case

FILE = Path(__file__).parents[2] / "data" / "atlas14" / "champaign_il_depth_english_pds.csv"
TEXT = FILE.read_text()


def three_tables():
    return case("D14").raw("file_text")


def test_D14_reads_the_published_depths():
    given = case("D14")

    frequency = read_atlas14(given.raw("file_text"))

    given.assert_holds("depth_24h_10yr", frequency.depth_m("24-hr", 10) / INCH_M, "in")
    given.assert_holds("depth_60min_2yr", frequency.depth_m("60-min", 2) / INCH_M, "in")
    intensity = frequency.intensity_ms("5-min", 10) / INCH_PER_HOUR_MS
    given.assert_holds("intensity_5min_10yr", intensity, "in/h")


def test_reads_all_three_tables_though_the_bounds_are_shorter():
    frequency = read_atlas14(three_tables())

    # Rows of the case's text: upper 24-hr 4.99 in, lower 4.44 in at 10 years.
    assert set(frequency.tables) == {"estimate", "upper", "lower"}
    assert frequency.depth_m("24-hr", 10, "upper") / INCH_M == pytest.approx(4.99)
    assert frequency.depth_m("24-hr", 10, "lower") / INCH_M == pytest.approx(4.44)


# NOAA Atlas 14 Volume 2 Version 3, Champaign, Illinois, in inches, as printed.
@pytest.mark.parametrize(
    ("duration", "years", "depth_in"),
    [
        ("24-hr", 1, 2.57),
        ("24-hr", 2, 3.07),
        ("24-hr", 10, 4.31),
        ("24-hr", 100, 6.88),
        ("24-hr", 1000, 11.1),
        ("60-min", 10, 2.17),
        ("60-day", 1000, 27.5),
        ("5-min", 1, 0.409),
    ],
)
def test_gives_depths_of_a_real_file_as_printed(duration, years, depth_in):
    assert read_atlas14(TEXT).depth_m(duration, years) / INCH_M == pytest.approx(depth_in)


def test_a_real_file_has_nineteen_durations_ten_intervals_and_one_table():
    frequency = read_atlas14(FILE.read_bytes())

    table = frequency.tables["estimate"]
    assert (len(table.durations_s), len(table.intervals_years)) == (19, 10)
    assert set(frequency.tables) == {"estimate"}
    assert (frequency.latitude, frequency.longitude) == (40.0962, -88.2574)
    assert frequency.notes == ()


def test_inches_become_metres_by_25_4():
    frequency = read_atlas14(TEXT)

    # 3.07 x 25.4 = 77.978 mm; 6.88 x 25.4 = 174.752 mm.
    assert frequency.depth_m("24-hr", 2) * 1000 == pytest.approx(77.978)
    assert frequency.depth_m("24-hr", 100) * 1000 == pytest.approx(174.752)


def test_millimetres_are_taken_as_the_heading_says():
    metric = read_atlas14(TEXT.replace("(inches)", "(millimeters)", 1))

    assert metric.depth_m("24-hr", 2) == pytest.approx(0.00307)


def test_intensities_are_kept_as_depths():
    text = (
        "Point precipitation frequency estimates (inches/hour)\n"
        "PRECIPITATION FREQUENCY ESTIMATES\n"
        "by duration for ARI (years):, 1,2\n"
        "60-min:, 1.26,1.52\n"
        "24-hr:, 0.107,0.128\nDate/time (GMT): x\n"
    )

    # 0.107 in/h x 24 h = 2.568 in.
    frequency = read_atlas14(text)
    assert frequency.depth_m("24-hr", 1) / INCH_M == pytest.approx(2.568)
    assert frequency.intensity_ms("24-hr", 1) / INCH_PER_HOUR_MS == pytest.approx(0.107)


def test_chances_of_an_annual_table_are_read_as_intervals():
    text = TEXT.replace(
        "ARI (years):, 1,2,5,10,25,50,100,200,500,1000",
        "AEP (1/years):, 1/1,1/2,1/5,1/10,1/25,1/50,1/100,1/200,1/500,1/1000",
    )

    assert read_atlas14(text).depth_m("24-hr", 10) / INCH_M == pytest.approx(4.31)


@pytest.mark.parametrize(
    "form", [TEXT.replace("\n", "\r\n"), "\ufeff" + TEXT, TEXT.lower(), TEXT.upper()]
)
def test_line_ends_mark_and_capitals_do_not_matter(form):
    assert read_atlas14(form.encode()).tables == read_atlas14(TEXT).tables


def test_between_printed_places_depths_lie_between_their_neighbours():
    frequency = read_atlas14(TEXT)

    # 4-hr lies between 3-hr 1.94 and 6-hr 2.28; 4 years between 3.07 and 3.73.
    assert 1.94 < frequency.depth_m(4 * 3600.0, 2) / INCH_M < 2.28
    assert 3.07 < frequency.depth_m("24-hr", 4) / INCH_M < 3.73


def test_says_how_rare_a_depth_is():
    frequency = read_atlas14(TEXT)

    assert frequency.interval_years("24-hr", 4.31 * INCH_M) == pytest.approx(10.0)
    assert 10 < frequency.interval_years("24-hr", 5.0 * INCH_M) < 25


@pytest.mark.parametrize(("duration", "years"), [("24-hr", 2000), (60.0, 10), ("90-day", 10)])
def test_says_when_a_question_lies_outside_the_table(duration, years):
    with pytest.raises(OutsideFrequencyTable, match="outside"):
        read_atlas14(TEXT).depth_m(duration, years)


def test_says_when_a_file_lacks_the_bounds():
    with pytest.raises(OutsideFrequencyTable, match="no upper table"):
        read_atlas14(TEXT).depth_m("24-hr", 10, "upper")


def test_durations_are_written_as_in_the_file():
    assert [duration_s(d) for d in ("5-min", "24-hr", "2-day")] == [300.0, 86400.0, 172800.0]
    with pytest.raises(OutsideFrequencyTable, match="60-min, 24-hr or 2-day"):
        duration_s("a while")


@pytest.mark.parametrize(
    ("healthy", "damaged", "table"),
    [
        ("24-hr:, 2.83,3.37,4.11", "24-hr:, 2.83,4.37,4.11", "estimate"),
        ("12-hr:, 2.37", "12-hr:, 2.97", "estimate"),
        ("24-hr:, 3.00,3.59", "24-hr:, 3.00,3.5x", "upper"),
        ("24-hr:, 2.67,3.19,3.88,", "24-hr:, 2.67,3.19,", "lower"),
        ("24-hr:, 2.67,3.19", "24-hr:, 2.95,3.19", "lower"),
        ("24-hr:, 3.00,", "24-hr:, -3.00,", "upper"),
        ("24-hr:, 3.00,", "24-hr:, nan,", "upper"),
        ("60-min:, ", "5-min:, ", "estimate"),
        ("AT LOWER BOUND", "AT UPPER BOUND", "upper"),
    ],
)
def test_a_damaged_table_is_named(healthy, damaged, table):
    assert healthy in three_tables()

    with pytest.raises(FrequencyTableDamaged, match=f"[Tt]he {table} table"):
        read_atlas14(three_tables().replace(healthy, damaged))


# Cut inside the row for 3-hr, and inside that for 60-day.
@pytest.mark.parametrize("shown", ["3-hr:, 1.61,1.94", "60-day:, 11.5,13.5"])
def test_a_file_cut_inside_a_row_is_refused(shown):
    cut = TEXT[: TEXT.index(shown) + len(shown)]

    with pytest.raises(FrequencyTableDamaged, match="The estimate table has 2 depths"):
        read_atlas14(cut)


def test_a_file_cut_between_two_rows_is_noted():
    cut = TEXT[: TEXT.index("3-hr:")]

    frequency = read_atlas14(cut)

    assert frequency.notes == ("The file ends without its date; it may have been cut.",)


@pytest.mark.parametrize("content", ["", "<html>error</html>", "a,b\n1,2\n"])
def test_other_files_are_refused_with_what_to_do(content):
    with pytest.raises(FrequencyFileUnreadable, match="Download"):
        read_atlas14(content)


def test_an_unknown_unit_is_refused():
    with pytest.raises(FrequencyFileUnreadable, match="furlongs"):
        read_atlas14(TEXT.replace("(inches)", "(furlongs)"))
