"""GHCN-Daily files: the facts of four stations, and files that are cut, flagged or foreign."""

from datetime import date
from pathlib import Path

import pytest

from drainservice.engine.rainfall.daily import (
    full_years,
    monthly_means,
    part_of,
    wettest_day,
    yearly_totals,
)
from drainservice.engine.rainfall.ghcn import (
    RainFileCut,
    RainFileUnreadable,
    read_by_station_csv,
    read_dly,
    read_ghcn_daily,
)
from drainservice.engine.rainfall.storms import days_over
from drainservice.engine.units import INCH_M
from tests.engine.cases import case

RAIN = Path(__file__).parents[2] / "data" / "rain"

# NOAA GHCN-Daily; figures by a separate script, as tests/data/rain/README.md tells. Station: first,
# last, usable days, missing, dropped; (year, mm, usable, traces, over 1 in); wettest, mm; days over
# 0.5 in, over 1 in, exactly 25.4 mm; full years, mean, (wettest, mm), (driest, mm).
FACTS = {
    "USW00023234": (
        ("1996-01-01", "2025-07-05", 10779, 26, 0),
        (2018, 399.0, 365, 14, 3),
        ("2021-10-24", 102.1),
        (362, 114, 4),
        (29, 496.4, (1998, 898.2), (2013, 86.0)),
        (96.0, 94.1, 63.3, 34.1, 11.2, 2.7, 0.0, 0.8, 2.1, 22.8, 53.7, 115.8),
    ),
    "USW00014819": (
        ("1998-04-01", "2025-06-29", 9931, 19, 3),
        (2018, 997.9, 365, 54, 10),
        ("2017-10-14", 132.1),
        (587, 203, 3),
        (26, 877.1, (2010, 1051.8), (2005, 526.8)),
        (36.7, 39.6, 54.3, 88.2, 104.5, 99.5, 100.9, 97.3, 65.7, 89.8, 50.9, 49.7),
    ),
    "USW00023183": (
        ("1996-01-01", "2025-07-05", 10779, 26, 0),
        (2018, 236.2, 365, 13, 2),
        ("2014-09-08", 83.8),
        (94, 20, 1),
        (29, 161.2, (1998, 267.9), (2002, 71.8)),
        (17.2, 21.1, 17.2, 5.5, 1.9, 1.0, 23.0, 22.2, 13.2, 13.0, 9.6, 16.4),
    ),
    "USW00003870": (
        ("1970-01-01", "2012-12-09", 15682, 23, 1),
        (2010, 1085.7, 365, 33, 12),
        ("1995-08-26", 236.7),
        (1372, 575, 15),
        (42, 1237.7, (1975, 1735.6), (2007, 790.0)),
        (101.9, 99.7, 129.6, 85.9, 108.9, 98.7, 116.5, 103.8, 103.4, 94.1, 93.1, 102.0),
    ),
}


def read_station(station, element="PRCP"):
    return read_ghcn_daily((RAIN / f"{station}.dly").read_bytes(), element)


def mm(value_m):
    return round(value_m * 1000, 1)


@pytest.mark.parametrize("station", FACTS)
def test_reads_span_and_counts_of_a_station(station):
    (first, last, usable, missing, dropped), *_ = FACTS[station]

    record = read_station(station)

    assert record.station == station
    assert (str(record.days[0]), str(record.days[-1])) == (first, last)
    assert (len(record.days), record.missing, len(record.dropped)) == (usable, missing, dropped)
    assert record.notes == ()


@pytest.mark.parametrize("station", FACTS)
def test_reads_one_year_of_a_station(station):
    year, total_mm, usable, traces, over = FACTS[station][1]

    part = part_of(read_station(station), date(year, 1, 1), date(year, 12, 31))

    assert mm(part.total_si) == total_mm
    assert (len(part.days), len(part.traces)) == (usable, traces)
    assert len(days_over(part.pairs, INCH_M)) == over


@pytest.mark.parametrize("station", FACTS)
def test_finds_wettest_day_and_days_over(station):
    record = read_station(station)
    wettest_on, wettest_m = wettest_day(record)
    over_half, over_one, exactly = FACTS[station][3]

    assert (str(wettest_on), mm(wettest_m)) == FACTS[station][2]
    assert len(days_over(record.pairs, 0.5 * INCH_M)) == over_half
    assert len(days_over(record.pairs, INCH_M)) == over_one
    assert record.published.count(254) == exactly


@pytest.mark.parametrize("station", FACTS)
def test_gives_the_climate_of_a_station(station):
    years, mean_mm, wettest, driest = FACTS[station][4]
    record = read_station(station)

    totals = yearly_totals(record)

    assert len(full_years(record)) == len(totals) == years
    assert mm(sum(totals.values()) / years) == mean_mm
    assert max((mm(t), y) for y, t in totals.items()) == (wettest[1], wettest[0])
    assert min((mm(t), y) for y, t in totals.items()) == (driest[1], driest[0])
    assert tuple(mm(mean) for mean in monthly_means(record)) == FACTS[station][5]


