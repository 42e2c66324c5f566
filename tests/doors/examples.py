"""An example of every address, and an honest body for each that takes one.

`of("visit")` is filled from the house that is asked about; all else is taken as written.
"""

from dataclasses import dataclass
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver

from tests.doors.world import OFFICE, OURS, OWNER, WITH_VISIT, House


@dataclass(frozen=True)
class of:
    """A thing of the house."""

    what: str
    kind: str = ""

    def at(self, house: House) -> Any:
        """Its number or word there."""
        return house.part_of(self.kind) if self.what == "parts" else getattr(house, self.what)


ONCE = "00000000000040008000000000000000"
SIGNED: dict[str, Any] = {"signed": of("signed")}
CODE: dict[str, Any] = {"code": of("code")}
VISIT: dict[str, Any] = {"visit_id": of("visit")}
SITE: dict[str, Any] = {"site_id": of("site")}
REMINDER: dict[str, Any] = {"reminder_id": of("reminder")}
# What one address takes in its path. A key "?" is the query.
PATHS: dict[str, dict[str, Any]] = {
    "sign-in": {},
    "sign-out": {},
    "let-in": {"token": of("let_in")},
    "lid": CODE,
    "livez": {},
    "readyz": {},
    "healthz": {},
    "morning": {},
    "due": {},
    "due-sum": {"due_id": of("due")},
    "systems": {},
    "system": CODE,
    "system-status": CODE,
    "advise": CODE,
    "part-add": CODE | {"part": "downspout"},
    "part-change": CODE | {"part": "downspout", "pk": of("parts", "downspout")},
    "pump-replace": CODE | {"pk": of("parts", "pump")},
    "site-new": {},
    "site": SITE,
    "site-access": SITE,
    "person-new": SITE,
    "part-end": SITE | {"pk": of("part")},
    "system-new": SITE,
    "thing-add": SITE | {"what": "permit"},
    "thing": SITE | {"what": "person", "pk": of("person_number")},
    "visit-new": {"?": {"system": of("code")}},
    "visit": VISIT,
    "undo": {"group": of("group")},
    "answers": {},
    "settle": {"visit_id": of("answered")},
    "calls": {},
    "down": {},
    "stop-gap": {"pk": of("down")},
    "repair": {"day": "2027-05-10"},
    "season": {},
    "rounds": {},
    "rounds-day": {"day": "2027-05-10"},
    "plan": {"plan_id": of("plan")},
    "plan-inputs": {"plan_id": of("plan")},
    "reminders": {},
    "hold-all": {},
    "reminder": REMINDER,
    "as-mail": REMINDER,
    "as-calendar": REMINDER,
    "keep-or-go": REMINDER,
    "mailbox": {},
    "bring-in": {},
    "sheet": {"sheet_id": of("sheet")},
    "take-home": {"sheet_id": of("sheet")},
    "sheet-answer": {"question_id": of("question")},
    "crew": {},
    "crew-add": {"what": "van"},
    "crew-thing": {"what": "closed", "pk": of("closed")},
    "crew-member": {"handle": of("handle")},
    "crew-hours": {"handle": of("handle")},
    "crew-start": {"handle": of("handle")},
    "crew-own-add": {"handle": of("handle"), "what": "skill"},
    "planning-terms": {},
    "settings": {},
    "setting-new": {"what": "type"},
    "account": {"handle": of("handle")},
    "setting": {"what": "jurisdiction", "pk": of("place")},
    "let-in-link": {"handle": of("handle")},
    "today": {},
    "technician-round": {"day": "2027-05-10", "handle": of("handle")},
    "set-out": VISIT,
    "at-pit": VISIT,
    "not-reached": VISIT,
    "pit": CODE,
    "inspection": CODE,
    "inspection-done": CODE | {"inspection_id": of("inspection")},
    "photo": {"photo_id": of("photo")},
    "new-link": {},
    "yard": SIGNED,
    "storm": SIGNED,
    "answered": SIGNED | VISIT,
    "calendar": SIGNED | VISIT,
    "answer": SIGNED | {"visit_id": of("visit"), "word": "yes"},
    "bucket-test": SIGNED | CODE,
    "bucket-tested": SIGNED | CODE | {"said": "ran_and_stopped"},
    "household-photo": SIGNED | {"photo_id": of("photo")},
    "stop": {"token": of("stop")},
}
# What one address takes in its body.
BODIES: dict[str, dict[str, Any]] = {
    "sign-in": {"name": "dora", "password": "not the right one"},
    "system-status": {"status": "out_of_use"},
    "advise": {"what": "A second pump", "why": "One is not enough."},
    "part-add": {"once": ONCE, "name": "B"},
    "part-change": {"once": ONCE, "version": "1", "name": "A, at the garage"},
    "pump-replace": {"once": ONCE, "from_on": "2027-05-10", "because": "It stood."},
    "site-new": {
        "once": ONCE,
        "address": "118 Maple Ridge Rd",
        "zone": "America/Los_Angeles",
        "jurisdiction": of("place"),
    },
    "site-access": {"version": "1", "access_note": "The right gate now."},
    "person-new": {
        "once": ONCE,
        "name": "Ada Fenn",
        "language": "en",
        "parts": ["lives"],
        "starts_on": "2027-05-10",
    },
    "system-new": {"once": ONCE, "place": "behind the shed", "origin": "adopted"},
    "thing-add": {"once": ONCE, "number": "2027-118"},
    "setting": {
        "once": ONCE,
        "version": "1",
        "name": "Ferry County",
        "drain_limit_h": "48",
        "wet_seasons": "10-15 to 04-15",
    },
    "visit-new": {
        "once": ONCE,
        "purpose": "Yearly look",
        "minutes": "45",
        "time": "2027-05-20_0800_1000_bo",
        "act": "offer",
    },
    "crew": {"once": ONCE, "who": "andrea", "from_on": "2027-05-20", "because": "A course"},
    "crew-add": {"once": ONCE, "name": "The blue van", "carries": "camera"},
    "crew-thing": {"once": ONCE, "version": "1", "first_on": "2030-02-04", "name": "Stock taking"},
    "crew-member": {"once": ONCE, "from_on": "2027-05-20", "because": "A course"},
    "crew-hours": {
        "once": ONCE,
        "valid_from": "2027-05-20",
        "starts_0": "08:00",
        "ends_0": "16:00",
    },
    "crew-start": {"once": ONCE, "version": "0", "base": "", "van": ""},
    "crew-own-add": {"once": ONCE, "word": "electric"},
    "planning-terms": {
        "version": "0",
        "country": "US",
        "subdivision": "",
        "window_minutes": "120",
        "grid_minutes": "60",
        "reserve_percent": "20",
        "arriving_minutes": "8",
        "closing_minutes": "7",
        "defect_minutes": "5",
        "detour": "1.3",
        "not_usual_units": "15",
        "outside_area_units": "30",
        "overtime_units": "2",
        "move_offer_units": "100",
        "move_promise_units": "240",
        "weeks_before_season": "16",
    },
    "visit": {"act": "answer", "word": "yes", "person": ""},
    "thing": {"once": ONCE, "version": "1", "name": "Juno Fenn-Greenlaw", "language": "en"},
    "account": {"version": "1", "role": "technician", "is_active": "no"},
    "stop-gap": {"stop_gap": "A hired pump"},
    "repair": {"act": "better"},
    "season": {"act": "ask"},
    "rounds-day": {"act": "lock", "visit": of("visit"), "version": "", "lock": "day"},
    "plan": {"act": "put_aside"},
    "hold-all": {"act": "hold", "why": "The server moves."},
    "keep-or-go": {"act": "again"},
    "sheet-answer": {"choice": "leave"},
    "setting-new": {
        "once": ONCE,
        "part": "pump",
        "name": "A small one",
        "shortest_days": "30",
        "longest_days": "366",
    },
    "not-reached": {"why": "lid_covered"},
    "inspection": {
        "do": "close",
        "id": "3f0c2a52-1111-4000-8000-000000000000",
        "begun_at": "2027-05-10T15:00:00+00:00",
        "visit": of("visit"),
        "lid.what": "sound",
        "pump1.what": "ran",
    },
    "new-link": {"mail": "juno@example.com"},
    "answer": {"sequence": "0"},
    "bucket-test": {"answer": "ran_and_stopped"},
}


