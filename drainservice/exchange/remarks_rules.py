# ruff: noqa: E501
"""What the trade writes in remarks, and the fact each phrase stands for (judgement, no source)."""

import re
from dataclasses import dataclass

_VALVE = r"(?:check\s?-?valves?|chk\.? valve|ck\.? valve|valve|c\.?v\.?|non-?return valve|flapper)"
_PUMP = r"(?:sump pump|pump|pmp)"
_OWNER = r"(?:customer|cust\.?|owner|homeowner|home owner|h/?o|client|tenant|they|he|she)(?:'?s)?"
_LIES = r"(?:is|was|were|are|sits?|sitting|lay|lays|laying|lying|lies|laid|mounted|installed|set|found|put in|placed)"


@dataclass(frozen=True, slots=True)
class Rule:
    """One phrase.  `negative`: it says itself that a thing is not there."""

    fact: str
    value: object
    pattern: re.Pattern[str]
    negative: bool = False
    can_change: bool = True  # words of mending or of the past undo it
    ours_only: bool = False  # not when said of a neighbour's


def _rule(fact: str, value: object, pattern: str, **how: bool) -> Rule:
    return Rule(fact, value, re.compile(pattern), **how)


RULES: tuple[Rule, ...] = (
    _rule("valve.attitude", "on_its_side",
        rf"\b{_VALVE}(?:\s+\w+){{0,2}}?\s+(?:{_LIES}\s+)*(?:(?:down\s+)?on (?:its|it's|the|his|it) side|on side|sideways|side ways"
        r"|(?:lay(?:ing|s)? |lying |laid )?horizontal(?:ly)?|(?:down )?flat(?!\s+(?:stone|base|rock|paver|block|concrete|solid)))\b"
        rf"|\b(?:flat|sideways|horizontal)[\s-]+(?:mounted |laid |laying |lying )?{_VALVE}", ours_only=True),
    _rule("valve.attitude", "upright", rf"\b{_VALVE}(?:\s+\w+){{0,2}}?\s+(?:{_LIES}\s+)*(?:upright|vertical(?:ly)?|standing up)\b|\b(?:upright|vertical) {_VALVE}", ours_only=True),
    _rule("valve.arrow", "against_flow", rf"\b{_VALVE}(?:\s+\w+){{0,2}}?\s+(?:{_LIES}\s+)*(?:in )?(?:backwards?|upside down|the wrong way|wrong way|reversed|against (?:the )?flow)\b", ours_only=True),
    _rule("valve.present", False,
        rf"\b(?:no|without(?: a| any)?|w/o(?: a)?|missing(?: a| the)?|lacks(?: a)?|(?:never had|doesn'?t have|does not have|hasn'?t got|has not got|not have)(?: a| any)?)\s+{_VALVE}"
        r"(?!\s*(?:issue|problem|leak|noise|trouble|fault|key|access|box|work|repair|chatter|replace|info|data|size))"
        rf"|\b{_VALVE}\s+(?:is |was )?(?:missing|absent|not (?:there|present|installed|fitted|found)|never (?:installed|fitted)|left out|omitted)\b", negative=True, ours_only=True),
    _rule("valve.present", True,
        r"\b(?:has|have|with|w/|new|got)(?: an?| the)? (?:(?!no\b|any\b)\w+ )?(?:check\s?-?valve|cv|chk valve|non-?return valve)\b|\b(?:check\s?-?valve|ch?e?c?k valve|cv) (?:is )?(?:present|fitted|in place|ok|o\.k|okay|good|fine|works|working|new|installed)\b", can_change=False, ours_only=True),
    _rule("valve.place", "buried", rf"\b{_VALVE} (?:is )?(?:buried|underground|under ground|in the ground)\b|\bburied (?:check )?valve\b", ours_only=True),
    _rule("valve.place", "in_pit", rf"\b{_VALVE} (?:is )?(?:in|inside) (?:the )?(?:pit|well|basin|sump)\b", ours_only=True),
    _rule("weep_hole.present", False,
        r"\b(?:no|without(?: a)?|w/o(?: a)?|missing(?: a| the)?|lacks(?: a)?|(?:never|not) (?:drilled|got|has)(?: a| the)?|doesn'?t have(?: a)?|does not have(?: a)?)\s+(?:\w+\s+)?(?:weep\s?-?hole|weep)\b(?!\s*(?:issue|problem|trouble))"
        r"|\bweep(?:\s?-?hole)? (?:is |was )?(?:missing|absent|not (?:drilled|there|present|found)|never drilled|left out|omitted|forgotten)\b", negative=True, ours_only=True),
    _rule("weep_hole.present", True,
        r"\bweep\s?-?hole(?! (?:is |was )?(?:missing|absent|not|never|left|omitted|forgotten|needed|plugged|clogged|blocked))\b|\bdrilled (?:a )?(?:\S+ )?weep\b", can_change=False, ours_only=True),
    _rule("pump.supplied_by", "customer",
        rf"\b{_OWNER}[\s-]+(?:has |had )?(?:supplied|bought|provided|purchased|furnished|brought|got|picked up|ordered)(?:\s+(?:and \w+))?(?:\s+(?:the|his|her|their|own|a))*\s*(?:own )?(?:\S+ )?{_PUMP}\b"
        rf"|\b{_OWNER} own(?:ed)? {_PUMP}\b|\b{_PUMP} (?:is |was )?(?:supplied|provided|bought|purchased|furnished) by (?:the )?{_OWNER}\b|\bown {_PUMP}\b"
        rf"|\b{_PUMP} (?:is |was )?{_OWNER}[\s-]+(?:supplied|provided|bought|furnished)\b", can_change=False),
    _rule("pump.supplied_by", "firm", rf"\b(?:we|our firm|contractor) (?:supplied|provided|bought|furnished)(?: the)? {_PUMP}\b|\b{_PUMP} (?:supplied|provided) by us\b", can_change=False),
    _rule("pump.base", "loose_stone",
        rf"\b{_PUMP}\b(?:\s+(?:is|was|just|still|found|right|directly|only))*\s*(?:sits?|sitting|stands?|standing|rests?|resting|set|laying|lying|placed|down|is|sat)?(?:\s+(?:right|directly|straight|just))?\s*(?:in|on|on top of)\s+(?:the\s+|some\s+)?(?:bare |small |the )?(?:loose\s+\w+|gravel|pea gravel|rocks?|stones?|drain rock|rubble|aggregate)\b"
        rf"|\bno (?:solid |flat )?base (?:under|for|below) (?:the )?{_PUMP}\b", negative=True, ours_only=True),
    _rule("pump.base", "solid",
        rf"\b{_PUMP}\b(?:\s+(?:is|now|sits?|sitting|stands?|standing|rests?|set|placed))*\s+on\s+(?:an?\s+|the\s+|some\s+)?(?:\w+\s+)?(?:pavers?|(?:concrete |solid |flat |cinder )*(?:block|slab|pad|base|brick|plate|tile|concrete)|flat (?:stone|rock)|solid base|bricks)\b", can_change=False, ours_only=True),
    _rule("pit.fabric", "landscape", r"\b(?:landscap(?:e|ing) (?:fabric|cloth)|weed (?:barrier|cloth|fabric|mat))\b"),
    _rule("pit.fabric", "non_woven", r"\b(?:non-? ?woven)\b"),
    _rule("pit.fabric", "none", r"\b(?:no|without(?: any)?|w/o|missing)\s+(?:filter |geo)?(?:fabric|geotextile|cloth|textile)\b", negative=True),
    _rule("pit.stone", "small", r"\b(?:pea ?-?gravel|crusher (?:run|fines)|crushed fines|fine (?:stone|gravel|aggregate)|3/8(?:\"| in\w*)? (?:minus|gravel|stone)|quarry dust|sand backfill)\b(?! (?:path|walk|drive|area|bed|patio|border))"),
    _rule("line.end", "pop_up", r"\b(?:pops? ?-?up|pop ?-?ups?|popup)\b(?!.*\b(?:tent|window|canopy)\b)"),
    _rule("line.end", "daylight", r"\bday ?-?lights?(?:ed|ing)?\b(?! saving)|\bto daylight\b"),
    _rule("line.end", "shared_main", r"\b(?:shared|common|joint|community) (?:discharge |drain |storm )?(?:main|line|discharge|drain)\b|\bshares? (?:a |the )?(?:main|line|discharge)\b"),
    _rule("line.joint", "tee", r"\btee(?:s|d|ing)?\b(?!.{0,8}\bwye\b)(?: off)?(?: in)?(?:to)?\b|\bt'?s into\b|\bt-?(?:joint|fitting|connection)\b"),
    _rule("line.joint", "wye", r"\bwye(?:s|d|'s)?\b|\by'?s into\b|\by-(?:joint|fitting|connection)\b"),
    _rule("backup.kind", "battery", r"\bbattery (?:back ?-?up|backup|unit|system|box)\b|\bbattery backed\b|\bbackup battery\b|\b(?:has|with|w/) (?:a )?battery\b"),
    _rule("backup.kind", "generator", r"\b(?:has|with|on|own|standby|backup|house) (?:a |an |the )?(?:\w+ )?generator\b"),
    _rule("backup.kind", "none", r"\bno (?:battery|back ?-?up)(?: back ?-?up| power)?\b", negative=True),
    _rule("alarm.present", False, r"\b(?:no|without(?: an?)?|w/o|missing)\s+(?:high[ -]?water |float |high[ -]level )?alarm\b(?! (?:code|heard|sound))", negative=True),
    _rule("alarm.present", True, r"\b(?:has|have|with|w/)(?: an?)? (?:high[ -]?water |high[ -]level )?alarm\b|\bhigh[ -]?(?:water|level) alarm\b|\balarm (?:is |was )?(?:installed|fitted|works|working|ok|in (?:the )?(?:garage|house|basement|panel)|on)\b"),
    _rule("access.covered_by", "pavers", r"\b(?:lid|cover|access|hatch|manhole)\b[^,.;]{0,20}\b(?:under|beneath|below|buried under|paved over with)\b[^,.;]{0,15}\b(?:pavers?|paving|patio)\b|\bpavers? (?:over|on top of) (?:the )?(?:lid|cover|access)"),
    _rule("access.covered_by", "deck", r"\b(?:lid|cover|access|hatch)\b[^,.;]{0,20}\b(?:under|beneath|below)\b[^,.;]{0,15}\bdeck\b"),
    _rule("access.covered_by", "soil", r"\b(?:lid|cover|access|hatch)\b[^,.;]{0,12}\b(?:buried|under)\b[^,.;]{0,12}\b(?:soil|sod|grass|dirt|mulch|lawn|bark)\b"),
    _rule("site.has_dog", False, r"\bno dogs?\b", negative=True),
    _rule("site.has_dog", True, r"\bdogs?\b(?! ?(?:park|house|run\b|ear))"),
    _rule("site.tenanted", True, r"\b(?:tenants?|renters?|rental|rented(?: out)?|leased)\b"),
    _rule("household.language", "es", r"\b(?:spanish (?:speaking|speaker|only)|speaks? (?:only )?spanish|habla espa[nñ]ol)\b", can_change=False),
)  # fmt: skip

