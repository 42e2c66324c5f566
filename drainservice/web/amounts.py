"""Amounts as a person types them: 2 ft 3 in, 27 in, 1.5, 1:22, 14 h; SI comes out."""

import re

from drainservice.engine.units import (
    DAY_S,
    FOOT_M,
    HOUR_S,
    INCH_M,
    MINUTE_S,
    UnitSystem,
    si,
    unit_name,
)

LENGTHS = {
    "ft": FOOT_M,
    "foot": FOOT_M,
    "feet": FOOT_M,
    "'": FOOT_M,
    "in": INCH_M,
    "inch": INCH_M,
    "inches": INCH_M,
    '"': INCH_M,
    "m": 1.0,
    "cm": 0.01,
    "mm": 0.001,
}
TIMES = {
    "s": 1.0,
    "sec": 1.0,
    "seconds": 1.0,
    "min": MINUTE_S,
    "minutes": MINUTE_S,
    "h": HOUR_S,
    "hours": HOUR_S,
    "d": DAY_S,
    "days": DAY_S,
}
UNITS = {
    "length": LENGTHS,
    "level": LENGTHS,
    "small_length": LENGTHS,
    "time": TIMES,
    "hours": TIMES,
}
EXAMPLES = {
    "length": "12.5 or 12 ft 6 in",
    "level": "2 ft 3 in or 27 in",
    "small_length": "1.5 or 1 1/2 in",
    "time": "22 or 1:22",
    "hours": "14 h or 40 min",
}
METRIC_EXAMPLES = {"length": "3.8", "level": "0.69 or 69 cm", "small_length": "38 or 3.8 cm"}
# Nobody writes an amount so long, and digits without end are no number at all.
LONGEST = 60
_NUMBER = r"(\d+)/(\d+)|(\d+(?:[.,]\d+)?)(?:\s+(\d+)/(\d+))?"
_TERM = re.compile(rf"\s*(?:{_NUMBER})\s*([a-z'\"]*)\s*")


class AmountRefused(ValueError):
    """The text is no amount of this kind; the sentence shows how to write it."""


def read_amount(text: str, quantity: str, system: UnitSystem) -> float:
    """SI value of what was typed; a bare number counts in the firm's unit of that quantity.

    `quantity` is one of `engine.units`, or "count" or "voltage" for a plain number.
    Errors: AmountRefused.
    """
    words = text.strip().lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    words = words.replace("\N{PRIME}", "'").replace("\N{DOUBLE PRIME}", '"').replace("''", '"')
    if len(words) > LONGEST:
        raise _refusal(text[:LONGEST], quantity, system)
    clock = re.fullmatch(r"(\d{1,3}):(\d{2})(?:\.\d+)?", words)
    if clock and quantity == "time":
        return int(clock[1]) * MINUTE_S + int(clock[2])
    terms = _read_terms(words, text, quantity, system)
    units = UNITS.get(quantity, {})
    if len(terms) == 1 and terms[0][1] in {"", _own_unit(quantity, system)}:
        return _plain(terms[0][0], quantity, system)
    if not all(unit in units for _, unit in terms):
        raise _refusal(text, quantity, system)
    return sum(value * units[unit] for value, unit in terms)


def _read_terms(
    words: str, text: str, quantity: str, system: UnitSystem
) -> list[tuple[float, str]]:
    terms, at = [], 0
    while at < len(words):
        found = _TERM.match(words, at)
        if found is None or found.end() == at:
            raise _refusal(text, quantity, system)
        terms.append((_value(found, text, quantity, system), found[6]))
        at = found.end()
    if not terms or len(terms) > 3:
        raise _refusal(text, quantity, system)
    return terms


def _value(found: re.Match[str], text: str, quantity: str, system: UnitSystem) -> float:
    whole = float(found[3].replace(",", ".")) if found[3] else 0.0
    over, under = found[1] or found[4], found[2] or found[5]
    if under is not None and int(under) == 0:
        raise _refusal(text, quantity, system)
    return whole + (int(over) / int(under) if over and under else 0.0)


def _plain(value: float, quantity: str, system: UnitSystem) -> float:
    return value if quantity in {"count", "voltage"} else si(value, quantity, system)


def _own_unit(quantity: str, system: UnitSystem) -> str:
    if quantity in {"count", "voltage"}:
        return ""
    return unit_name(quantity, system).lower()


def _refusal(text: str, quantity: str, system: UnitSystem) -> AmountRefused:
    example = EXAMPLES.get(quantity, "a number such as 12.5")
    if system == UnitSystem.METRIC:
        example = METRIC_EXAMPLES.get(quantity, example)
    return AmountRefused(f"{text.strip()[:40]!r} cannot be read here; write it like {example}.")
