"""Which fact each column holds: by its heading, its unit, its neighbours and, last, its cells."""

import re
from dataclasses import dataclass, replace
from functools import lru_cache

from drainservice.exchange.cells import plain
from drainservice.exchange.columns import (
    BY_NAME,
    CHANGES_WITH_VISIT,
    DATE_WORDS,
    FACTS,
    PLACE_WORDS,
    SIZE_WORDS,
    Fact,
)
from drainservice.exchange.quantities import UNITS, factor_of

_BY_WORDS = {word: fact for fact in reversed(FACTS) for word in fact.words}
_ALL_UNITS = {unit for table in UNITS.values() for unit in table}
_FILLERS = frozenset(
    [
        "the",
        "a",
        "an",
        "our",
        "of",
        "for",
        "at",
        "s",
        "cust",
        "customer",
        "customers",
        "client",
        "clients",
        "approx",
        "actual",
        "current",
        "measured",
        "total",
        "their",
        "yes",
        "no",
        "y",
        "n",
        "and",
        "or",
        "is",
        "has",
        "as",
        "built",
        "recorded",
        "please",
        "if",
        "known",
        "any",
        "full",
    ]
)
_LISTED = frozenset({"names", "phones", "emails", "notes"})
_SHORT = {
    "ph": "phone", "tel": "phone", "fone": "phone", "inst": "installed", "instl": "installed",
    "bkup": "backup", "bu": "backup", "batt": "battery", "bat": "battery",
    "chk": "check", "ck": "check",
    "vlv": "valve", "disch": "discharge", "addr": "address", "adr": "address", "add": "address",
    "cust": "customer", "hm": "home", "wk": "work", "mob": "mobile", "num": "no", "nr": "no",
    "dt": "date", "sed": "sediment", "diam": "diameter", "dia": "diameter", "insp": "inspection",
    "loc": "location", "ht": "height", "dims": "size", "dimensions": "size", "comm": "comments",
    "hrs": "hours", "hr": "hours", "supp": "supplied", "ser": "serial", "mod": "model", "nbr": "no",
    "inspect": "inspection", "rmks": "remarks", "instr": "instructions", "spec": "special",
    "pmp": "pump",
}  # fmt: skip
_DONE_WORDS = frozenset(
    {
        "done",
        "when",
        "completed",
        "date done",
        "when done",
        "date completed",
        "completed on",
        "finished",
        "year",
    }
)
_ONE_LETTER = frozenset({"a", "d", "m", "s", "v", "w", "l", "h", "in", "'", '"'})


@dataclass(frozen=True, slots=True)
class Placed:
    """One column: its heading as written, and what it was taken to hold."""

    header: str
    fact: Fact | None
    unit: str = ""
    day_first: bool = False
    order_doubtful: bool = False  # other dates of the column can only be day before month
    pending: str = ""  # "date", "size": only the neighbours can tell; "notes": a guess, asked about
    words: str = ""  # the heading as it was looked up


@lru_cache(maxsize=8192)
def place_header(header: str) -> Placed:
    """What a heading says by itself."""
    word = plain(header).replace("_", " ").replace("&", " and ")
    bracketed = [inner.strip(" .") for inner in re.findall(r"[(\[{]([^()\[\]{}]*)[)\]}]", word)]
    bare = re.sub(r"[(\[{][^()\[\]{}]*[)\]}]", " ", word)
    day_first = bool(re.search(r"\bdd?[/.-]mm?\b|\bday first\b", word))
    unit = next((inner for inner in bracketed if inner in _ALL_UNITS), "")
    for text in (word, bare) if not unit else (bare, word):
        placed = _look_up(header, text, unit, day_first)
        if placed:
            return placed
    parts = [part for part in re.split(r"\s*(?:/|,|;|\band\b|\+)\s*", bare) if part.strip()]
    found = [_look_up(header, part, unit, day_first) for part in parts] if len(parts) > 1 else []
    kinds = {each.fact.kind for each in found if each and each.fact}
    if (
        found
        and all(found)
        and ((len(kinds) == 1 and kinds <= _LISTED) or kinds == {"phones", "emails"})
    ):
        return next(each for each in found if each and each.fact and each.fact.kind != "emails")
    if found and found[0] and found[0].fact and found[0].fact.kind == "notes":
        return found[0]
    return Placed(header, None, unit, day_first, words=" ".join(_tokens(bare)))


def _tokens(text: str) -> list[str]:
    return re.findall(
        r"[a-z0-9%]+|['\"]",
        text.replace("'s ", " ").replace("e-mail", "email").replace("#", " no "),
    )


