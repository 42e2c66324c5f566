"""Reading one thing out of JSON, so that whatever is wrong is said with the way to it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeVar

T = TypeVar("T")
# Larger than any second of a century and any cost; beyond it numbers would not fit 64 bits.
LARGEST = 1 << 40


class InputsCannotBeRead(ValueError):
    """A file of plan inputs is not one; the text says where, and what to change."""


@dataclass(frozen=True, slots=True)
class Thing:
    """A JSON object, and where it stands: `stops[3]`."""

    where: str
    facts: dict[str, object]

    def only(self, names: Iterable[str]) -> None:
        """Refuse a field that has no meaning, for it may be a misspelt one that has."""
        known = sorted(names)
        for name in self.facts:
            if name not in known:
                raise InputsCannotBeRead(
                    f"{self.where} has a field {name!r}, which means nothing here; there may be: "
                    f"{', '.join(known)}."
                )

    def number(self, name: str, default: int | None = None, least: int | None = None) -> int:
        """A whole number; the default where it is absent and there is one."""
        if name not in self.facts:
            if default is None:
                raise InputsCannotBeRead(f"{self.where} lacks {name!r}: give a whole number.")
            return default
        return as_number(f"{self.where}.{name}", self.facts[name], least)

    def number_or_none(self, name: str, least: int | None = None) -> int | None:
        """A whole number; None where it is absent or null."""
        return None if self.facts.get(name) is None else self.number(name, least=least)

    def flag(self, name: str) -> bool:
        """True or false; false where it is absent."""
        value = self.facts.get(name, False)
        if not isinstance(value, bool):
            raise InputsCannotBeRead(f"{self.where}.{name} must be true or false.")
        return value

    def things(self, name: str, read: Callable[["Thing"], T], *, needed: bool) -> tuple[T, ...]:
        """A list of objects, each read."""
        if not needed and name not in self.facts:
            return ()
        where = self.where + "." + name if self.where != TOP else name
        rows = as_list(where, self.facts.get(name))
        return tuple(read(as_thing(f"{where}[{i}]", row)) for i, row in enumerate(rows))

    def words(self, name: str) -> frozenset[str]:
        """A list of words; none where it is absent."""
        rows = as_list(f"{self.where}.{name}", self.facts.get(name, []))
        words = [row for row in rows if isinstance(row, str) and row]
        if len(words) != len(rows):
            raise InputsCannotBeRead(f"{self.where}.{name} must be a list of words.")
        return frozenset(words)

    def numbers(self, name: str) -> tuple[int, ...]:
        """A list of whole numbers from 0 on."""
        where = f"{self.where}.{name}"
        rows = as_list(where, self.facts.get(name))
        return tuple(as_number(f"{where}[{i}]", row, 0) for i, row in enumerate(rows))

    def pairs(self, name: str, least: int | None = None) -> tuple[tuple[int, int], ...]:
        """A list of pairs of whole numbers; none where it is absent."""
        where = f"{self.where}.{name}"
        out = []
        for i, row in enumerate(as_list(where, self.facts.get(name, []))):
            pair = as_list(f"{where}[{i}]", row)
            if len(pair) != 2:
                raise InputsCannotBeRead(f"{where}[{i}] must be a pair of whole numbers.")
            one, two = (as_number(f"{where}[{i}]", value, least) for value in pair)
            out.append((one, two))
        return tuple(out)


TOP = "The file"


def as_thing(where: str, value: object) -> Thing:
    """A JSON object."""
    if not isinstance(value, dict):
        raise InputsCannotBeRead(f"{where} must be an object with named fields, in braces.")
    return Thing(where, value)


def as_list(where: str, value: object) -> list[object]:
    """A JSON list."""
    if not isinstance(value, list):
        raise InputsCannotBeRead(f"{where} must be a list, in square brackets.")
    return value


def as_number(where: str, value: object, least: int | None = None) -> int:
    """A whole number, not below `least`."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise InputsCannotBeRead(f"{where} must be a whole number, not {value!r:.40}.")
    if least is not None and value < least:
        raise InputsCannotBeRead(f"{where} is {value}; it must be at least {least}.")
    if abs(value) > LARGEST:
        raise InputsCannotBeRead(f"{where} is {value}, which is beyond anything meant here.")
    return value
