"""Lengths, powers, flows, times and the like, in any of the trade's ways of writing, into SI."""

import math
import re
from functools import lru_cache

from drainservice.exchange.cells import CellDoubtful, CellRefused, plain

# Factors are exact by definition (NIST SP 811: foot, inch, gallon) except the horsepower,
# 550 ft lbf/s, here to nine digits.
_FOOT, _INCH, _GALLON = 0.3048, 0.0254, 0.003785411784
_WORDS: dict[str, dict[float, str]] = {
    "length": {
        _FOOT: "' ft ft. feet foot lf",
        _INCH: "\" in in. inch inches '' ins",
        1.0: "m m. meter meters metre metres mtr",
        0.01: "cm cm. centimeter centimeters centimetre centimetres",
        0.001: "mm mm. millimeter millimeters millimetre millimetres",
        3 * _FOOT: "yd yds yard yards",
    },
    "power": {
        745.699872: "hp h.p. hp. bhp horse horses horsepower",
        1.0: "w watt watts w.",
        1000.0: "kw kilowatt kilowatts",
    },
    "flow": {
        _GALLON / 60: "gpm g.p.m. gal/min gals/min gpm. gallons/min usgpm",
        _GALLON / 3600: "gph gal/hr gal/h gallons/hr",
        0.001: "l/s lps l/sec",
        0.001 / 60: "l/min lpm lpm. l/m",
        1 / 3600: "m3/h m³/h cmh m3/hr",
        1.0: "m3/s m³/s",
        0.028316846592: "cfs ft3/s",
    },
    "time": {
        1.0: "s sec secs second seconds s. sec.",
        60.0: "min mins minute minutes min. mins. m",
        3600.0: "h hr hrs hour hours h. hr. hrs.",
        86400.0: "d day days",
        604800.0: "wk wks week weeks",
    },
    "volume": {
        _GALLON: "gal gals gallon gallons gal.",
        0.001: "l liter liters litre litres ltr",
        1.0: "m3 m³",
        0.028316846592: "ft3 cf cuft cu.ft. ft³",
    },
    "area": {_FOOT**2: "ft2 sf sqft sq.ft. ft² sq.ft sqft.", 1.0: "m2 m² sqm sq.m."},
    "mass": {0.45359237: "lb lbs lb. pound pounds", 1.0: "kg kgs"},
    "current": {1.0: "a amp amps ampere"},
    "voltage": {1.0: "v volt volts vac"},
    "fraction": {0.01: "% pct percent"},
}
UNITS: dict[str, dict[str, float]] = {
    dimension: {word: factor for factor, words in table.items() for word in words.split()}
    for dimension, table in _WORDS.items()
}
_FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8"} | {
    "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅕": "1/5", "⅙": "1/6",
}  # fmt: skip
_SPELLED = dict(
    zip(["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "twelve"],
        ["1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "12"], strict=True)
)  # fmt: skip
_SPELLED_FIRST = re.compile(
    r"^(" + "|".join(_SPELLED) + r")\b(?=\s*(?:feet|foot|ft|in|hour|day|hr|min))"
)
_PLAIN = r"(?:\d+(?:[.,]\d+)*|[.,]\d+)"
NUMBER = rf"(?:\d+(?:\s+|\s*-\s*)\d+/\d+|\d+/\d+|{_PLAIN})"
_UNIT = r"''|[\"']|(?:m|ft)[23](?:/[a-z]+)?(?![a-z0-9])|[a-z%³²][a-z%³²/.]*"
_PAIR = re.compile(rf"\s*({NUMBER})\s*({_UNIT})?[\s,;]*(?:and\b\s*)?")
_FEET_DASH_INCHES = re.compile(r"(\d\s*(?:'|ft\.?|feet))\s*-\s*(?=\d)")
_ROUGHLY = re.compile(
    r"^(?:about|approx(?:imately)?\.?|approx\.|~|≈|ca\.?|circa|roughly|abt\.?|est\.?)\s*"
)
_TRAILING = re.compile(
    r"\s*(?:\(?\b(?:deep|depth|tall|high|wide|long|dia(?:m|meter)?|thick|below grade|total|each|ea"
    r"|of (?:silt|sediment|muck|mud)|silt|sediment|muck|mud"
    r"|head|pump|submersible|motor|rated)\b\.?\)?)+\.?$"
)
# Longest first, so that "sq ft" is not read as a lone "sq" and a foot.
_JOINED = [
    (re.compile(pattern), unit)
    for pattern, unit in (
        (r"\bsq\.?\s*(ft|feet|foot)\b\.?", "sqft"),
        (r"\bsq\.?\s*m\b", "sqm"),
        (r"\b(gal|gals|gallons?)\.?\s*(?:per|a|/)\s*min(?:ute)?\b\.?", "gpm"),
        (r"\b(gal|gals|gallons?)\.?\s*(?:per|an|/)\s*h(?:ou)?r\b\.?", "gph"),
        (r"\b(?:l|lit(?:er|re)s?)\s*(?:per|/)\s*s(?:ec(?:ond)?)?\b", "l/s"),
        (r"\bcu\.?\s*(ft|feet)\b\.?", "cuft"),
        (r"\bhorse\s*power\b", "hp"),
        (r"\bh\.p\.?(?!\w)", "hp"),
    )
]


def factor_of(unit: str, dimension: str) -> float | None:
    """The factor to SI of a unit word, or None where the dimension has no such unit."""
    word = plain(unit)
    return UNITS[dimension].get(word, UNITS[dimension].get(word.rstrip(".")))


def read_number(text: str) -> float:
    """A count, a decimal with point or comma, a fraction or a mixed number; never negative.

    Raises CellRefused (unparsable) for anything else.
    """
    word = text.strip()
    mixed = re.fullmatch(r"(?:(\d+)(?:\s+|\s*-\s*))?(\d+)/(\d+)", word)
    if mixed:
        whole, top, bottom = (int(part or 0) for part in mixed.groups())
        if bottom == 0:
            raise CellRefused("unparsable", f"{text!r} divides by nothing")
        return whole + top / bottom
    if not re.fullmatch(_PLAIN, word):
        raise CellRefused("unparsable", f"{text!r} is not a number")
    return float(_decimal_point(word))


def _decimal_point(word: str) -> str:
    """The number with thousands signs taken out and a point for its decimals."""
    if "," in word and "." in word:
        decimal = max(word.rfind(","), word.rfind("."))
        return re.sub("[.,]", "", word[:decimal]) + "." + word[decimal + 1 :]
    if re.fullmatch(r"[1-9]\d{0,2}(?:,\d{3})+", word) or word.count(",") > 1:
        return word.replace(",", "")
    if word.count(".") > 1:
        raise CellRefused("unparsable", f"{word!r} is not a number")
    return word.replace(",", ".")


@lru_cache(maxsize=4096)
def prepare(text: str) -> str:
    """The text in the form the patterns expect: plain signs, fractions and words as digits."""
    word = text
    for sign, fraction in _FRACTIONS.items():
        if sign not in word:
            continue
        word = re.sub(rf"(\d)\s*{sign}", rf"\1 {fraction}", word).replace(sign, fraction)
    word = plain(word)
    for pattern, unit in _JOINED:
        word = pattern.sub(unit, word)
    return _SPELLED_FIRST.sub(lambda found: _SPELLED[found.group(1)], word)


def read_quantity(text: str, dimension: str, unit: str = "") -> float:
    """The text as a number in SI; `unit` is what the heading says, used where the cell says none.

    Raises CellRefused (negative, unparsable) or CellDoubtful (unit_missing, unclear).
    """
    word = _FEET_DASH_INCHES.sub(r"\1 ", _ROUGHLY.sub("", prepare(text)))
    _refuse_doubt(word, text)
    word = _TRAILING.sub("", word).strip()
    pairs = _read_pairs(word, text)
    if len(pairs) == 1:
        return _read_single(pairs[0], dimension, unit, text)
    return _add_up(pairs, dimension, text)


def read_bare(number: float, dimension: str, unit: str) -> float:
    """A number typed as a number, with the heading's unit.  Raises as `read_quantity`."""
    if not math.isfinite(number):
        raise CellRefused("unparsable", "that is not a finite number")
    if number < 0:
        raise CellRefused("negative", f"{number:g} is negative")
    factor = factor_of(unit, dimension) if unit else None
    if factor is None:
        if number == 0:
            return 0.0
        raise CellDoubtful("unit_missing", f"{number:g} has no unit")
    return number * factor


def _refuse_doubt(word: str, text: str) -> None:
    if re.match(r"-\s*[\d.,]", word) or re.match(r"minus\b", word):
        raise CellRefused("negative", f"{text!r} is negative")
    if re.match(r"\(\s*[\d.]+.*\)$", word):
        raise CellDoubtful("unclear", f"{text!r} stands in brackets, which may mean a negative")
    if "?" in word:
        raise CellDoubtful("unclear", f"{text!r} is marked with a question mark")
    if re.search(
        r"[<>≤≥+]|\b(?:under|over|less|more|at least|max|min\.? of|up to|plus|or)\b", word
    ):
        raise CellDoubtful("unclear", f"{text!r} gives a limit or a choice, not one value")
    without_mixed = re.sub(r"\d+\s*-\s*\d+/\d+", "", word)
    ranged = re.search(rf"{_PLAIN}\s*[\"'a-z.]*\s*(?:-|\bto\b)\s*{_PLAIN}", without_mixed)
    if ranged:
        raise CellDoubtful("unclear", f"{text!r} may be a range")


def _read_pairs(word: str, text: str) -> list[tuple[float, str]]:
    pairs: list[tuple[float, str]] = []
    at = 0
    while at < len(word):
        found = _PAIR.match(word, at)
        if found is None:
            raise CellRefused("unparsable", f"{text!r} cannot be read as a quantity")
        pairs.append((read_number(found.group(1)), found.group(2) or ""))
        at = found.end()
    if not pairs:
        raise CellRefused("unparsable", f"{text!r} cannot be read as a quantity")
    return pairs


def _read_single(pair: tuple[float, str], dimension: str, unit: str, text: str) -> float:
    number, own_unit = pair
    if not own_unit:
        return read_bare(number, dimension, unit)
    factor = factor_of(own_unit, dimension)
    if factor is None:
        raise CellRefused("unparsable", f"{text!r} has the unit {own_unit!r}, which does not fit")
    return number * factor


def _add_up(pairs: list[tuple[float, str]], dimension: str, text: str) -> float:
    """Feet and inches, hours and minutes, metres and centimetres: each smaller than the last."""
    total, last = 0.0, math.inf
    for index, (number, own_unit) in enumerate(pairs):
        factor = factor_of(own_unit, dimension) if own_unit else None
        if factor is None and not own_unit and math.isclose(last, _FOOT):
            factor = _INCH  # 4' 6 is four feet six: no other unit can follow
        if factor is None or factor >= last:
            raise CellRefused("unparsable", f"{text!r} cannot be read as one quantity")
        if index and number * factor >= last * (1 - 1e-9):
            raise CellDoubtful("unclear", f"in {text!r} the smaller part is a whole of the larger")
        if index < len(pairs) - 1 and number != int(number):
            raise CellDoubtful("unclear", f"{text!r} has a fraction before a smaller unit")
        total += number * factor
        last = factor
    return total