def test_drops_values_that_fail_quality_control_and_keeps_a_list():
    chicago, greenville = read_station("USW00014819"), read_station("USW00003870")

    listed = [(str(d.on), d.published, d.flag) for d in (*chicago.dropped, *greenville.dropped)]

    assert listed == [
        ("2000-12-18", 0, "I"),
        ("2000-12-19", 0, "I"),
        ("2000-12-30", 0, "I"),
        ("1976-07-29", 907, "S"),
    ]


# Chicago and Greenville, NOAA GHCN-Daily: deepest snow on the ground in mm, days with snowfall.
@pytest.mark.parametrize(
    ("station", "deepest", "snow_days"),
    [("USW00014819", ("2021-02-16", 610), 40), ("USW00003870", ("1988-01-08", 305), 115)],
)
def test_reads_snow_in_whole_millimetres(station, deepest, snow_days):
    depth = read_station(station, "SNWD")
    fall = read_station(station, "SNOW")

    on, depth_m = wettest_day(depth)
    assert (str(on), round(depth_m * 1000)) == deepest
    assert sum(1 for number in fall.published if number > 0) == snow_days


def test_both_published_forms_give_the_same_sums():
    csv = read_by_station_csv((RAIN / "USW00014819_by_station_2015on.csv").read_bytes())
    columns = read_station("USW00014819")

    since = part_of(columns, date(2015, 1, 1), date(2025, 12, 31))

    assert len(csv.days) == 3824
    assert csv.pairs == since.pairs
    assert csv.traces == since.traces


def test_D16_one_month_of_fixed_columns():
    given = case("D16")

    record = read_dly(given.raw("line"))

    threshold_m = given.raw("threshold_in") * INCH_M
    at_or_above = sum(1 for value_m in record.values_si if value_m >= threshold_m - 1e-6)
    given.assert_holds("total", record.total_si, "m")
    given.assert_holds("days_at_or_above_threshold", at_or_above)
    given.assert_holds("days_with_data", len(record.days))
    assert record.traces == (date(2021, 9, 5),)
    assert [d.flag for d in record.dropped] == ["X"]


def month_line(cells, element="PRCP", year=2020, month=2, station="US1ZZEX0002"):
    """A .dly line of an invented station; cells as {day: (value, flags)}, the rest missing."""
    body = "".join(
        f"{value:5d}{flags:3s}"
        for value, flags in (cells.get(day, (-9999, "   ")) for day in range(1, 32))
    )
    return f"{station}{year}{month:02d}{element}{body}"


def test_crlf_lf_capitals_and_a_byte_order_mark_read_alike():
    lines = [
        month_line({1: (12, "  N"), 29: (30, " N ".replace("N", " "))}),
        month_line({}, "TMAX"),
    ]
    plain = read_ghcn_daily("\n".join(lines) + "\n")

    for form in ("\r\n".join(lines), "\ufeff" + "\n".join(lines), "\n".join(lines).lower()):
        assert read_ghcn_daily(form.encode()).pairs == plain.pairs
    assert plain.days == (date(2020, 2, 1), date(2020, 2, 29))


def test_a_leap_day_exists_only_in_leap_years():
    cells = dict.fromkeys(range(1, 32), (10, "   "))

    assert len(read_dly(month_line(cells, year=2020)).days) == 29
    assert len(read_dly(month_line(cells, year=2019)).days) == 28
    assert len(read_dly(month_line(cells, year=1900)).days) == 28
    assert len(read_dly(month_line(cells, year=2000)).days) == 29


@pytest.mark.parametrize("flag", "DGIKLMNORSTWXZ")
def test_every_quality_flag_drops_its_value(flag):
    # All flags of the GHCN-Daily readme, section III (QFLAG1).
    record = read_dly(month_line({3: (500, f" {flag}7"), 4: (20, "  7")}))

    assert record.published == (20,)
    assert [d.flag for d in record.dropped] == [flag]


def test_measurement_flags_do_not_drop_a_value():
    # B, D, H, K, L, O, P, T, W of MFLAG1 say how it was measured; T alone is a trace.
    cells = {day: (5 if flag != "T" else 0, f"{flag}  ") for day, flag in enumerate("BDHKLOPTW", 1)}

    record = read_dly(month_line(cells))

    assert len(record.days) == 9
    assert record.traces == (date(2020, 2, 8),)


def test_temperatures_may_be_below_zero_and_rain_may_not():
    cold = read_dly(month_line({1: (-105, "   ")}, "TMIN"), "TMIN")
    wet = read_dly(month_line({1: (-5, "   "), 2: (5, "   ")}))

    assert cold.values_si == (-10.5,)
    assert wet.days == (date(2020, 2, 2),)
    assert "less than nothing" in wet.notes[0]