def _look_up(header: str, text: str, unit: str, day_first: bool) -> Placed | None:
    tokens = _tokens(text)
    last = tokens[-1] if tokens else ""
    for words, trailing in _forms(tokens):
        if words in DATE_WORDS:
            return Placed(header, None, unit, day_first, pending="date", words=words)
        if words in SIZE_WORDS:
            return Placed(header, None, unit or trailing, day_first, pending="size", words=words)
        fact = _BY_WORDS.get(words)
        if fact is None or (trailing and not _has_unit(fact, trailing)):
            continue
        found = unit or trailing or _unit_inside(fact, tokens, last)
        return Placed(header, fact, found, day_first, words=words)
    return None


def _forms(tokens: list[str]) -> list[tuple[str, str]]:
    """The heading in ever plainer forms, each with the unit that was taken off its end."""
    forms: list[tuple[list[str], str]] = [(tokens, "")]
    if len(tokens) > 1 and tokens[-1] in _ALL_UNITS:
        forms.append((tokens[:-1], tokens[-1]))
    if len(tokens) > 2 and " ".join(tokens[-2:]) in {
        "in inches",
        "in feet",
        "in hours",
        "in meters",
        "in ft",
        "in hp",
    }:
        forms.append((tokens[:-2], tokens[-1]))
    plainer: list[tuple[str, str]] = []
    for words, unit in forms:
        unnumbered = [w for w in words if not re.fullmatch(r"[1-4]|1st|2nd|3rd|first", w)]
        kept = [w for w in words if w not in _FILLERS and not re.fullmatch(r"[1-4]", w)]
        full = [_SHORT.get(w, w) for w in kept]
        single = [w[:-1] if len(w) > 3 and w.endswith("s") else w for w in kept]
        for form in (
            words,
            unnumbered,
            kept,
            ["".join(kept)],
            full,
            single,
            [_SHORT.get(w, w) for w in words],
        ):
            plainer.append((" ".join(form), unit))
    return [(words, unit) for words, unit in dict.fromkeys(plainer) if words]


def _has_unit(fact: Fact, unit: str) -> bool:
    if fact.kind == "quantity" and fact.dimension in UNITS:
        return factor_of(unit, fact.dimension) is not None
    return fact.kind in {"pump", "weep_hole", "pit_size", "valve"}


def _unit_inside(fact: Fact, tokens: list[str], last: str) -> str:
    """A unit word that is part of the heading itself: "hp", "hours to drain"."""
    if fact.kind != "quantity" or fact.dimension not in UNITS:
        return ""
    for token in tokens:
        is_certain = token not in _ONE_LETTER or (
            token == last and len(tokens) > 1 and token != "in"
        )
        if is_certain and factor_of(token, fact.dimension) is not None:
            return token
    return ""


def place_headers(
    headers: list[str], bodies: list[list[str]], sheet_name: str = ""
) -> list[Placed]:
    """What every column holds; `bodies` are the cells under each heading."""
    placed = [place_header(header) for header in headers]
    placed = _settle_places(placed)
    placed = _settle_sizes(placed, bodies)
    placed = _settle_dates(placed, sheet_name)
    placed = _settle_pumps(placed, bodies)
    placed = [_doubt_order(each, bodies[at]) for at, each in enumerate(placed)]
    return _settle_by_cells(placed, bodies)


def _names(placed: list[Placed]) -> set[str]:
    return {each.fact.name for each in placed if each.fact}


def _settle_places(placed: list[Placed]) -> list[Placed]:
    """With a column called address beside it, "location" is where in the yard."""
    addresses = [p for p in placed if p.fact and p.fact.name == "site.address"]
    if len(addresses) < 2 or all(p.words in PLACE_WORDS for p in addresses):
        return placed
    taken = "system.place" in _names(placed)
    return [
        (replace(p, fact=None if taken or p.words == "property" else BY_NAME["system.place"])
         if p in addresses and p.words in PLACE_WORDS else p)
        for p in placed
    ]  # fmt: skip


