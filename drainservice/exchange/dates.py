"""Dates in any style, kept as precise as written: 2018-06-08, 2011-08, 2021-summer, 2019."""

import calendar
import re
from datetime import date, timedelta

from drainservice.exchange.cells import CellDoubtful, CellRefused, plain

EARLIEST_YEAR = 1950  # judgement, no source: nothing in these lists is older
_MONTHS = {name.lower(): number for number, name in enumerate(calendar.month_name) if number}
_MONTHS |= {name.lower(): number for number, name in enumerate(calendar.month_abbr) if number}
_MONTHS["sept"] = 9
_MONTH = "(" + "|".join(sorted(_MONTHS, key=len, reverse=True)) + r")\b\.?"
_SEASONS = {"spring": "spring", "summer": "summer", "fall": "autumn", "autumn": "autumn"}
_SEASONS["winter"] = "winter"
SEASON_MONTH = {"spring": 3, "summer": 6, "autumn": 9, "winter": 12}
_YEAR = r"('?\d{4}|'?\d{2})"
_DAY = r"(\d{1,2})(?:st|nd|rd|th)?"
_WEEKDAY = re.compile(
    r"^(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?\b\.?,?\s+"
)
_TIME = re.compile(
    r"[\st]+\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?\s*(?:[ap]\.?m\.?)?(?:z|[+-]\d\d:?\d\d)?$"
)
_RELATIVE = re.compile(
    r"\b(?:ago|yesterday|today|tomorrow|recent(?:ly)?|last|this|next|past|just|current|now|"
    r"(?:the )?other day|previous|(?:new|long) owner|when (?:we|they|i))\b"
)
_ROUGH = re.compile(
    r"\?|~|\b(?:about|approx\w*|ca|circa|c|abt|around|est|maybe|probably|before|after|pre|post|or|"
    r"to|by|since|until|prior)\b\.?|\d0'?s\b|[<>]|&|\band\b"
)
_LOOSE = re.compile(
    r"^(?:(?:early|late|mid|beginning of|end of|start of|in|on|the|of|sometime in)[\s-]+)+"
)


def read_date(text: str, *, today: date, future_ok: bool = False, day_first: bool = False) -> str:
    """The date as text, no more precise than written; month before day unless told otherwise.

    Raises CellRefused (invalid_date, future_date, relative_date, unparsable, impossible_value) or
    CellDoubtful (unclear).
    """
    word = _WEEKDAY.sub("", plain(text).strip(" ."))
    word = _TIME.sub("", word).strip(" ,")
    if day_first:
        word = re.sub(r"^(\d{1,2})(\s*[-/.]\s*)(\d{1,2})(?=\2)", r"\3\2\1", word)
    read = _read_words(word, text, today)
    return refuse_impossible(read, text, today=today, future_ok=future_ok)


def read_serial(number: float, *, today: date, future_ok: bool = False) -> str:
    """A day counted by a workbook since 1899-12-30, or a bare year.  Raises as `read_date`."""
    if number == int(number) and EARLIEST_YEAR <= number <= 2100:
        return refuse_impossible(f"{int(number)}", f"{number:g}", today=today, future_ok=future_ok)
    if 18_264 <= number < 73_051:  # 1950-01-01 to 2100-01-01
        day = date(1899, 12, 30) + timedelta(days=int(number))
        return refuse_impossible(day.isoformat(), f"{number:g}", today=today, future_ok=future_ok)
    return read_date(f"{number:.0f}", today=today, future_ok=future_ok)


def first_day(vague: str) -> date:
    """The first day of what a date of any precision covers."""
    parts = vague.split("-")
    year = int(parts[0])
    if len(parts) == 1:
        return date(year, 1, 1)
    month = SEASON_MONTH.get(parts[1]) or int(parts[1])
    return date(year, month, int(parts[2]) if len(parts) == 3 else 1)


def refuse_impossible(read: str, text: str, *, today: date, future_ok: bool = False) -> str:
    """Refuse days to come and days before anything of this kind was built."""
    day = first_day(read)
    if day > today and not future_ok:
        raise CellRefused("future_date", f"{text!r} lies after {today.isoformat()}")
    if day.year < EARLIEST_YEAR:
        raise CellRefused("impossible_value", f"{text!r} lies before {EARLIEST_YEAR}")
    return read


def _read_words(word: str, text: str, today: date) -> str:
    if re.search(r"\d{3,}|\d{2}", word) is None and not re.search(r"\d", word):
        if _RELATIVE.search(word) or word in _SEASONS or word in _MONTHS:
            raise CellRefused("relative_date", f"{text!r} names no day of the calendar")
        raise CellRefused("unparsable", f"{text!r} is not a date")
    exact = _read_numbers(word, text, today) or _read_named(word, text, today)
    if exact:
        return exact
    if _RELATIVE.search(word):
        raise CellRefused("relative_date", f"{text!r} depends on when it was written")
    if re.fullmatch(rf"{_DAY}[\s-]+{_MONTH}|{_MONTH}\s+{_DAY}|{_MONTH}-\d\d|\d\d?[/-]\d\d?", word):
        raise CellDoubtful("unclear", f"{text!r} does not say which year")
    if _ROUGH.search(word) or re.search(r"\d.*\d", word):
        raise CellDoubtful("unclear", f"{text!r} does not name one date")
    raise CellRefused("unparsable", f"{text!r} is not a date")


