"""Constants in SI, and the step between SI and the trade's or metric units."""

import math
from dataclasses import dataclass
from enum import StrEnum

# Exact by the international yard and pound (1959) and NIST SP 811, except where a comment says so.
INCH_M = 0.0254
FOOT_M = 12 * INCH_M
MILE_M = 5280 * FOOT_M
SQUARE_FOOT_M2 = FOOT_M**2
CUBIC_FOOT_M3 = FOOT_M**3
GALLON_M3 = 231 * INCH_M**3
MINUTE_S = 60.0
HOUR_S = 3600.0
DAY_S = 86400.0
YEAR_DAYS = 365.25
GPM_M3S = GALLON_M3 / MINUTE_S
POUND_KG = 0.45359237
GRAVITY_MS2 = 9.80665
PSI_PA = POUND_KG * GRAVITY_MS2 / INCH_M**2
# 550 foot-pounds-force a second, rounded: the mechanical horsepower.
HORSEPOWER_W = 745.699872
INCH_PER_HOUR_MS = INCH_M / HOUR_S
LITRE_M3 = 0.001
MILLIMETRE_M = 0.001
FREEZING_F = 32.0


class UnitSystem(StrEnum):
    """The units a person reads: the trade's (feet, gallons) or metric."""

    TRADE = "trade"
    METRIC = "metric"


class UnknownQuantity(ValueError):
    """The name of a quantity is not in the table below."""


class NotANumber(ValueError):
    """A value is infinite or not a number, so it cannot be shown or converted."""


@dataclass(frozen=True, slots=True)
class Scale:
    """One unit: SI value = (number - zero) * si_per_unit; at most so many decimals when shown."""

    unit: str
    si_per_unit: float
    decimals: int
    zero: float = 0.0


# Quantity: (trade, metric). The SI value is in m, m2, m3, m3/s, W, m/s, s, Pa, kg, A; a
# temperature in degrees Celsius, a percentage as a fraction, a yearly rate in 1/year.
SCALES: dict[str, tuple[Scale, Scale]] = {
    "length": (Scale("ft", FOOT_M, 2), Scale("m", 1.0, 2)),
    "level": (Scale("ft", FOOT_M, 2), Scale("m", 1.0, 3)),
    "head": (Scale("ft", FOOT_M, 1), Scale("m", 1.0, 2)),
    "distance": (Scale("mi", MILE_M, 1), Scale("km", 1000.0, 1)),
    "small_length": (Scale("in", INCH_M, 2), Scale("mm", MILLIMETRE_M, 0)),
    "area": (Scale("ft²", SQUARE_FOOT_M2, 1), Scale("m²", 1.0, 2)),
    "volume": (Scale("gal", GALLON_M3, 1), Scale("L", LITRE_M3, 0)),
    "flow": (Scale("gpm", GPM_M3S, 1), Scale("L/min", LITRE_M3 / MINUTE_S, 0)),
    "speed": (Scale("ft/s", FOOT_M, 1), Scale("m/s", 1.0, 2)),
    "power": (Scale("hp", HORSEPOWER_W, 2), Scale("W", 1.0, 0)),
    "pressure": (Scale("psi", PSI_PA, 1), Scale("kPa", 1000.0, 0)),
    "mass": (Scale("lb", POUND_KG, 1), Scale("kg", 1.0, 1)),
    "rate": (Scale("in/h", INCH_PER_HOUR_MS, 2), Scale("mm/h", MILLIMETRE_M / HOUR_S, 0)),
    "rain": (Scale("in", INCH_M, 2), Scale("mm", MILLIMETRE_M, 0)),
    "time": (Scale("s", 1.0, 1), Scale("s", 1.0, 1)),
    "hours": (Scale("h", HOUR_S, 1), Scale("h", HOUR_S, 1)),
    "temperature": (Scale("°F", 5 / 9, 0, FREEZING_F), Scale("°C", 1.0, 0)),
    "current": (Scale("A", 1.0, 1), Scale("A", 1.0, 1)),
    "percent": (Scale("%", 0.01, 1), Scale("%", 0.01, 1)),
    "rate_per_year": (Scale("a year", 1.0, 3), Scale("a year", 1.0, 3)),
}
IN_FEET_AND_INCHES = ("length", "level")


def number(value: float, quantity: str, system: UnitSystem) -> float:
    """The SI value as a plain number in the reader's unit, for a form field.

    Raises UnknownQuantity, NotANumber.
    """
    scale = _find_scale(quantity, system)
    return _checked(value) / scale.si_per_unit + scale.zero


def si(value: float, quantity: str, system: UnitSystem) -> float:
    """The number a person typed in their unit as an SI value; `number` is its inverse.

    Raises UnknownQuantity, NotANumber.
    """
    scale = _find_scale(quantity, system)
    return (_checked(value) - scale.zero) * scale.si_per_unit


def unit_name(quantity: str, system: UnitSystem) -> str:
    """The unit beside a form field. Raises UnknownQuantity."""
    return _find_scale(quantity, system).unit


def show(value: float, quantity: str, system: UnitSystem) -> str:
    """The SI value as a person reads it, with its unit: 4 ft 6 in, 38 gpm, 14 h, 2 days.

    Lengths and levels in the trade's units go to the nearest half inch; everything else to the
    decimals of its scale, and to no more than three figures. Raises UnknownQuantity, NotANumber.
    """
    if quantity == "time":
        return _show_time(_checked(value))
    if quantity in IN_FEET_AND_INCHES and system == UnitSystem.TRADE:
        return _show_feet_and_inches(_checked(value))
    scale = _find_scale(quantity, system)
    return f"{_tidy(number(value, quantity, system), scale.decimals)} {scale.unit}"


def _find_scale(quantity: str, system: UnitSystem) -> Scale:
    if quantity not in SCALES:
        raise UnknownQuantity(f"No quantity is called {quantity!r}; use one of {sorted(SCALES)}.")
    trade, metric = SCALES[quantity]
    return trade if system == UnitSystem.TRADE else metric


def _checked(value: float) -> float:
    if not math.isfinite(value):
        raise NotANumber(f"{value} is not a number that can be shown; enter the reading again.")
    return value


def _tidy(value: float, decimals: int) -> str:
    """At most so many decimals, at most three figures where there are decimals, no empty zeros."""
    whole_digits = len(str(int(abs(value)))) if abs(value) >= 1 else 0
    text = f"{value:,.{max(0, min(decimals, 3 - whole_digits))}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def _show_feet_and_inches(value_m: float) -> str:
    half_inches = round(abs(value_m) / INCH_M * 2)
    feet, rest = divmod(half_inches, 24)
    inches = f"{rest / 2:g} in"
    words = inches if feet == 0 else f"{feet:,} ft" if rest == 0 else f"{feet:,} ft {inches}"
    return f"-{words}" if value_m < 0 and half_inches else words


def _show_time(value_s: float) -> str:
    """Seconds up to two minutes, minutes up to two hours, hours up to two days, then days."""
    size_s = abs(value_s)
    if size_s < 2 * MINUTE_S:
        amount, unit = value_s, "s"
    elif size_s < 2 * HOUR_S:
        amount, unit = value_s / MINUTE_S, "min"
    elif size_s < 2 * DAY_S:
        amount, unit = value_s / HOUR_S, "h"
    else:
        amount, unit = value_s / DAY_S, "days"
    return f"{_tidy(amount, 1 if abs(amount) < 10 else 0)} {unit}"
