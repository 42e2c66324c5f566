"""Three readers of calendars that did not write them: ical.js, libical and vobject.

Each is asked the same questions. One that is not on the machine fails its tests in words;
DRAIN_TESTS_WITHOUT=ical.js (or libical, or both with a comma) leaves it out on purpose.
"""

import ctypes
import hashlib
import json
import os
import shutil
import subprocess
import tarfile
import tempfile
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import pytest
import vobject

ICAL_JS = "ical.js@2.2.1"
ICAL_JS_SHA256 = "36482280d62cc50f0adddb0587612cff32b96df18eb9e2071ec9929c2e7b3107"
CACHE = Path(__file__).parents[3] / ".cache" / "judges"


def do_without(judge: str, sentence: str):
    """Skip if the environment says so in so many words, else fail and say what to install."""
    if judge in os.environ.get("DRAIN_TESTS_WITHOUT", "").split(","):
        pytest.skip(f"left out by DRAIN_TESTS_WITHOUT: {judge}")
    pytest.fail(f"{sentence} Or leave it out on purpose: DRAIN_TESTS_WITHOUT={judge}.")


def read_with_ical_js(calendars: list[bytes]) -> list[dict]:
    """What ical.js makes of each calendar; times as instants."""
    node = shutil.which("node") or do_without("ical.js", "ical.js needs Node: install nodejs.")
    script = Path(__file__).with_name("read_with_ical_js.cjs")
    done = subprocess.run(
        [node, str(script), str(_find_ical_js())],
        input=json.dumps([octets.decode("utf-8") for octets in calendars]),
        capture_output=True,
        encoding="utf-8",
        check=True,
        timeout=120,
    )
    return [_with_instants(found) for found in json.loads(done.stdout)]