def _read_numbers(word: str, text: str, today: date) -> str:
    found = re.fullmatch(r"(\d{4})\s*([-/.])\s*(\d{1,2})\s*\2\s*(\d{1,2})", word)
    if found:
        return _day(int(found[1]), int(found[3]), int(found[4]), text)
    found = re.fullmatch(r"(\d{4})(\d{2})(\d{2})", word)
    if found:
        return _day(int(found[1]), int(found[2]), int(found[3]), text)
    found = re.fullmatch(rf"(\d{{1,2}})\s*([-/.])\s*(\d{{1,2}})\s*\2\s*{_YEAR}", word)
    if found:
        month, day = int(found[1]), int(found[3])
        if month > 12 and 1 <= day <= 12:
            month, day = day, month  # only one order is possible
        return _day(_whole_year(found[4], today), month, day, text)
    found = re.fullmatch(r"(\d{1,2})\s*[-/.]\s*(\d{4})", word)
    if found:
        return _month(int(found[2]), int(found[1]), text)
    found = re.fullmatch(r"(\d{4})\s*[-/.]\s*(\d{1,2})", word)
    if found and int(found[2]) <= 12:
        return _month(int(found[1]), int(found[2]), text)
    if re.fullmatch(r"(?:19|20)\d\d", _LOOSE.sub("", word)):
        return _LOOSE.sub("", word)
    found = re.fullmatch(r"'(\d{2})", _LOOSE.sub("", word))
    if found:
        return f"{_whole_year(found[0], today)}"
    return _read_text_serial(word, text)


def _read_text_serial(word: str, text: str) -> str:
    """A five-digit day count that lost its date format on the way into a text file."""
    if re.fullmatch(r"\d{5}(?:\.0+)?", word) and 18_264 <= float(word) < 73_051:
        return (date(1899, 12, 30) + timedelta(days=int(float(word)))).isoformat()
    if re.fullmatch(r"\d{6}", word):
        raise CellDoubtful("unclear", f"{text!r} has no signs between day, month and year")
    return ""


def _read_named(word: str, text: str, today: date) -> str:
    word = _LOOSE.sub("", word)
    patterns = (
        (rf"{_MONTH}[\s-]*{_DAY}\s*[,\s-]\s*{_YEAR}", (3, 1, 2)),
        (rf"(?:the\s+)?{_DAY}\s*(?:of\s+|[-/])?\s*{_MONTH}\s*[,\s/-]*\s*{_YEAR}", (3, 2, 1)),
        (rf"(\d{{4}})[\s,/-]+{_MONTH}[\s-]+{_DAY}", (1, 2, 3)),
    )
    for pattern, (year, month, day) in patterns:
        found = re.fullmatch(pattern, word)
        if found:
            in_year = _whole_year(found[year], today)
            return _day(in_year, _MONTHS[found[month]], int(found[day]), text)
    found = re.fullmatch(rf"{_MONTH}(?:\s+of)?[\s,/-]*('\d\d|\d{{4}})", word)
    if found:
        return _month(_whole_year(found[2], today), _MONTHS[found[1]], text)
    found = re.fullmatch(rf"(\d{{4}})[\s,/-]+{_MONTH}", word)
    if found:
        return _month(int(found[1]), _MONTHS[found[2]], text)
    found = re.fullmatch(rf"(spring|summer|fall|autumn|winter)(?:\s+of)?[\s,]*{_YEAR}", word)
    if found:
        return f"{_whole_year(found[2], today)}-{_SEASONS[found[1]]}"
    found = re.fullmatch(r"(\d{4})[\s,-]+(spring|summer|fall|autumn|winter)", word)
    return f"{found[1]}-{_SEASONS[found[2]]}" if found else ""


def _whole_year(word: str, today: date) -> int:
    """Two digits are the latest such year that is not to come (the year ahead excepted)."""
    digits = word.lstrip("'")
    if len(digits) == 4:
        return int(digits)
    year = today.year - today.year % 100 + int(digits)
    return year if year <= today.year + 1 else year - 100


def _day(year: int, month: int, day: int, text: str) -> str:
    try:
        return date(year, month, day).isoformat()
    except ValueError:
        raise CellRefused("invalid_date", f"{text!r} is no day of the calendar") from None


def _month(year: int, month: int, text: str) -> str:
    if not 1 <= month <= 12 or year < 1:
        raise CellRefused("invalid_date", f"{text!r} is no month of the calendar")
    return f"{year:04d}-{month:02d}"
