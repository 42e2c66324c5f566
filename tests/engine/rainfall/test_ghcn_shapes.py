"""Shapes of GHCN-Daily files from other stations; made here after the readme, section III."""

import gzip
import zlib
from datetime import date

import pytest

from drainservice.engine.rainfall.daily import full_years, longest_gap_days, wettest_day
from drainservice.engine.rainfall.ghcn import RainFileCut, RainFileUnreadable, read_ghcn_daily


def month(year, month_of_year, values, element="PRCP", station="ASN00066062", flags=None):
    """One line of fixed columns; days without a value are -9999."""
    cells = (
        f"{values[day] if day < len(values) else -9999:5d}{(flags or {}).get(day + 1, '   ')}"
        for day in range(31)
    )
    return f"{station}{year:04d}{month_of_year:02d}{element}{''.join(cells)}"


def file_of(*lines, end="\r\n"):
    return (end.join(lines) + end).encode()


LEAP = month(2020, 2, [0] * 28 + [50])
ORDINARY = month(2021, 2, [12] * 28)


def test_a_station_abroad_with_other_elements_between():
    content = file_of(
        LEAP, month(2020, 2, [250] * 29, "TMAX"), month(2020, 2, [3], "DAPR"), ORDINARY
    )

    record = read_ghcn_daily(content)

    assert record.station == "ASN00066062"
    assert len(record.days) == 29 + 28
    assert record.missing == 0
    assert record.notes == ()
    # 28 days of 1.2 mm and a leap day of 5 mm: 38.6 mm.
    assert record.total_si == pytest.approx(0.0386)
    assert wettest_day(record) == (date(2020, 2, 29), 0.005)


def test_all_flags_of_quality_drop_and_all_of_measurement_stay():
    # Quality flags of the readme: D G I K L M N O R S T W X Z; measurement: B D H K L O P T W.
    bad = {day: f" {flag}X" for day, flag in enumerate("DGIKLMNORSTWXZ", start=1)}
    good = {day: f"{flag} X" for day, flag in enumerate("BDHKLOPTW", start=15)}

    record = read_ghcn_daily(file_of(month(2020, 1, [10] * 31, flags=bad | good)))

    assert [d.flag for d in record.dropped] == list("DGIKLMNORSTWXZ")
    assert len(record.days) == 31 - 14
    assert record.traces == (date(2020, 1, 22),)


def test_a_spell_of_years_without_a_line_is_a_gap_not_dry_days():
    content = file_of(month(1990, 12, [5] * 31), month(2001, 1, [7] * 31))

    record = read_ghcn_daily(content)

    # 1 January 1991 to 31 December 2000: 7 years of 365 days and 3 of 366.
    assert longest_gap_days(record.days) == 7 * 365 + 3 * 366
    assert full_years(record) == ()
    assert len(record.days) == 62


def test_the_largest_five_digit_value_is_read():
    # 1870 mm in a day: La Reunion's record, from memory.
    record = read_ghcn_daily(file_of(month(1952, 3, [18700])))

    assert record.values_si == (1.87,)


ROWS = b"USW00000001,20200102,PRCP,5,,,X,\nUSW00000001,20200103,PRCP,254,T,,X,0700\n"


def test_the_packed_file_as_published_is_unpacked():
    assert read_ghcn_daily(gzip.compress(ROWS)).published == (5, 254)
    assert read_ghcn_daily(gzip.compress(ROWS)) == read_ghcn_daily(ROWS)


def test_a_packed_file_cut_in_the_middle_says_so():
    many = b"".join(
        b"USW00000001,2020%02d%02d,PRCP,%d,,,X,\n" % (m, d, 37 * m * d % 91)
        for m in range(1, 13)
        for d in range(1, 29)
    )
    packed = gzip.compress(many)

    cut = packed[: len(packed) // 2]

    with pytest.raises(RainFileCut):
        read_ghcn_daily(cut)
    record = read_ghcn_daily(cut, keep_whole_lines=True)

    assert record.notes[0].startswith("The packed file is cut off")
    assert 0 < len(record.days) < 336


def test_a_damaged_or_swollen_package_is_refused_in_words():
    packer = zlib.compressobj(9, wbits=31)
    swollen = b"".join(packer.compress(bytes(1_000_000)) for _ in range(65)) + packer.flush()

    with pytest.raises(RainFileUnreadable, match="damaged"):
        read_ghcn_daily(b"\x1f\x8b\x08\x00" + b"\xff" * 40)
    with pytest.raises(RainFileUnreadable, match="more than 64,000,000 bytes"):
        read_ghcn_daily(swollen)
