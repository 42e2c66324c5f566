# ruff: noqa: E501
"""How the cells of each kind of column are read: a text goes in, facts come out or a fault."""

import re
from collections.abc import Callable
from datetime import date
from typing import Any

from drainservice.exchange.cells import Cell, CellDoubtful, CellRefused, one_line, plain
from drainservice.exchange.columns import BY_NAME, Fact
from drainservice.exchange.columns_placing import Placed
from drainservice.exchange.dates import read_date, read_serial, refuse_impossible
from drainservice.exchange.quantities import NUMBER, factor_of, prepare, read_bare, read_quantity
from drainservice.exchange.remarks import read_remarks

Facts = dict[str, Any]
_WORDS_FOR_YES = """y yes yep yeah true t 1 x ✓ ✔ ☑ ok okay o.k. good fine pass passed works worked
    working ran runs running present installed fitted has on active started starts operational alive"""
_WORDS_FOR_NO = """n no nope false f 0 dead none fail failed fails bad broken not_running not_working
    didn't_run did_not_run doesn't_run does_not_run no_start did_not_start won't_start wont_start
    didn't_start absent missing not_present not_installed ✗ ✘ ☐ nonfunctional inoperative inop seized
    burned_out burnt_out would_not_start would_not_run no_go not_ran not_ok kaput never"""
_YES = frozenset(_WORDS_FOR_YES.split())
_NO = frozenset(_WORDS_FOR_NO.split())
_RAN_UNCLEAR = frozenset(
    {"x", "on", "present", "installed", "fitted", "has", "active", "none", "absent", "missing"}
)


