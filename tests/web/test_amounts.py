"""Amounts as people type them. Conversions exact by the international yard and pound (1959)."""

import pytest

from drainservice.engine.units import UnitSystem
from drainservice.web.amounts import AmountRefused, read_amount

TRADE, METRIC = UnitSystem.TRADE, UnitSystem.METRIC


@pytest.mark.parametrize(
    ("typed", "quantity", "system", "si"),
    [
        ("2 ft 3 in", "level", TRADE, 27 * 0.0254),
        ("2' 3\"", "level", TRADE, 27 * 0.0254),
        ("27 in", "level", TRADE, 27 * 0.0254),
        ("2.25", "level", TRADE, 27 * 0.0254),
        ("1 1/2", "small_length", TRADE, 1.5 * 0.0254),
        ("3/4 in", "small_length", TRADE, 0.75 * 0.0254),
        ("38", "small_length", METRIC, 0.038),
        ("3,8 cm", "small_length", METRIC, 0.038),
        ("0.69", "level", METRIC, 0.69),
        ("69 cm", "level", METRIC, 0.69),
        ("22", "time", TRADE, 22.0),
        ("1:22", "time", TRADE, 82.0),
        ("2 min 5 s", "time", TRADE, 125.0),
        ("14", "hours", TRADE, 14 * 3600.0),
        ("40 min", "hours", TRADE, 2400.0),
        ("50", "temperature", TRADE, 10.0),
        ("5.5", "current", TRADE, 5.5),
        ("1200", "count", TRADE, 1200.0),
    ],
)
def test_reads_what_was_typed(typed, quantity, system, si):
    assert read_amount(typed, quantity, system) == pytest.approx(si)


@pytest.mark.parametrize(
    "typed",
    [
        "abc",
        "2\N{RIGHT SINGLE QUOTATION MARK}3",
        "2 ft in",
        "1/0",
        "-3",
        "2 gal",
        "1e9",
        "2 ft 3 in 4 in 5 in",
        "٣ x",
        "nan",
    ],
)
def test_shows_how_to_write_it_where_it_cannot_be_read(typed):
    with pytest.raises(AmountRefused, match="write it like 2 ft 3 in or 27 in"):
        read_amount(typed, "level", TRADE)
