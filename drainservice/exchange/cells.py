# ruff: noqa: RUF001
"""One cell of a sheet: its text cleaned, and the ways in which it says nothing or says it again."""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

LONGEST_CELL = 5_000
LONGEST_VALUE = 500  # a cell that is no remark


def _words(text: str) -> frozenset[str]:
    """The words of a text, "_" standing for a space inside one."""
    return frozenset(text.split())


# Judgement, no source: what people type where they know nothing.
UNKNOWN_WORDS = _words(
    """na n/a n.a. n.a not_applicable unk unk. unknown unkn tbd tba tbc t.b.d. dont_know don't_know
    not_known not_sure not_recorded not_measured not_tested n/t nt not_checked no_info no_data - --
    --- . ... blank null nil missing_info to_be_determined ask see_file pending"""
)
DITTO_WORDS = _words(
    """" '' ,, „ “ ” ″ 〃 ditto do. do same same_as_above as_above idem id. -"- -''- ↑ ↓ ^ (same)
    see_above"""
)
ERROR_WORDS = _words(
    """#ref! #n/a #value! #div/0! #name? #num! #null! #spill! #calc! #getting_data"""
)
_QUOTES = str.maketrans(
    {"’": "'", "‘": "'", "′": "'", "´": "'", "`": "'", "“": '"', "”": '"', "″": '"', "–": "-"}
    | {"—": "-", "−": "-", "‐": "-", "‑": "-", "⁄": "/", "×": "x", "\u00a0": " "}
)
_INVISIBLE = re.compile("[\u200b\u2060\ufeff\u00ad]")
# Tab and line breaks are ordinary inside a cell; other controls and the signs that turn the
# direction of writing are not.
_CONTROLS = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069\ufffe\uffff\ud800-\udfff]"
)


class CellRefused(ValueError):
    """The cell cannot be taken; `reason` is the class, the text says why in plain words."""

    def __init__(self, reason: str, why: str) -> None:
        super().__init__(why)
        self.reason = reason
        self.why = why


class CellDoubtful(ValueError):
    """Only a person can say what the cell means; `proposed` is our best reading, if any."""

    def __init__(self, reason: str, why: str, proposed: object = None) -> None:
        super().__init__(why)
        self.reason = reason
        self.why = why
        self.proposed = proposed


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands in one place of a grid, as shown, and how it stands there."""

    text: str = ""
    kind: str = "text"  # text, number, date, time, yesno, formula, error
    number: float | None = None
    date_iso: str = ""
    cached: str = ""  # what the workbook last computed for a formula
    struck: bool = False
    comment: str = ""
    merged_from: int | None = None  # the row whose merged cell covers this place

    @property
    def is_blank(self) -> bool:
        return not self.text.strip() and not self.comment


BLANK = Cell()


def clean_text(text: str) -> str:
    """NFC, no invisible signs, one kind of space; line breaks stay."""
    text = unicodedata.normalize("NFC", text).replace("\r\n", "\n").replace("\r", "\n")
    text = _INVISIBLE.sub("", text).replace("\u00a0", " ").replace("\u202f", " ")
    return "\n".join(re.sub(r"[ \t]+", " ", line).strip() for line in text.split("\n")).strip()


def one_line(text: str) -> str:
    """The text with line breaks made into spaces."""
    return " ".join(text.split())


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """Lower case, typewriter quotes and dashes, one line: the form in which words are compared."""
    return one_line(text.translate(_QUOTES)).lower()


def take_off_guard(text: str) -> str:
    """Take off exactly the apostrophe that guards a text beginning with = + - @ tab or return."""
    if len(text) > 1 and text[0] == "'" and text[1] in "=+-@\t\r":
        return text[1:]
    return text


def says_unknown(text: str) -> bool:
    return plain(text).strip("()[] ").replace(" ", "_") in UNKNOWN_WORDS


def says_ditto(text: str) -> bool:
    word = one_line(text).lower()
    return word in DITTO_WORDS or plain(word).replace(" ", "_") in DITTO_WORDS


def is_question_mark(text: str) -> bool:
    return bool(re.fullmatch(r"[?¿ ]+", text.strip())) and "?" in text


def is_error(text: str) -> bool:
    return text.strip().lower() in ERROR_WORDS


def refuse_unfit_text(text: str, longest: int = LONGEST_CELL) -> None:
    """Refuse what no field may hold: controls, and more characters than it has room for."""
    if len(text) > longest:
        raise CellRefused(
            "too_long",
            f"the cell holds {len(text):,} characters; at most {longest:,} are taken",
        )
    found = _CONTROLS.search(text)
    if found:
        raise CellRefused(
            "control_characters",
            f"the cell holds a control character (U+{ord(found.group()):04X}); type it again",
        )