def _find_ical_js() -> Path:
    """The pinned package, unpacked once under .cache/, its octets compared with our sum."""
    home = CACHE / ICAL_JS
    main = home / "package" / "dist" / "ical.es5.cjs"
    if main.exists():
        return main
    npm = shutil.which("npm") or do_without("ical.js", "ical.js comes by npm: install npm.")
    CACHE.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=CACHE) as folder:
        done = subprocess.run(
            [npm, "pack", ICAL_JS, "--silent"],
            cwd=folder,
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
        packed = Path(folder, "ical.js-2.2.1.tgz")
        if not packed.exists():
            do_without("ical.js", f"npm could not fetch {ICAL_JS}: {done.stderr[-300:]}")
        assert hashlib.sha256(packed.read_bytes()).hexdigest() == ICAL_JS_SHA256
        with tarfile.open(packed) as tar:
            tar.extractall(Path(folder, "out"), filter="data")
        # Renaming is whole or not at all, so two test processes do not meet half a package.
        try:
            Path(folder, "out").rename(home)
        except OSError:
            assert main.exists()
    return main


def _with_instants(found: dict) -> dict:
    for name in ("start", "end"):
        if name in found:
            found[name] = datetime.fromtimestamp(found[name], UTC)
    return found


class _Time(ctypes.Structure):
    """struct icaltimetype of libical 3."""

    _fields_ = [
        *((name, ctypes.c_int) for name in ("year", "month", "day", "hour", "minute", "second")),
        ("is_date", ctypes.c_int),
        ("is_daylight", ctypes.c_int),
        ("zone", ctypes.c_void_p),
    ]


@cache
def _libical():
    """The library with the signatures we call."""
    try:
        library = ctypes.CDLL("libical.so.3")
    except OSError:
        do_without("libical", "libical 3 is missing: install Debian's libical3.")
    for function, takes, gives in (
        ("icalparser_parse_string", [ctypes.c_char_p], ctypes.c_void_p),
        ("icalrestriction_check", [ctypes.c_void_p], ctypes.c_int),
        ("icalcomponent_count_errors", [ctypes.c_void_p], ctypes.c_int),
        ("icalcomponent_as_ical_string", [ctypes.c_void_p], ctypes.c_char_p),
        ("icalcomponent_string_to_kind", [ctypes.c_char_p], ctypes.c_int),
        ("icalcomponent_isa", [ctypes.c_void_p], ctypes.c_int),
        (
            "icalcomponent_get_first_component",
            [ctypes.c_void_p, ctypes.c_int],
            ctypes.c_void_p,
        ),
        ("icalcomponent_get_dtstart", [ctypes.c_void_p], _Time),
        ("icalcomponent_get_dtend", [ctypes.c_void_p], _Time),
        ("icalcomponent_get_uid", [ctypes.c_void_p], ctypes.c_char_p),
        ("icalcomponent_get_sequence", [ctypes.c_void_p], ctypes.c_int),
        ("icalcomponent_get_summary", [ctypes.c_void_p], ctypes.c_char_p),
        ("icalcomponent_get_description", [ctypes.c_void_p], ctypes.c_char_p),
        ("icalcomponent_get_location", [ctypes.c_void_p], ctypes.c_char_p),
        ("icaltime_as_timet_with_zone", [_Time, ctypes.c_void_p], ctypes.c_int64),
        ("icalcomponent_free", [ctypes.c_void_p], None),
    ):
        getattr(library, function).argtypes = takes
        getattr(library, function).restype = gives
    return library


def read_with_libical(octets: bytes) -> dict:
    """What libical makes of a calendar, with its own restriction check (the iTIP tables)."""
    library = _libical()
    calendar = library.icalparser_parse_string(octets)
    assert calendar, "libical could not read the calendar at all"
    kind = library.icalcomponent_string_to_kind(b"VCALENDAR")
    assert library.icalcomponent_isa(calendar) == kind
    keeps_rules = library.icalrestriction_check(calendar) == 1
    entry = library.icalcomponent_get_first_component(
        calendar, library.icalcomponent_string_to_kind(b"VEVENT")
    )
    assert entry, "libical found no VEVENT"
    try:
        return {
            "keeps_rules": keeps_rules,
            "errors": library.icalcomponent_count_errors(calendar),
            "complaints": _complaints(library.icalcomponent_as_ical_string(calendar)),
            "uid": _text(library.icalcomponent_get_uid(entry)),
            "sequence": library.icalcomponent_get_sequence(entry),
            "start": _instant(library, library.icalcomponent_get_dtstart(entry)),
            "end": _instant(library, library.icalcomponent_get_dtend(entry)),
            "summary": _text(library.icalcomponent_get_summary(entry)),
            "description": _text(library.icalcomponent_get_description(entry)),
            "location": _text(library.icalcomponent_get_location(entry)),
        }
    finally:
        library.icalcomponent_free(calendar)


def _complaints(octets: bytes) -> list[str]:
    lines = octets.decode("utf-8").replace("\r\n ", "").split("\r\n")
    return [line for line in lines if line.startswith("X-LIC-ERROR")]


def _instant(library, found: _Time) -> datetime:
    return datetime.fromtimestamp(library.icaltime_as_timet_with_zone(found, found.zone), UTC)


def _text(found: bytes | None) -> str:
    return (found or b"").decode("utf-8")


def read_with_vobject(octets: bytes) -> dict:
    """What vobject makes of a calendar."""
    calendar = vobject.readOne(octets.decode("utf-8"))
    calendar.validate(raiseException=True)
    entry = calendar.vevent
    return {
        "method": calendar.method.value,
        "uid": entry.uid.value,
        "sequence": int(entry.sequence.value),
        "status": entry.status.value if hasattr(entry, "status") else "",
        "start": entry.dtstart.value.astimezone(UTC),
        "end": entry.dtend.value.astimezone(UTC),
        "summary": entry.summary.value,
        "description": entry.description.value if hasattr(entry, "description") else "",
        "location": entry.location.value if hasattr(entry, "location") else "",
        "attendees": [person.value for person in entry.attendee_list],
        "attendee_name": (entry.attendee.params.get("CN") or [""])[0],
        "organizer": entry.organizer.value,
    }