def routes() -> dict[str, dict[str, Any]]:
    """Every name in the resolver, with what its door declares."""
    found: dict[str, dict[str, Any]] = {}

    def walk(patterns: list[Any]) -> None:
        for pattern in patterns:
            if isinstance(pattern, URLResolver):
                walk(pattern.url_patterns)
            elif isinstance(pattern, URLPattern):
                found[pattern.name or str(pattern.pattern)] = _door_of(pattern.callback)

    walk(get_resolver().url_patterns)
    return found


def _door_of(view: Any) -> dict[str, Any]:
    while not hasattr(view, "door"):
        view = view.__wrapped__
    return view.door


def asker_of(name: str) -> str:
    """Somebody to whom the door opens."""
    if "signed" in PATHS[name]:
        return OURS
    to = routes()[name]["to"]
    return {"owner": OWNER, "technician": WITH_VISIT}.get(to, OFFICE)


def has_thing(name: str) -> bool:
    """Whether the address names a thing that can be foreign or missing."""
    path = dict(PATHS[name])
    path.update(path.pop("?", {}))
    return any(isinstance(v, of) and v.what != "signed" for v in path.values())


def fill(values: dict[str, Any], house: House, **more: Any) -> dict[str, Any]:
    """The values as they stand at a house; `more` stands above it."""
    return {
        key: more.get(key, value.at(house) if isinstance(value, of) else value)
        for key, value in values.items()
    }
