"""The one cleaner of text from outside, for every door."""

import re
import unicodedata
from email.errors import HeaderParseError
from email.headerregistry import Address

NAME_MOST = 120
EMAIL_MOST = 254
# Marks that turn or isolate the reading direction (Unicode, UAX 9). They cannot be seen, come
# along with pasted text, and could make one name look like another.
_BIDI = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
_BREAKS = re.compile("\r\n?|[\v\f\x85\u2028\u2029]")
_EXTENSION = re.compile(r"\s*(?:[,;]?\s*(?:extension|ext\.?|x)|#)\s*(\d{1,6})$", re.IGNORECASE)


class TextRefused(ValueError):
    """The text cannot be kept as it is; the message says why and what to do."""


def clean_line(text: str, *, most: int, what: str) -> str:
    """One line: NFC, blanks at the ends cut, runs of them made one, at most `most` characters.

    `what` opens the sentence of a refusal ("The street"). Line breaks and other controls, and
    what no database can store, raise TextRefused. The length is judged last, as stored.
    """
    line = _storable(text, what).replace("\ufeff", "").replace("\t", " ").strip()
    if _BREAKS.search(line) or "\n" in line:
        raise TextRefused(f"{what} must stand on one line; take the line break out.")
    line = " ".join(line.split())
    _refuse_controls(line, what)
    return _short_enough(line, most, what)


def clean_text(text: str, *, most: int, what: str) -> str:
    """Several lines: every kind of line break becomes one, blanks at line ends are cut, NFC."""
    whole = _BREAKS.sub("\n", _storable(text, what).replace("\ufeff", ""))
    whole = "\n".join(line.rstrip() for line in whole.split("\n")).strip("\n")
    _refuse_controls(whole.replace("\n", "").replace("\t", ""), what)
    return _short_enough(whole, most, what)


def clean_name(text: str, *, most: int = NAME_MOST, what: str = "The name") -> str:
    """A name: one line, without the invisible marks that turn the reading direction."""
    return clean_line(_BIDI.sub("", text), most=most, what=what)


def clean_email(text: str, *, what: str = "The mail address") -> str:
    """One bare mail address; its domain in small ASCII letters (IDNA), its local part as given.

    Raises TextRefused for names, several addresses, line breaks and addresses that calendars
    and mail servers do not all take: quoted or non-ASCII local parts, numbers for a domain.
    """
    line = clean_line(_BIDI.sub("", text), most=EMAIL_MOST, what=what)
    advice = f"{what} must be one address like name@example.com."
    try:
        found = Address(addr_spec=line)
    except (HeaderParseError, ValueError, IndexError) as wrong:
        raise TextRefused(advice) from wrong
    # The parser passes comments over; an address that holds more than itself is refused.
    if f"{found.username}@{found.domain}" != line:
        if line.startswith('"'):
            raise TextRefused(f"{what} has quotes, which mail servers refuse. {advice}")
        raise TextRefused(advice)
    if not re.fullmatch(r"[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]{1,64}", found.username):
        raise TextRefused(f"{what} is too long before the @ or has odd signs there. {advice}")
    address = f"{found.username}@{_ascii_domain(found.domain, advice)}"
    return _short_enough(address, EMAIL_MOST, what)


def clean_phone(text: str, *, what: str = "The telephone number") -> str:
    """Digits only, a leading + for the country kept, an extension after " x": `5035550142 x7`.

    Raises TextRefused for letters and for fewer than 7 or more than 15 digits (ITU-T E.164).
    """
    line = clean_line(_BIDI.sub("", text), most=60, what=what)
    line = "".join(str(unicodedata.decimal(c)) if c.isdecimal() else c for c in line)
    found = _EXTENSION.search(line)
    number = line[: found.start()] if found else line
    if number.startswith("+"):
        # The zero in brackets is dialled only without the country.
        number = number.replace("(0)", "")
    digits = "".join(c for c in number if c.isdecimal())
    rest = "".join(c for c in number if not c.isdecimal())
    if not re.fullmatch(r"\+?[\s().\-/\u2010-\u2015\u2212]*", rest.lstrip("( ")) or (
        "+" in rest and not number.lstrip("( ").startswith("+")
    ):
        raise TextRefused(f"{what} may hold digits, a leading + and an extension: 503-555-0142 x7.")
    if not 7 <= len(digits) <= 15:
        raise TextRefused(f"{what} has {len(digits)} digits; write it with its area code.")
    extension = f" x{found[1]}" if found else ""
    return ("+" if "+" in rest else "") + digits + extension


def _ascii_domain(domain: str, advice: str) -> str:
    try:
        name = domain.encode("idna").decode("ascii").lower()
    except UnicodeError as wrong:
        raise TextRefused(advice) from wrong
    labels = name.split(".")
    is_host = all(re.fullmatch(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?", label) for label in labels)
    if not is_host or len(labels) < 2 or labels[-1].isdigit():
        raise TextRefused(advice)
    return name


def _storable(text: str, what: str) -> str:
    """NFC, without what one of the databases refuses: NUL (PostgreSQL), lone surrogates (both)."""
    if any(c == "\0" or "\ud800" <= c <= "\udfff" for c in text):
        raise TextRefused(f"{what} holds a sign that cannot be stored; type it anew.")
    return unicodedata.normalize("NFC", text)


def _refuse_controls(text: str, what: str) -> None:
    if any(unicodedata.category(c) == "Cc" for c in text):
        raise TextRefused(f"{what} holds an invisible control sign; type it anew.")


def _short_enough(text: str, most: int, what: str) -> str:
    if len(text) > most:
        raise TextRefused(f"{what} is {len(text)} characters long; at most {most} fit.")
    return text