_LENGTH = r"(?<!\d)\d[\d\s./,½¼¾]{0,9}(?:'\s?[\d\s/.½]{0,8}\"?|''|\"|\s?-?(?:ft|feet|foot|in(?:ch(?:es)?)?|cm|m)\b\.?(?:\s*\d+(?:\s?in)?)?)"
MEASURED: tuple[tuple[str, str, re.Pattern[str]], ...] = (
    ("weep_hole.diameter_m", "length", re.compile(r"weep(?:\s?-?hole)?\s+(?:is |of |at )?((?<!\d)\d[\d/ ]{0,7}\s?(?:\"|''|in\b|inch\b|mm\b))")),
    ("weep_hole.diameter_m", "length", re.compile(r"((?<!\d)\d[\d/ ]{0,7}\s?(?:\"|''|in\b|inch\b|mm\b))\s*weep")),
    ("pit.depth_m", "length", re.compile(rf"\b(?:pit|well|drywell|basin|sump|hole)\b[^,.;]{{0,12}}?({_LENGTH})\s*deep\b")),
    ("pit.depth_m", "length", re.compile(rf"({_LENGTH})\s*deep (?:pit|well|drywell|basin|sump|hole)\b")),
    ("pump.power_w", "power", re.compile(r"(?<![\d/.])(\d[\d./ ]{0,8}\s?(?:hp|kw|watts?))\b(?=[^,.;]{0,12}\bpump)")),
    ("pump.power_w", "power", re.compile(r"\bpump\b[^,.;]{0,12}?(?<![\d/.])(\d[\d./ ]{0,8}\s?(?:hp|kw|watts?))\b")),
    ("inspection.sediment_m", "length", re.compile(rf"({_LENGTH})\s*(?:of )?(?:silt|sediment|muck|mud|sludge)\b")),
    ("inspection.sediment_m", "length", re.compile(rf"\b(?:silt|sediment|muck|sludge)\s*(?:at |is |of |depth )?({_LENGTH})")),
)  # fmt: skip
_WHEN = r"((?:\d{1,2}[/.-]\d{1,2}[/.-])?\d{2,4}|\d{4}-\d\d-\d\d|\d{1,2}/\d{4}|(?:early |late |mid )?[a-z]{3,9}\.?(?: of)? '?\d{2,4})"
DATED: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("pump.installed_on", re.compile(rf"\b(?:new pump|pump (?:was )?(?:replaced|swapped|changed|renewed)|replaced (?:the )?pump)(?: (?:in|on|installed|put in|fitted))*\s+{_WHEN}(?![\w/])")),
    ("backup.installed_on", re.compile(rf"\b(?:new battery|battery (?:was )?(?:replaced|changed|swapped)|replaced (?:the )?battery)(?: (?:in|on))*\s+{_WHEN}(?![\w/])")),
)  # fmt: skip

