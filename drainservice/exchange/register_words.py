"""The words of a sheet as the register's words; what has no word there stays text."""

import re

WORDS: dict[str, dict[str, str]] = {
    "pump.base": {"solid": "flat_solid", "loose_stone": "loose_stone", "tub": "tub"},
    "pit.stone": {"clean_large": "large_clean", "small": "small", "graded": "graded"},
}
_PATTERNS: dict[str, tuple[tuple[str, str], ...]] = {
    "pump.float": (
        (r"tether", "tethered"),
        (r"vertical|float rod", "vertical"),
        (r"electronic|sensor|capacit", "electronic"),
        (r"\bmanual\b|by hand", "manual"),
    ),
    "access.covered_by": (
        (r"paver|patio|paving", "pavers"),
        (r"\bdeck", "deck"),
        (r"soil|sod|lawn|grass|dirt|mulch|turf|bark", "soil"),
        (r"^(?:nothing|none|no|open|flush|clear|exposed|visible)$", "nothing"),
    ),
    "access.kind": (
        (r"concrete", "concrete"),
        (r"plastic|pvc|poly|resin", "plastic"),
        (r"grate|grating", "grate"),
        (r"iron", "cast_iron"),
        (r"^(?:none|no lid|no access)$", "none"),
    ),
    "line.material": (
        (r"corrugat|flex", "corrugated"),
        (r"\bpvc\b|sch(?:edule)? ?40", "pvc"),
        (r"\babs\b", "abs"),
        (r"poly|hdpe|\bpe\b", "polyethylene"),
    ),
    "system.consequence": (
        (r"flooded|floods? before", "flooded_before"),
        (r"living|basement|below grade|bedroom|crawl ?space", "living_space"),
        (r"structure|patio|garage|foundation|house wall", "near_structure"),
        (r"^(?:the )?(?:yard|lawn|garden)(?: only)?$", "yard"),
    ),
    "household.language": ((r"spanish|espa|^es$", "es"), (r"english|^en$", "en")),
}


def word_for(fact: str, told: str) -> str:
    """The register's word, or empty where none or more than one would fit."""
    if fact in WORDS:
        return WORDS[fact].get(told, "")
    if fact not in _PATTERNS:
        return told
    low = told.lower().strip(" .")
    found = {word for pattern, word in _PATTERNS[fact] if re.search(pattern, low)}
    return found.pop() if len(found) == 1 else ""
