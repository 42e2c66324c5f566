"""Sentences kept as a key and plain values, told in English in either unit system on demand."""

from dataclasses import dataclass

Plain = str | int | float | bool


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence: `key` names its text, `values` are its (name, plain value) pairs.

    Dates are ISO text, quantities SI numbers; nothing in it depends on language or unit system.
    """

    key: str
    values: tuple[tuple[str, Plain], ...] = ()