# Words after which a row may no longer mean a system in use, or one system only.
WATCHWORDS: tuple[tuple[str, str, re.Pattern[str]], ...] = (
    ("system.status", "the system may no longer be in use", re.compile(
        r"\b(?:abandoned|decommissioned|dug (?:out|up)|filled in|out of (?:use|service)|disconnected|demolished|no longer (?:in use|used|there)|system (?:was )?removed|pit (?:was )?removed|void|cancel+ed|never (?:built|installed)|not (?:yet )?(?:built|installed)$)\b")),
    ("household.names", "the people may have changed", re.compile(
        r"\b(?:sold (?:the )?(?:house|home|property|in|\d{4})|house sold|moved (?:away|out)|new owners?|deceased|passed away|died|previous owner|former owner)\b")),
    ("household.channel", "they may not wish to be contacted", re.compile(
        r"\b(?:do not (?:call|contact|mail|email)|don'?t (?:call|contact|mail|email)|dnc|not a customer|no longer (?:an? |our )?customer|not our (?:job|system|customer)|duplicate(?: of| entry)?|ignore this|wrong (?:address|number))\b")),
    ("pump.present", "the pump may be gone", re.compile(
        r"\b(?:removed (?:the |old )?pump|pump (?:was |is )?(?:removed|gone|missing|taken out|stolen)|took (?:the )?pump out)\b")),
    ("pump.count", "the row describes one pump and speaks of several", re.compile(
        r"\b(?:[2-9]|two|three|four|both) pumps\b|\b(?:second|2nd|another) pump\b")),
    ("site.system_count", "the row describes one system and speaks of several", re.compile(
        r"\b(?:[2-9]|two|three|four|both|second|2nd|other|another) (?:dry ?wells?|pits?|wells|systems?|sumps?|basins?)\b")),
)  # fmt: skip
