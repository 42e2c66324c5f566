"""Quantities as the trade writes them."""

import pytest

from drainservice.exchange.cells import CellDoubtful, CellRefused
from drainservice.exchange.quantities import read_bare, read_quantity

# 1 ft = 0.3048 m and 1 in = 0.0254 m exactly; 1 hp = 745.699872 W; 1 gal = 3.785411784 L
# (NIST SP 811, from memory).  3'6" = 42 in x 0.0254 = 1.0668 m.
READ = [
    ("3'6\"", "length", "", 1.0668),
    ("4'6\"", "length", "", 54 * 0.0254),
    ("4' 6 1/2\"", "length", "", 54.5 * 0.0254),
    ("4’ 6”", "length", "", 54 * 0.0254),  # noqa: RUF001
    ("4'-6\"", "length", "", 54 * 0.0254),
    ("4' 6", "length", "", 54 * 0.0254),
    ("4 ft. 6 in.", "length", "", 54 * 0.0254),
    ("4 feet and 6 inches", "length", "", 54 * 0.0254),
    ("4½'", "length", "", 54 * 0.0254),
    ("4-1/2 ft", "length", "", 54 * 0.0254),
    ("54 in", "length", "", 54 * 0.0254),
    ("54''", "length", "", 54 * 0.0254),
    ("4.5 ft deep", "length", "", 54 * 0.0254),
    ("~4 ft", "length", "", 4 * 0.3048),
    ("four feet", "length", "", 4 * 0.3048),
    ("1,22 m", "length", "", 1.22),
    ("122 cm", "length", "", 1.22),
    ("1,220 mm", "length", "", 1.22),
    ("1 m 22 cm", "length", "", 1.22),
    ("48", "length", "in", 48 * 0.0254),
    ("4 ft", "length", "in", 4 * 0.3048),
    ("1/3 hp", "power", "", 248.566624),
    (".33HP", "power", "", 246.08095776),
    ("1 1/2 h.p.", "power", "", 1.5 * 745.699872),
    ("½ horsepower", "power", "", 0.5 * 745.699872),
    ("0,25 kW", "power", "", 250.0),
    ("40 gpm", "flow", "", 40 * 3.785411784e-3 / 60),
    ("2400 gal/hr", "flow", "", 40 * 3.785411784e-3 / 60),
    ("2,5 l/s", "flow", "", 0.0025),
    ("4 hrs", "time", "", 4 * 3600.0),
    ("72h", "time", "", 72 * 3600.0),
    ("1h30m", "time", "", 5400.0),
    ("2 days", "time", "", 2 * 86400.0),
    ('0"', "length", "", 0.0),
]
FAULTS = [
    ("-4 ft", "length", CellRefused, "negative"),
    ("−4 ft", "length", CellRefused, "negative"),  # noqa: RUF001
    ("4 hp", "length", CellRefused, "unparsable"),
    ("1/0 hp", "power", CellRefused, "unparsable"),
    ("4 ft 3 m", "length", CellRefused, "unparsable"),
    ("48", "length", CellDoubtful, "unit_missing"),
    ("3' 14\"", "length", CellDoubtful, "unclear"),
    ("4.5' 6\"", "length", CellDoubtful, "unclear"),
    ("4-5 ft", "length", CellDoubtful, "unclear"),
    ("4 to 5 ft", "length", CellDoubtful, "unclear"),
    ("4 ft?", "length", CellDoubtful, "unclear"),
    ("24+ hrs", "time", CellDoubtful, "unclear"),
    ("(4 ft)", "length", CellDoubtful, "unclear"),
    ("1/2 or 1/3 hp", "power", CellDoubtful, "unclear"),
]


@pytest.mark.parametrize(("text", "dimension", "unit", "expected"), READ)
def test_are_read_into_si(text, dimension, unit, expected):
    assert read_quantity(text, dimension, unit) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(("text", "dimension", "fault", "reason"), FAULTS)
def test_are_not_guessed_at(text, dimension, fault, reason):
    with pytest.raises(fault) as told:
        read_quantity(text, dimension)

    assert told.value.reason == reason


def test_need_no_unit_for_nothing():
    assert read_bare(0.0, "length", "") == 0.0