def read_cell(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    """The facts of one cell.  Raises CellRefused or CellDoubtful."""
    return _READERS[fact.kind](cell, placed, fact, today)


def check_range(fact: Fact, value: float, text: str) -> float:
    """Refuse what cannot be; zero often stands for "nobody measured"."""
    if fact.low <= value <= fact.high:
        return value
    if value == 0:
        raise CellRefused(
            "impossible_value", f"{text!r} is nothing; leave the cell empty if not known"
        )
    size = "large" if value > fact.high else "small"
    raise CellRefused("impossible_value", f"{text!r} is too {size} to be true")


def read_yes_no(text: str) -> bool:
    """Yes or no from the many words for them.  Raises CellDoubtful (unclear)."""
    word = plain(text).strip(" .!")
    first = re.split(r"\s*[-,;:(]\s*|\s+but\s+|\. ", word, maxsplit=1)[0].strip(" .!")
    for candidate in (word, first):
        key = candidate.replace(" ", "_")
        if key in _YES:
            return True
        if key in _NO:
            return False
    raise CellDoubtful("unclear", f"{one_line(text)!r} is neither yes nor no")


def _quantity(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    text = cell.text
    if cell.kind == "date":
        raise CellRefused("unparsable", "the spreadsheet program has made a date of it")
    if cell.kind == "time":
        raise CellDoubtful("unclear", f"{text!r} may be hours and minutes or a time of day")
    if fact.dimension == "degrees":
        return {fact.name: check_range(fact, _degrees(text), text)}
    word = prepare(text)
    if fact.dimension == "time" and re.fullmatch(r"\d{1,3}:\d\d(?::\d\d)?", word):
        raise CellDoubtful("unclear", f"{text!r} may be hours and minutes or minutes and seconds")
    if fact.name == "inspection.sediment_m" and word in {
        "none",
        "clean",
        "no",
        "nothing",
        "no silt",
    }:
        return {fact.name: 0.0}
    paired = re.fullmatch(r"(.*?)\s*(?:@|\bat\b)\s*(.*)", word)
    if paired and fact.dimension == "flow":
        head = check_range(BY_NAME["pump.head_m"], read_quantity(paired[2], "length"), text)
        flow = check_range(fact, read_quantity(paired[1], "flow", placed.unit), text)
        return {fact.name: flow, "pump.head_m": head}
    if cell.kind == "number" and cell.number is not None and text == f"{cell.number:.12g}":
        return {
            fact.name: check_range(fact, read_bare(cell.number, fact.dimension, placed.unit), text)
        }
    if not re.search(r"\d", word):
        raise CellDoubtful("unclear", f"{one_line(text)!r} is no number")
    return {fact.name: check_range(fact, read_quantity(text, fact.dimension, placed.unit), text)}


def _degrees(text: str) -> float:
    found = re.fullmatch(r"([+-]?\d{1,3}(?:\.\d+)?)\s*°?\s*([nsew])?", plain(text))
    if not found:
        raise CellRefused("unparsable", f"{text!r} is not a number of degrees")
    return float(found[1]) * (-1 if found[2] in ("s", "w") and not found[1].startswith("-") else 1)


def _date(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    ahead = fact.future_ok
    if cell.kind == "date":
        read = refuse_impossible(cell.date_iso, cell.text, today=today, future_ok=ahead)
    elif cell.kind == "number" and cell.number is not None:
        read = read_serial(cell.number, today=today, future_ok=ahead)
    else:
        same = re.match(r"\s*(\d{1,2})\s*[-/.]\s*(\d{1,2})\s*[-/.]\s*\d{2,4}\b", cell.text)
        if placed.order_doubtful and same and int(same[1]) <= 12 and same[1] != same[2]:
            raise CellDoubtful(
                "unclear", f"in {cell.text!r} day and month may stand either way round"
            )
        read = read_date(cell.text, today=today, future_ok=ahead, day_first=placed.day_first)
    return {fact.name: read}


def _yes_no(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    return {fact.name: read_yes_no(cell.text)}


def _ran(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    if plain(cell.text).strip(" .") in _RAN_UNCLEAR:
        raise CellDoubtful("unclear", f"{cell.text!r} does not say whether the pump ran")
    word = plain(cell.text)
    if re.search(
        r"\b(?:did ?n[o']t|didn'?t|would ?n[o']t|wouldn'?t|won'?t|will not|does ?n[o']t|doesn'?t|never) (?:run|start|come on|turn on|kick on|work)\b|\bnot (?:running|working|starting)\b",
        word,
    ):
        return {fact.name: False}
    if re.fullmatch(
        r"(?:it )?(?:ran|runs|works|worked|started|pumped|pumps|running|working) (?:fine|ok|okay|well|good|great|strong|normal(?:ly)?)\.?",
        word,
    ):
        return {fact.name: True}
    return {fact.name: read_yes_no(cell.text)}


def _text(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    if cell.text[:1] in "=@" and cell.text:
        raise CellRefused("formula_text", f"{one_line(cell.text)!r} begins like a formula")
    if fact.name == "site.postcode" and re.fullmatch(r"\d{1,4}", cell.text):
        raise CellDoubtful("unclear", f"{cell.text!r} lacks a figure; a leading 0 may be lost")
    return {fact.name: one_line(cell.text)}


def _count(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    found = re.match(r"(-?\d+)(?:\.0+)?\b", prepare(cell.text))
    if not found:
        raise CellDoubtful("unclear", f"{one_line(cell.text)!r} is no count")
    count = int(found[1])
    if count < 0:
        raise CellRefused("negative", f"{cell.text!r} is negative")
    if count > 60:
        raise CellRefused("impossible_value", f"{cell.text!r} is too many to be true")
    return {fact.name: count}


_POWER = re.compile(
    r"(?<![\d/.,-])(\d[\d ./,]*?\s*-?(?:hp|bhp|horsepower|kw|watts?|w)\b\.?|\.\d+\s*hp\b)"
)
_FLOW = re.compile(r"(?<![\d/.,-])(\d[\d.,]*\s*(?:gpm|gph|lpm|l/s|l/min|m3/h)\b)")
_AT_HEAD = re.compile(rf"(?:@|\bat\b)\s*({NUMBER}\s*(?:'|ft\b|feet\b|m\b))")


def _pump(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    text, word = cell.text, prepare(cell.text)
    if re.fullmatch(r"[-+(]?\s*[\d./,\s-]+(?:hp|kw|w|watts?|horsepower)?\.?\)?", word):
        power = read_quantity(text, "power", placed.unit)
        return {"pump.power_w": check_range(BY_NAME["pump.power_w"], power, text)}
    if word in {"y", "yes", "n", "no", "none", "x"}:
        return {"pump.present": word in {"y", "yes", "x"}}
    if "?" in word:
        raise CellDoubtful("unclear", f"{one_line(text)!r} is marked with a question mark")
    facts: Facts = {}
    for name, dimension, pattern in (
        ("pump.power_w", "power", _POWER), ("pump.flow_m3s", "flow", _FLOW), ("pump.head_m", "length", _AT_HEAD),
    ):  # fmt: skip
        found = pattern.findall(word)
        if len(found) > 1:
            raise CellDoubtful("unclear", f"{one_line(text)!r} names more than one {dimension}")
        if found:
            value = read_quantity(found[0].replace(" -", " "), dimension)
            facts[name] = check_range(BY_NAME[name], value, text)
            word = pattern.sub(" ", word)
    if re.match(r"-\s*\d", word):
        raise CellRefused("negative", f"{one_line(text)!r} is negative")
    several = re.match(r"\(?([2-9])\)?\s*(?:x|ea|each|pumps?)\b\s*", word)
    if several:
        facts["pump.count"] = int(several[1])
        word = word[several.end() :]
    if re.search(r"[a-z]{2,}", re.sub(r"\b(?:pump|sump|standby|each|ea)\b", "", word)):
        facts["pump.model"] = one_line(text)
    state = plain(text).strip(" .!").replace(" ", "_")
    if not facts or (set(facts) == {"pump.model"} and state in _YES | _NO):
        raise CellDoubtful("unclear", f"{one_line(text)!r} says nothing we know of a pump")
    return facts


def _said(prefix: str, subjects: tuple[str, ...]) -> Callable[[Cell, Placed, Fact, date], Facts]:
    """A reader that puts the cell into a sentence and reads that like a remark."""

    def read(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
        said, unsure = read_remarks(f"{prefix} {one_line(cell.text)}".strip(), today=today)
        facts = {s.fact: s.value for s in said if s.fact.split(".")[0] in subjects}
        if unsure or not facts:
            raise CellDoubtful("unclear", f"{one_line(cell.text)!r} is not plain to us")
        return facts

    return read


def _valve(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    word = plain(cell.text)
    try:
        facts: Facts = {"valve.present": read_yes_no(re.sub(r"^no (?:check )?valve$", "no", word))}
    except CellDoubtful:
        facts = {}
    if facts:
        rest = re.split(r"\s*[-,;:(]\s*|\s+but\s+", word, maxsplit=1)[1:]
        said, _ = read_remarks(f"check valve {rest[0]}" if rest else "", today=today)
        return {s.fact: s.value for s in said if s.fact.startswith("valve.")} | facts
    if re.fullmatch(rf"{NUMBER}\s*(?:\"|in\.?|inch|mm|cm)", prepare(word)):
        size = check_range(BY_NAME["valve.size_m"], read_quantity(word, "length"), cell.text)
        return {"valve.present": True, "valve.size_m": size}
    prefix = "" if re.search(r"\b(?:valve|cv)\b", word) else "check valve"
    return _said(prefix, ("valve", "weep_hole"))(cell, placed, fact, today)


def _weep_hole(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    word = prepare(cell.text)
    found = re.search(rf"({NUMBER})\s*(\"|in\b|inch|mm)", word)
    if found:
        diameter = read_quantity(found.group(), "length")
        name = "weep_hole.diameter_m"
        return {"weep_hole.present": True, name: check_range(BY_NAME[name], diameter, cell.text)}
    try:
        return {"weep_hole.present": read_yes_no(word)}
    except CellDoubtful:
        if re.fullmatch(r"drilled.*|\d+/\d+", word) and placed.unit == "":
            return {"weep_hole.present": True}
        raise


_CHOICES: dict[str, tuple[tuple[str, str], ...]] = {
    "pump.base": (
        (r"\b(?:loose|gravel|rocks?|rubble|aggregate|crushed|drain rock|stones)\b|^stone$", "loose_stone"),
        (r"\b(?:pavers?|blocks?|concrete|slab|pad|solid|brick|flat stone|plate|tile|base)\b|^flat$", "solid"),
    ),
    "pump.supplied_by": (
        (r"^(?:customer|cust\.?|owner|homeowner|ho|h/o|client|own|theirs|tenant|c)$", "customer"),
        (r"^(?:us|we|our|ours|firm|contractor|company|shop|in house|installer|stock)$", "firm"),
    ),
    "pit.fabric": (
        (r"non-? ?woven|^nw$", "non_woven"), (r"landscap|weed", "landscape"),
        (r"^(?:none|no|no fabric|n)$", "none"), (r"^woven", "woven"),
    ),
    "pit.stone": (
        (r"pea|fine|fines|minus|crusher|dust|sand|small", "small"),
        (r"clean|washed|round|large|river rock|drain rock", "clean_large"),
    ),
    "line_end": (
        (r"pop-?s?\s?-?up|pops up|^pu$|emitter", "pop_up"), (r"day ?-?light", "daylight"),
        (r"shared|common|neighbou?r|\bmain\b", "shared_main"),
    ),
    "line_joint": ((r"^(?:a )?(?:wye|y|y-joint|wyes?)\b", "wye"), (r"^(?:a )?(?:tee|t|t-joint|tees?)\b", "tee")),
    "backup": (
        (r"^(?:none|no|n)$|^no\b", "none"), (r"batt|agm|deep cycle|marine|12 ?v", "battery"), (r"gen", "generator"),
    ),
    "valve_attitude": (
        (r"upright|vertical|standing", "upright"), (r"side|flat|horiz|laying|lying", "on_its_side"),
    ),
    "valve_place": ((r"buried|underground|outside|yard", "buried"), (r"\bin\b|pit|inside|well|basin", "in_pit")),
    "status": (
        (r"^(?:in use|active|ok|okay|yes|y|in service|live|good|current|working|running|on|open)$", "in_use"),
        (r"^(?:out of use|inactive|out of service|off|no|n|not in use|disused|unused|disconnected|offline)$", "out_of_use"),
        (r"^(?:dug out|removed|dug up|gone|abandoned|filled in|decommissioned)$", "dug_out"),
    ),
}  # fmt: skip
_SETTLED_NAMES = {
    "line_end": "line.end", "line_joint": "line.joint", "backup": "backup.kind",
    "valve_attitude": "valve.attitude", "valve_place": "valve.place", "status": "system.status",
}  # fmt: skip


def _choice(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    table = _CHOICES.get(fact.kind) or _CHOICES[fact.name]
    word = prepare(cell.text).strip(" .")
    if fact.name == "pit.stone" and re.search(r"\d\s*(?:\"|in\b|inch|mm)", word):
        try:
            size = read_quantity(
                re.sub(r"\b(?:clean|washed|round|rock|stone|gravel|drain)\b", "", word), "length"
            )
            return {"pit.stone_size_m": check_range(BY_NAME["pit.stone_size_m"], size, cell.text)}
        except CellRefused:
            pass
    found = {value for pattern, value in table if re.search(pattern, word)}
    if (
        len(found) != 1
        or "?" in word
        or (re.search(r"\b(?:not?|was|were|never|isn't)\b", word) and "none" not in found)
    ):
        raise CellDoubtful("unclear", f"{one_line(cell.text)!r} is not plain to us")
    return {_SETTLED_NAMES.get(fact.kind, fact.name): found.pop()}


def _pit(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    """A column called just "pit": a size, a depth if it says so, a place, or yes."""
    word = prepare(cell.text)
    if re.search(r"\d\s*['\"a-z.]*\s*(?:x|by)\s*\d", word):
        return _pit_size(cell, placed, BY_NAME["pit.size"], today)
    if re.search(r"\bdeep\b|\bdepth\b", word):
        return _quantity(cell, placed, BY_NAME["pit.depth_m"], today)
    if word in {"y", "yes", "x", "1"}:
        return {"pit.present": True}
    if re.search(r"\d", word):
        raise CellDoubtful("unclear", f"{one_line(cell.text)!r} may be a depth or a width")
    return {"system.place": one_line(cell.text)}


def _pit_size(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    parts = re.split(r"\s*(?:\bx\b|x(?=[\s\d])|\bby\b|\*)\s*", prepare(cell.text))
    unit = placed.unit
    last = re.search(r"('|\"|[a-z]+\.?)\s*(?:deep)?$", parts[-1])
    if last and factor_of(last[1], "length") is not None:
        unit = last[1]
    names: tuple[str, ...] = ("pit.width_m", "pit.length_m", "pit.depth_m")
    if not 2 <= len(parts) <= 3:
        names = ("pit.width_m",)
        parts = [cell.text]
    return {
        name: check_range(BY_NAME[name], read_quantity(part, "length", unit), cell.text)
        for name, part in zip(names, parts, strict=False)
    }


_READERS: dict[str, Callable[[Cell, Placed, Fact, date], Facts]] = {
    "quantity": _quantity, "date": _date, "yesno": _yes_no, "ran": _ran, "text": _text, "code": _text,
    "count": _count, "pump": _pump, "pit": _pit, "valve": _valve, "weep_hole": _weep_hole, "pit_size": _pit_size,
    "choice": _choice, "line_end": _choice, "line_joint": _choice, "backup": _choice,
    "valve_attitude": _choice, "valve_place": _choice, "status": _choice,
}  # fmt: skip
