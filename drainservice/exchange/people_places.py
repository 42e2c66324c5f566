"""Street addresses: as written, with town, state and postcode split off where they are plain."""

import re

from drainservice.exchange.cells import CellDoubtful, CellRefused, one_line, plain

_STATES = [
    "AL",
    "AK",
    "AZ",
    "AR",
    "CA",
    "CO",
    "CT",
    "DE",
    "FL",
    "GA",
    "HI",
    "ID",
    "IL",
    "IN",
    "IA",
    "KS",
    "KY",
    "LA",
    "ME",
    "MD",
    "MA",
    "MI",
    "MN",
    "MS",
    "MO",
    "MT",
    "NE",
    "NV",
    "NH",
    "NJ",
    "NM",
    "NY",
    "NC",
    "ND",
    "OH",
    "OK",
    "OR",
    "PA",
    "RI",
    "SC",
    "SD",
    "TN",
    "TX",
    "UT",
    "VT",
    "VA",
    "WA",
    "WV",
    "WI",
    "WY",
    "DC",
]
_TAIL = re.compile(
    rf"^(?P<street>.*\d.*?),\s*(?P<city>[^\d,]+?),?\s+(?P<region>{'|'.join(_STATES)})\.?"
    r"(?:,?\s+(?P<postcode>\d{5}(?:-\d{4})?))?$"
)
# "12 Oxbow Ct (rear)", "12 Oxbow Ct - back yard", "12 Oxbow Ct, pit 2"
_PLACE = re.compile(
    r"\s*(?:\(|-\s+|,\s*|/\s*|\s-\s*)(?P<place>(?:(?:the|by|near|at|in|behind) ){0,3}"
    r"(?:(?:front|back|rear|side|left|right|driveway|garage|patio|yard|shed|deck|pit|well|system"
    r"|sump|dry ?well|upper|lower|first|second|1st|2nd)"
    r"|(?:n|s|e|w|ne|nw|se|sw|north|south|east|west)[ -](?:side|yard|corner|lawn|end|pit|well))"
    r"(?:[ -](?:\d|[a-z]|yard|side|corner|lawn|house|pit|well|system|of|the|front|back|door|lot"
    r"|end)){0,5})\)?$",
    re.IGNORECASE,
)
_NOWHERE = re.compile(
    r"(?:no|none|unknown|missing|same|lost)(?: (?:street )?address| given| known)?"
    r"|address unknown|to follow",
    re.IGNORECASE,
)
_STREET = re.compile(r"^\d\S*\s.*[^\W\d_]")
_SHORT = {
    "street": "st", "avenue": "ave", "av": "ave", "road": "rd", "drive": "dr", "lane": "ln",
    "court": "ct", "place": "pl", "boulevard": "blvd", "circle": "cir", "terrace": "ter",
    "highway": "hwy", "parkway": "pkwy", "north": "n", "south": "s", "east": "e", "west": "w",
    "northeast": "ne", "northwest": "nw", "southeast": "se", "southwest": "sw", "apartment": "apt",
    "suite": "ste", "crescent": "cres", "trail": "trl",
}  # fmt: skip


def read_address(text: str) -> dict[str, str]:
    """The facts of an address cell.  Raises CellRefused or CellDoubtful (no_address, unclear)."""
    word = one_line(text.replace("\n", ", ")).replace(",,", ",").strip(" ,;")
    if word[:1] in "=@+":
        raise CellRefused("formula_text", f"{word!r} begins like a formula")
    if not re.search(r"[^\W\d_]{2,}", word) or _NOWHERE.fullmatch(word):
        raise CellRefused("no_address", f"{word!r} is not an address")
    if "?" in word:
        raise CellDoubtful("unclear", f"{word!r} is marked with a question mark", word)
    if re.match(r"p\.?\s*o\.?\s*box\b", word, re.IGNORECASE):
        raise CellDoubtful("no_address", f"{word!r} is a post box, where nothing is in the ground")
    placed = _PLACE.search(word)
    if placed and _STREET.match(word[: placed.start()]):
        return read_address(word[: placed.start()]) | {"system.place": placed["place"]}
    found = _TAIL.match(word)
    if not found:
        return {"site.address": word}
    facts = {"site.address": found["street"], "site.city": found["city"]}
    facts["site.region"] = found["region"]
    if found["postcode"]:
        facts["site.postcode"] = found["postcode"]
    return facts


def address_key(address: str) -> str:
    """The address in the form in which two spellings of one place are equal."""
    words = re.findall(r"[\w/]+", plain(address))
    return " ".join(_SHORT.get(word, word) for word in words)


def name_key(name: str) -> str:
    """The name's words, small and sorted, so that "Last, First" meets "First Last"."""
    return " ".join(sorted(re.findall(r"[^\W\d_]+", plain(name))))
