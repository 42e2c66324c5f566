# ruff: noqa: E501
"""How the cells of each part of a system are read: a text goes in, facts come out or a fault."""

import re
from collections.abc import Callable
from datetime import date

from drainservice.exchange.cells import Cell, CellDoubtful, CellRefused, one_line, plain
from drainservice.exchange.columns import BY_NAME, Fact
from drainservice.exchange.columns_placing import Placed
from drainservice.exchange.judging_values import (
    NO,
    YES,
    Facts,
    check_range,
    read_claim,
    read_count,
    read_day,
    read_measure,
    read_ran,
    read_words,
    read_yes_no,
)
from drainservice.exchange.quantities import NUMBER, factor_of, prepare, read_quantity
from drainservice.exchange.remarks import read_remarks


def read_cell(cell: Cell, placed: Placed, fact: Fact, today: date) -> Facts:
    """The facts of one cell.  Raises CellRefused or CellDoubtful."""
    return _READERS[fact.kind](cell, placed, fact, today)


_POWER = re.compile(
    r"(?<![\w/.,-])(\d[\d ./,]*?\s*-?(?:hp|bhp|horsepower|kw|watts?|w)\b\.?|\.\d+\s*hp\b)"
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
    if "pump.power_w" not in facts and re.search(r"\d\s*(?:hp|kw|w|watts?)\b", word):
        raise CellRefused("unparsable", f"{one_line(text)!r} cannot be read as a power")
    if re.match(r"-\s*\d", word):
        raise CellRefused("negative", f"{one_line(text)!r} is negative")
    several = re.match(r"\(?([2-9])\)?\s*(?:x|ea|each|pumps?)\b\s*", word)
    if several:
        facts["pump.count"] = int(several[1])
        word = word[several.end() :]
    if re.search(r"[a-z]{2,}", re.sub(r"\b(?:pump|sump|standby|each|ea)\b", "", word)):
        facts["pump.model"] = one_line(text)
    state = plain(text).strip(" .!").replace(" ", "_")
    if not facts or (set(facts) == {"pump.model"} and state in YES | NO):
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
    "valve_place": ((r"buried|underground", "buried"), (r"\b(?:in|inside)\b.*(?:pit|well|basin|sump)|^(?:in )?pit$|^inside$", "in_pit")),
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


def _valve_lies(cell: Cell, word: str) -> Facts:
    """How and where the valve lies: a column of one often tells the other too."""
    facts: Facts = {}
    is_past = "?" in word or re.search(r"\b(?:not?|was|were|never|isn't)\b", word)
    for kind, name in (("valve_attitude", "valve.attitude"), ("valve_place", "valve.place")):
        found = {value for pattern, value in _CHOICES[kind] if re.search(pattern, word)}
        if len(found) > 1 or is_past:
            raise CellDoubtful("unclear", f"{one_line(cell.text)!r} is not plain to us")
        if found:
            facts[name] = found.pop()
    if not facts:
        raise CellDoubtful("unclear", f"{one_line(cell.text)!r} is not plain to us")
    return facts


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
    if fact.kind in {"valve_attitude", "valve_place"}:
        return _valve_lies(cell, word)
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
        return read_measure(cell, placed, BY_NAME["pit.depth_m"], today)
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
    "quantity": read_measure, "date": read_day, "yesno": read_claim, "ran": read_ran, "text": read_words, "code": read_words,
    "count": read_count, "pump": _pump, "pit": _pit, "valve": _valve, "weep_hole": _weep_hole, "pit_size": _pit_size,
    "choice": _choice, "line_end": _choice, "line_joint": _choice, "backup": _choice,
    "valve_attitude": _choice, "valve_place": _choice, "status": _choice,
}  # fmt: skip
