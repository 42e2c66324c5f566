"""Octets of a calendar read strictly, line by line, apart from the library that wrote them."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

MOST_OCTETS = 75
_LINE = re.compile(
    r"(?P<name>[A-Za-z0-9-]+)"
    r"(?P<params>(?:;[A-Za-z0-9-]+=(?:\"[^\"]*\"|[^\";:,]*)(?:,(?:\"[^\"]*\"|[^\";:,]*))*)*)"
    r":(?P<value>.*)",
    re.DOTALL,
)
_PARAM = re.compile(r";([A-Za-z0-9-]+)=((?:\"[^\"]*\"|[^\";:,]*)(?:,(?:\"[^\"]*\"|[^\";:,]*))*)")


@dataclass(frozen=True, slots=True)
class Breach:
    """One rule a calendar breaks: a short name for the log and a sentence."""

    name: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Property:
    """One content line: name and parameters in capitals, the value as it stands."""

    name: str
    params: dict[str, str]
    value: str


@dataclass(slots=True)
class Component:
    """A component with its properties and the components inside it."""

    name: str
    properties: list[Property] = field(default_factory=list)
    inside: list["Component"] = field(default_factory=list)

    def all(self, name: str) -> list[Property]:
        """Every property of a name."""
        return [p for p in self.properties if p.name == name]

    def value(self, name: str) -> str:
        """The value of the first property of a name, empty if there is none."""
        return next((p.value for p in self.properties if p.name == name), "")

    def parts(self, name: str) -> list["Component"]:
        """Every component of a name directly inside."""
        return [c for c in self.inside if c.name == name]


def find_line_breaches(octets: bytes) -> Iterator[Breach]:
    """What is wrong with the lines themselves (RFC 5545, 3.1; RFC 3629 for UTF-8)."""
    if not octets.endswith(b"\r\n"):
        yield Breach("unended", "The last line is not ended by CR LF.")
    if re.search(rb"(?<!\r)\n|\r(?!\n)", octets):
        yield Breach("bare-line-break", "A CR or LF stands alone; lines end in both.")
    for number, line in enumerate(octets.split(b"\r\n"), 1):
        if len(line) > MOST_OCTETS:
            yield Breach("long-line", f"Line {number} is {len(line)} octets long, above 75.")
        if re.search(rb"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", line):
            yield Breach("control", f"Line {number} holds a control character.")
        try:
            line.decode("utf-8")
        except UnicodeDecodeError:
            yield Breach("not-utf-8", f"Line {number} is not UTF-8, or cuts a character in two.")


def read_tree(octets: bytes) -> tuple[Component, tuple[Breach, ...]]:
    """The components under a nameless root, and every line that fits nowhere."""
    root = Component("")
    breaches: list[Breach] = []
    open_ones = [root]
    text = re.sub("\r?\n[ \t]", "", octets.decode("utf-8", errors="replace"))
    for line in text.removesuffix("\n").removesuffix("\r").split("\n"):
        found = _read_line(line.removesuffix("\r"))
        if found is None:
            breaches.append(Breach("not-a-line", f"{line[:40]!r} is no name, colon and value."))
        elif found.name == "BEGIN":
            component = Component(found.value.upper())
            open_ones[-1].inside.append(component)
            open_ones.append(component)
        elif found.name == "END":
            if len(open_ones) == 1 or open_ones[-1].name != found.value.upper():
                breaches.append(Breach("nesting", f"END:{found.value[:40]} closes nothing open."))
            else:
                open_ones.pop()
        else:
            open_ones[-1].properties.append(found)
    if len(open_ones) > 1:
        breaches.append(Breach("nesting", f"{open_ones[-1].name[:40]} is never ended."))
    return root, tuple(breaches)


def _read_line(line: str) -> Property | None:
    found = _LINE.fullmatch(line)
    if not found:
        return None
    params = {name.upper(): value.strip('"') for name, value in _PARAM.findall(found["params"])}
    return Property(found["name"].upper(), params, found["value"])
