"""Names, telephones and e-mail addresses as firms type them, several to a cell."""

import re

from drainservice.exchange.cells import CellDoubtful, CellRefused, one_line, plain

_COMPANY = re.compile(
    r"\b(?:hoa|h\.o\.a|llc|l\.l\.c|inc|corp|co|ltd|llp|lp|plc|company|association|assoc|assn|trust"
    r"|homes|homeowners|properties|property|management|mgmt|realty|builders|construction|church"
    r"|school|apartments?|apts|condos?|condominiums?|townhomes?|estates|club|center|centre|store"
    r"|city of|county of|town of|county|district|parish|group|partners|partnership|rentals?"
    r"|holdings|services|farms?|bank|hotel|inn|clinic|library|foundation|society|village)\b",
    re.IGNORECASE,
)
_PARTICLES = frozenset(
    [
        "de",
        "la",
        "le",
        "van",
        "von",
        "der",
        "den",
        "del",
        "di",
        "da",
        "du",
        "st",
        "st.",
        "mc",
        "mac",
        "el",
        "al",
    ]
)
_SUFFIX = re.compile(r"^(?:jr|sr|ii|iii|iv|md|phd|dds|esq)\.?$", re.IGNORECASE)
_TITLES = re.compile(
    r"^(?:mr|mrs|ms|dr|miss|prof|rev)\.?(?:\s*(?:&|and)\s*(?:mr|mrs|ms|dr)\.?)?\s", re.IGNORECASE
)
_SIDE = re.compile(
    r"\s*\(([^()]*)\)\s*|\s+-\s+((?:tenant|owner|renter|landlord|new owner|caretaker).*)$",
    re.IGNORECASE,
)
# The common part of RFC 5321's mailbox; each address is looked at by itself, so that no long cell
# can make the search slow.
_EMAIL = re.compile(
    r"(?=.{3,254}$)[a-z0-9!#$%&'*+=?^_{}~-]{1,64}(?:\.[a-z0-9!#$%&'*+=?^_{}~-]{1,64})*"
    r"@(?:[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?\.)+[a-z]{2,63}"
)
# North American numbers: neither the area code nor the exchange begins with 0 or 1.
_PHONE = re.compile(
    r"(?:(?P<foreign>\+(?!1[\s.(-]?\(?[2-9])\d[\d\s().-]{6,17}\d)"
    r"|(?<![\d+])(?:\+?1[\s.-]{0,2})?\(?(?P<area>[2-9]\d\d)\)?[\s./-]{0,3}"
    r"(?P<rest>[2-9]\d\d[\s.-]{0,3}\d{4}))(?!\d)"
    r"(?:[\s,;]*(?:x|ext\.?|extn\.?|extension|#)[\s.:]*(?P<extension>\d{1,6})\b)?",
    re.IGNORECASE,
)
_LABEL = re.compile(
    r"\b(?:home|hm|house|cell|cel|mobile|mob|work|wk|wrk|office|ofc|off|main|tel|phone|ph|fax|text"
    r"|her|his|him|wife|husband|spouse|son|daughter|or|and|also|best|call|day|eve|evenings?|days|alt"
    r"|direct|landline|primary|secondary|h|c|w|m|o|p|t)\b|[.,:;/&|()\-#\n]|\s",
    re.IGNORECASE,
)


def read_names(text: str) -> tuple[list[str], list[str]]:
    """The names of a household, "First Last" each, and side words such as "(tenant)".

    Raises CellRefused (unparsable, formula_text) where no name can be seen, CellDoubtful (unclear).
    """
    if text[:1] in "=@+-" and len(text.strip("=@+- ")) > 0:
        raise CellRefused("formula_text", f"{one_line(text)!r} begins like a formula")
    asides = [a or b for a, b in _SIDE.findall(text)]
    word = " ".join(_SIDE.sub(" ", text.replace("\n", " / ")).split()).strip(" ,;/")
    if not re.search(r"[^\W\d_]", word):
        raise CellRefused("unparsable", f"{one_line(text)!r} is not a name")
    if _COMPANY.search(word):
        return [word], asides
    if re.search(r"\d{2,}|@", word):
        raise CellRefused("unparsable", f"{one_line(text)!r} is not a name")
    names: list[str] = []
    for part in re.split(r"\s*(?:/|;|\|)\s*", word):
        names.extend(_split_couple(part))
    return list(dict.fromkeys(name for name in names if name)), asides


