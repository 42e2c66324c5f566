"""Units at the edge. Judge of every factor: pint's own tables."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.engine import units
from drainservice.engine.units import UnitSystem, number, show, si, unit_name

TRADE, METRIC = UnitSystem.TRADE, UnitSystem.METRIC
PINT = pint.UnitRegistry()
# Quantity, our SI unit as pint writes it, trade unit, metric unit.
JUDGED = [
    ("length", "m", "foot", "m"),
    ("level", "m", "foot", "m"),
    ("head", "m", "foot", "m"),
    ("distance", "m", "mile", "km"),
    ("small_length", "m", "inch", "mm"),
    ("area", "m**2", "foot**2", "m**2"),
    ("volume", "m**3", "gallon", "liter"),
    ("flow", "m**3/s", "gallon/minute", "liter/minute"),
    ("speed", "m/s", "foot/second", "m/s"),
    ("power", "W", "horsepower", "W"),
    ("pressure", "Pa", "psi", "kPa"),
    ("mass", "kg", "pound", "kg"),
    ("rate", "m/s", "inch/hour", "mm/hour"),
    ("rain", "m", "inch", "mm"),
    ("time", "s", "s", "s"),
    ("hours", "s", "hour", "hour"),
    ("temperature", "degC", "degF", "degC"),
    ("current", "A", "A", "A"),
    ("percent", "dimensionless", "percent", "percent"),
    ("rate_per_year", "1/year", "1/year", "1/year"),
]


def test_judges_every_quantity():
    judged = {row[0] for row in JUDGED}

    assert judged == set(units.SCALES)


@pytest.mark.parametrize(("quantity", "si_unit", "trade", "metric"), JUDGED)
def test_agrees_with_pint(quantity, si_unit, trade, metric):
    in_trade = PINT.Quantity(12.5, si_unit).to(trade).magnitude
    in_metric = PINT.Quantity(12.5, si_unit).to(metric).magnitude

    assert number(12.5, quantity, TRADE) == pytest.approx(in_trade, rel=1e-9)
    assert number(12.5, quantity, METRIC) == pytest.approx(in_metric, rel=1e-9)


@given(
    st.sampled_from(sorted(units.SCALES)),
    st.sampled_from([TRADE, METRIC]),
    st.floats(-1e6, 1e6, allow_nan=False),
)
def test_comes_back_from_the_form_unchanged(quantity, system, value):
    there = number(value, quantity, system)

    assert si(there, quantity, system) == pytest.approx(value, rel=1e-12, abs=1e-9)


def test_holds_the_known_constants():
    # Handbook roundings, from memory: 7.480519 gal in a cubic foot, 448.831 gpm in a ft3/s.
    assert pytest.approx(7.480519, abs=1e-6) == units.CUBIC_FOOT_M3 / units.GALLON_M3
    assert pytest.approx(448.831, abs=1e-3) == units.CUBIC_FOOT_M3 / units.GPM_M3S
    # 1 psi lifts water of 62.4 lb/ft3 by 144/62.4 = 2.308 ft (998 kg/m3 is 62.3 lb/ft3).
    psi_head_ft = units.PSI_PA / (998.0 * units.GRAVITY_MS2) / units.FOOT_M
    assert psi_head_ft == pytest.approx(2.31, abs=0.01)


@pytest.mark.parametrize(
    ("value", "quantity", "system", "words"),
    [
        (1.3716, "length", TRADE, "4 ft 6 in"),  # 4.5 * 0.3048
        (1.3716, "length", METRIC, "1.37 m"),
        (27.432, "length", TRADE, "90 ft"),
        (0.2159, "level", TRADE, "8.5 in"),
        (0.0, "level", TRADE, "0 in"),
        (-0.3302, "level", TRADE, "-1 ft 1 in"),
        (0.3046, "length", TRADE, "1 ft"),  # 11.99 in goes up to a foot, not "12 in"
        (0.00635, "small_length", TRADE, "0.25 in"),
        (0.0409, "small_length", METRIC, "41 mm"),
        (38 * units.GPM_M3S, "flow", TRADE, "38 gpm"),
        (1.63 * units.GPM_M3S, "flow", TRADE, "1.6 gpm"),
        (0.0024, "flow", METRIC, "144 L/min"),
        (1 / 3 * units.HORSEPOWER_W, "power", TRADE, "0.33 hp"),
        (8.285 * units.SQUARE_FOOT_M2, "area", TRADE, "8.3 ft²"),
        (1234 * units.GALLON_M3, "volume", TRADE, "1,234 gal"),
        (0.5 * units.INCH_M, "rain", TRADE, "0.5 in"),
        (2 * units.INCH_PER_HOUR_MS, "rate", TRADE, "2 in/h"),
        (20.0, "temperature", TRADE, "68 °F"),
        (0.09, "percent", TRADE, "9 %"),
        (0.195, "rate_per_year", METRIC, "0.195 a year"),
        (22.0, "time", TRADE, "22 s"),
        (480.0, "time", TRADE, "8 min"),
        (14 * 3600.0, "time", TRADE, "14 h"),
        (36 * 3600.0, "time", METRIC, "36 h"),
        (48 * 3600.0, "time", METRIC, "2 days"),
        (-0.00001, "flow", METRIC, "-1 L/min"),
        (-0.0000001, "flow", METRIC, "0 L/min"),
    ],
)
def test_reads_as_a_technician_says_it(value, quantity, system, words):
    assert show(value, quantity, system) == words


def test_names_the_unit_beside_a_field():
    assert unit_name("flow", TRADE) == "gpm"
    assert unit_name("level", METRIC) == "m"


@pytest.mark.parametrize("call", [show, number, si])
def test_refuses_what_is_no_number(call):
    with pytest.raises(units.NotANumber, match="enter the reading again"):
        call(float("nan"), "flow", TRADE)


def test_refuses_an_unknown_quantity():
    with pytest.raises(units.UnknownQuantity, match="use one of"):
        show(1.0, "loudness", TRADE)