def _settle_dates(placed: list[Placed], sheet_name: str) -> list[Placed]:
    names = _names(placed)
    in_log = any(name.startswith(CHANGES_WITH_VISIT) for name in names)
    in_ground = any(
        name.split(".")[0] in {"pit", "pump", "valve", "line", "weep_hole"} for name in names
    )
    if in_log and not in_ground and "inspection.on" not in names:
        placed = [
            replace(p, fact=BY_NAME["inspection.on"]) if p.words in _DONE_WORDS and p.fact else p
            for p in placed
        ]
        names = _names(placed)
    looks_like_log = bool(
        re.search(
            r"\b(?:log|visits?|service|inspections?|checks?|history|looks?)\b", sheet_name.lower()
        )
    )
    meant = ""
    if "inspection.on" in names or (in_ground and not in_log):
        meant = "system.installed_on" if "system.installed_on" not in names else ""
        if "inspection.on" in names and not in_ground:
            meant = ""
    elif (in_log and ("system.installed_on" in names or not in_ground)) or (
        looks_like_log and not in_ground
    ):
        meant = "inspection.on"
    if not meant or sum(p.pending == "date" for p in placed) > 1:
        return placed
    return [
        replace(p, fact=BY_NAME[meant], pending="") if p.pending == "date" else p for p in placed
    ]


def _settle_sizes(placed: list[Placed], bodies: list[list[str]]) -> list[Placed]:
    settled = []
    for at, each in enumerate(placed):
        if each.pending == "size":
            cells = [plain(text) for text in bodies[at] if text.strip()]
            power = sum(bool(re.search(r"\d\s*(?:hp|h\.p|k?w\b)", cell)) for cell in cells)
            plan = sum(bool(re.search(r"\d.*\bx\b\s*\d|\d\s*x\s*\d", cell)) for cell in cells)
            if (cells and power > len(cells) / 2) or each.unit in UNITS["power"]:
                each = replace(each, fact=BY_NAME["pump.power_w"], pending="")
            elif cells and plan > len(cells) / 2:
                each = replace(each, fact=BY_NAME["pit.size"], pending="")
        settled.append(each)
    return settled


def _settle_pumps(placed: list[Placed], bodies: list[list[str]]) -> list[Placed]:
    """In a log the column "pump" says whether it ran."""
    names = _names(placed)
    if (
        not any(name.startswith(CHANGES_WITH_VISIT) for name in names)
        or "inspection.pump_ran" in names
    ):
        return placed
    settled = []
    for at, each in enumerate(placed):
        cells = [text for text in bodies[at] if text.strip()]
        if (
            each.fact
            and each.fact.name == "pump.what"
            and not any(re.search(r"\d", cell) for cell in cells)
        ):
            each = replace(each, fact=BY_NAME["inspection.pump_ran"])
        settled.append(each)
    return settled


def _doubt_order(placed: Placed, body: list[str]) -> Placed:
    """Where some dates of a column can only be day before month, and none only the other way."""
    if placed.fact is None or placed.fact.kind != "date" or placed.day_first:
        return placed
    pairs = [re.match(r"\s*(\d{1,2})\s*[-/.]\s*(\d{1,2})\s*[-/.]\s*\d{2,4}", text) for text in body]
    firsts = sum(int(found[1]) > 12 for found in pairs if found)
    seconds = sum(int(found[2]) > 12 for found in pairs if found)
    return replace(placed, order_doubtful=firsts > 0 and seconds == 0)


def _settle_by_cells(placed: list[Placed], bodies: list[list[str]]) -> list[Placed]:
    """Unplaced columns whose every cell is an e-mail address or a telephone need no heading."""
    settled = []
    names = _names(placed)
    for at, each in enumerate(placed):
        cells = [text for text in bodies[at] if text.strip()]
        if (
            each.fact
            and each.fact.name == "system.place"
            and "system.code" not in names
            and _are_codes(cells)
        ):
            each = replace(each, fact=BY_NAME["system.code"])
        if (
            each.fact is None
            and not each.pending
            and each.header
            and "notes" not in names
            and _are_prose(cells)
        ):
            each = replace(each, fact=BY_NAME["notes"], pending="notes")
        if each.fact is None and not each.pending and len(cells) >= 3:
            if all(re.search(r"\S@\S+\.\S", cell) for cell in cells):
                each = replace(each, fact=BY_NAME["household.emails"])
            elif all(
                re.search(r"\(?\d{3}\)?[ .-]\d{3}[ .-]\d{4}", cell) and len(cell) < 60
                for cell in cells
            ):
                each = replace(each, fact=BY_NAME["household.phones"])
        settled.append(each)
    return settled


def _are_codes(cells: list[str]) -> bool:
    return len(cells) >= 2 and all(
        re.fullmatch(r"#?[A-Za-z]{0,4}[- ]?\d{1,6}", cell) for cell in cells
    )


def _are_prose(cells: list[str]) -> bool:
    """Mostly several words: remarks, whatever the heading calls them."""
    wordy = sum(len(re.findall(r"[^\W\d_]{2,}", cell)) >= 2 for cell in cells)
    return len(cells) >= 1 and wordy > 0.6 * len(cells)