def _split_couple(part: str) -> list[str]:
    """ "Last, A & B", "A & B Last", "A Last and B Other", "Last, First Jr."."""
    part, suffix = _take_suffix(part)
    if (_TITLES.match(part) and "&" in part) or re.match(r"mr\.? and mrs", part, re.IGNORECASE):
        return [(part + suffix).strip()]
    last = ""
    if part.count(",") == 1:
        last, part = (piece.strip() for piece in part.split(","))
        if _is_two_people(last, part):
            return [last, part + suffix]
        if not part:
            return [last + suffix]
        if _TITLES.match(part) and re.search(r"&|\band\b", part):
            return [f"{part} {last}{suffix}"]
    elif part.count(",") > 1:
        whole = re.split(r"\s*(?:&|\band\b)\s*", part)
        if all(piece.count(",") == 1 for piece in whole):
            return [name for piece in whole for name in _split_couple(piece)]
        return [piece.strip() for piece in part.split(",") if piece.strip()]
    firsts = re.split(r"\s*(?:&|\+|\band\b)\s*", part)
    firsts = [first.strip() for first in firsts if first.strip()]
    if not last and len(firsts) > 1 and " " not in firsts[0]:
        last_words = firsts[-1].split()
        last = last_words[-1] if len(last_words) > 1 else ""
        firsts[-1] = " ".join(last_words[:-1]) if last else firsts[-1]
        return [f"{first} {last}".strip() if " " not in first else first for first in firsts]
    return [f"{first} {last}".strip() + suffix for first in firsts]


def _is_two_people(left: str, right: str) -> bool:
    """ "Juno Greenlaw, Cosmo Greenlaw"; but "de la Cruz, Maria" is one.

    Raises CellDoubtful where both are possible.
    """
    left_words, right_words = left.split(), right.split()
    if len(left_words) < 2 or len(right_words) < 2 or left_words[0].lower() in _PARTICLES:
        return False
    if re.search(r"&|\+|\band\b|\.$", right):
        return False
    if left_words[-1].lower() == right_words[-1].lower():
        return True
    raise CellDoubtful("unclear", f"{left}, {right} may be one person or two")


def _take_suffix(part: str) -> tuple[str, str]:
    words = re.split(r"[,\s]+", part)
    if len(words) > 2 and _SUFFIX.match(words[-1]):
        kept = part[: part.rfind(words[-1])].rstrip(" ,")
        return kept, " " + words[-1]
    return part, ""


def read_emails(text: str) -> tuple[list[str], list[str]]:
    """Every address of the cell in small letters, and every piece that is none though it looks it.

    Raises CellRefused (invalid_email) where there is no address at all.
    """
    pieces = re.split(r"[\s;,/<>()\[\]|\"]+", plain(text).replace("mailto:", ""))
    found = list(dict.fromkeys(piece for piece in pieces if _EMAIL.fullmatch(piece.strip(".'"))))
    found = [piece.strip(".'") for piece in found]
    if not found:
        raise CellRefused("invalid_email", f"{one_line(text)!r} is not an e-mail address")
    bad = [p for p in pieces if p.strip(".'") not in found and ("@" in p or "." in p[1:-1])]
    return found, bad


def read_phones(text: str) -> tuple[list[str], list[str], list[str]]:
    """Ten digits each, then x and the extension; the words beside them; the pieces that are none.

    The country is the United States unless a + says otherwise.
    Raises CellRefused (not_a_phone) where there is no telephone at all.
    """
    word = text.replace("\u2011", "-").replace("\u2013", "-").replace("\u2012", "-")
    phones: list[str] = []
    rest = ""
    at = 0
    for found in _PHONE.finditer(word):
        rest += word[at : found.start()] + " "
        at = found.end()
        digits = re.sub(r"\D", "", found.group())
        if len(set(digits)) == 1:  # 999 999 9999 stands for nobody
            rest += found.group() + ";"
            continue
        phones.append(_tidy_phone(found))
    rest += word[at:]
    bad = [p.strip(" /") for p in re.split(r"\s+/\s+|[;,|\n]|\bor\b|\band\b", rest)]
    bad = [piece for piece in bad if len(re.sub(r"\D", "", piece)) >= 3]
    if not phones:
        why = f"{one_line(text)!r} is not a telephone number"
        if bad and len(re.sub(r"\D", "", bad[0])) == 7:
            why = f"{one_line(text)!r} has no area code"
        raise CellRefused("not_a_phone", why)
    words = one_line(rest) if re.search(r"[^\W\d_]{2,}", _LABEL.sub("", rest)) else ""
    return list(dict.fromkeys(phones)), [words] if words else [], bad


def _tidy_phone(found: re.Match[str]) -> str:
    tail = f"x{found['extension']}" if found["extension"] else ""
    digits = re.sub(r"\D", "", found["foreign"] or found["area"] + found["rest"])
    return ("+" if found["foreign"] else "") + digits + tail