def test_rain_gathered_over_several_days_is_not_spread():
    lines = [month_line({9: (400, "   ")}, "MDPR"), month_line({1: (10, "   ")})]

    assert read_ghcn_daily("\n".join(lines)).published == (10,)


def test_a_file_cut_in_the_middle_is_refused_or_keeps_its_whole_lines_with_a_note():
    whole = (RAIN / "USW00003870.dly").read_bytes()
    cut = whole[: len(whole) // 2 - 100]

    with pytest.raises(RainFileCut, match="did not arrive whole"):
        read_ghcn_daily(cut)

    record = read_ghcn_daily(cut, keep_whole_lines=True)

    last = cut.rsplit(b"\n", 1)[1]
    assert len(last) < 269
    assert record.pairs == read_ghcn_daily(cut.rsplit(b"\n", 1)[0]).pairs
    assert last[17:21] != b"PRCP" or "cut off" in record.notes[-1]


def test_a_cut_line_of_rain_is_named():
    cut = month_line({1: (10, "   ")}) + "\n" + month_line({}, month=3)[:100]

    with pytest.raises(RainFileCut, match=r"middle of line 2.*keep the 1 days before"):
        read_ghcn_daily(cut)
    record = read_ghcn_daily(cut, keep_whole_lines=True)

    assert record.days == (date(2020, 2, 1),)
    assert record.notes == ("Line 2 is cut off; its month was left out.",)


def test_a_cut_csv_row_is_named():
    text = "US1ZZEX0002,20200101,PRCP,14,,,W,\nUS1ZZEX0002,20200102,PRCP,25"

    with pytest.raises(RainFileCut, match="middle of line 2"):
        read_ghcn_daily(text)
    record = read_ghcn_daily(text, keep_whole_lines=True)

    assert record.published == (14,)
    assert record.notes == ("Line 2 is cut off; it was left out.",)


@pytest.mark.parametrize("end", [40, 200, 265])
def test_a_cut_in_any_line_of_the_station_is_found(end):
    # Even where the last line is of another element.
    other = month_line({}, month=3).replace("PRCP", "TMAX")[:end]

    with pytest.raises(RainFileCut):
        read_ghcn_daily(month_line({1: (10, "   ")}) + "\n" + other)


def test_flags_trimmed_off_the_last_line_are_no_cut():
    trimmed = month_line({1: (10, "   ")}).rstrip()

    assert read_ghcn_daily(trimmed + "\n\n").days == (date(2020, 2, 1),)


def test_a_csv_with_a_heading_flags_and_crlf_is_read():
    text = (
        "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\r\n"
        "US1ZZEX0002,20200101,PRCP,14,,,W,0700\r\n"
        "US1ZZEX0002,20200102,PRCP,0,T,,W,\r\n"
        "US1ZZEX0002,20200103,PRCP,900,,X,W,\r\n"
        "US1ZZEX0002,20200104,PRCP,-9999,,,,\r\n"
        "US1ZZEX0002,20200105,TMAX,120,,,W,\r\n"
    )

    record = read_ghcn_daily(text)

    assert record.published == (14, 0)
    assert record.traces == (date(2020, 1, 2),)
    assert (record.missing, len(record.dropped), record.notes) == (1, 1, ())


def test_a_second_station_in_a_file_is_left_out_with_a_note():
    text = "US1ZZEX0002,20200101,PRCP,14,,,W,\nUS1ZZEX0003,20200101,PRCP,99,,,W,\n"

    assert read_ghcn_daily(text).published == (14,)
    assert read_ghcn_daily(text, station="us1zzex0003").published == (99,)
    assert "US1ZZEX0003" in read_ghcn_daily(text).notes[0]


def test_a_day_that_stands_twice_keeps_its_first_value_with_a_note():
    text = "US1ZZEX0002,20200101,PRCP,14,,,W,\nUS1ZZEX0002,20200101,PRCP,20,,,W,\n"

    record = read_ghcn_daily(text)

    assert record.published == (14,)
    assert "stands twice" in record.notes[0]


@pytest.mark.parametrize(
    "content",
    [
        "",
        " \r\n",
        b"\x00\x00",
        "<html><body>Not found</body></html>",
        "a,b,c\n1,2,3\n",
        b"\xff\xfe",
    ],
)
def test_says_what_to_do_with_a_file_that_is_no_daily_rain(content):
    with pytest.raises(RainFileUnreadable, match="NOAA"):
        read_ghcn_daily(content)


def test_a_file_wrong_on_every_line_says_so_briefly():
    text = month_line({1: (1, "   ")}) + "\n" + "nonsense here\n" * 5000

    assert len(read_ghcn_daily(text).notes) == 21


def test_refuses_an_element_it_does_not_know():
    with pytest.raises(RainFileUnreadable, match="ask for one of PRCP"):
        read_station("USW00003870", "WT01")
