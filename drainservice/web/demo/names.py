"""Invented people, streets and towns, each given out once."""

import random
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import product
from typing import TypeVar

Value = TypeVar("Value")

FIRST = (
    "Juno Otis Mabel Rufus Edda Tobias Hester Silas Wren Calder Ines Bram Odette Lowell Thea "
    "Enoch Marlo Gwen Piers Nell Ambrose Vera Linus Dahlia Hugo Petra Alden Cora Jasper Ottilie"
)
LAST = (
    "Greenlaw Dellwood Fernby Ashcombe Larkspur Mossgrave Pennyroyal Thistlewood Underhay Vickery "
    "Wetherell Yarrowby Bracken Coldwater Dunmire Elmhurst Foxglove Gorse Hollin Ivesley "
    "Junipero Kestrel Loamley Marlpit Nettleton Oxbow Plover Quarrier Rushford Saltmarsh"
)
SPANISH_FIRST = "Luz Mateo Inés Ramón"
SPANISH_LAST = "Arroyoseco Valdelluvia Fuenteclara Riberalta"
STREETS = (
    "Maple Ridge Rd|Tarn View Ln|Old Ferry Rd|Cinder Hill Dr|Wren Ct|Millrace St|Saltgrass Way|"
    "Heron Pl|Quarry Loop|Larch Ave|Bellwether St|Puddle Lane|Sedge Rd|Orchard Gate|Gull St|"
    "Stonecrop Dr|Alder Row|Culvert St|Moss Hill Rd|Tinker Ln|Brookend Ave|Rook St|Fennel Way|"
    "Downspout Ct"
)
DOMAINS = ["example.com", "example.org", "example.net"]
# 555-0100 to 555-0199 are kept for invention in each area; the firm itself has the first.
AREAS = ["541", "503", "971", "458"]


@dataclass(slots=True)
class Names:
    """What is left to give out. The same seed gives the same names in the same order."""

    rng: random.Random
    _people: list[tuple[str, str]] = field(init=False)
    _spanish: list[tuple[str, str]] = field(init=False)
    _phones: list[str] = field(init=False)
    _houses: list[str] = field(init=False)
    _mails: int = 0

    def __post_init__(self) -> None:
        self._people = self._mixed(product(FIRST.split(), LAST.split()))
        self._spanish = self._mixed(product(SPANISH_FIRST.split(), SPANISH_LAST.split()))
        self._phones = self._mixed(f"{a}-555-01{n:02d}" for a in AREAS for n in range(10, 100))
        self._houses = self._mixed(
            f"{n} {s}" for s in STREETS.split("|") for n in range(101, 199, 3)
        )

    def person(self, *, language: str = "en") -> str:
        """A first and a last name that nobody has had."""
        first, last = (self._spanish if language == "es" else self._people).pop()
        return f"{first} {last}"

    def relative(self, of: str) -> str:
        """Somebody else of the same last name."""
        last = of.split()[-1]
        found = next(p for p in reversed(self._people) if p[1] == last or last not in LAST.split())
        self._people.remove(found)
        return f"{found[0]} {last}"

    def phone(self) -> str:
        """A telephone number that cannot ring anywhere."""
        return self._phones.pop()

    def mail(self, name: str) -> str:
        """An address at a domain that takes no mail."""
        self._mails += 1
        plain = name.lower().replace(" ", ".").replace("é", "e").replace("ó", "o")
        return f"{plain}@{DOMAINS[self._mails % len(DOMAINS)]}"

    def address(self) -> str:
        """A house number and a street."""
        return self._houses.pop()

    def _mixed(self, values: Iterable[Value]) -> list[Value]:
        mixed = list(values)
        self.rng.shuffle(mixed)
        return mixed
