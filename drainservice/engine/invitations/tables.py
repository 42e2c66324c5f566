"""How often each property may stand in an entry, by method: the tables of RFC 5546, 3.2."""

from types import MappingProxyType

Bounds = tuple[int, int]
MANY = 9999
ONE: Bounds = (1, 1)
MAYBE: Bounds = (0, 1)
ANY: Bounds = (0, MANY)
NONE: Bounds = (0, 0)

# What every method but REFRESH shares; a method names only its differences.
_SHARED: dict[str, Bounds] = {
    "ATTACH": ANY,
    "ATTENDEE": ANY,
    "CATEGORIES": ANY,
    "CLASS": MAYBE,
    "COMMENT": ANY,
    "CONTACT": ANY,
    "CREATED": MAYBE,
    "DESCRIPTION": MAYBE,
    "DTEND": MAYBE,
    "DTSTAMP": ONE,
    "DTSTART": MAYBE,
    "DURATION": MAYBE,
    "EXDATE": ANY,
    "GEO": MAYBE,
    "LAST-MODIFIED": MAYBE,
    "LOCATION": MAYBE,
    "ORGANIZER": ONE,
    "PRIORITY": MAYBE,
    "RDATE": ANY,
    "RECURRENCE-ID": MAYBE,
    "RELATED-TO": ANY,
    "REQUEST-STATUS": NONE,
    "RESOURCES": ANY,
    "RRULE": MAYBE,
    "SEQUENCE": MAYBE,
    "STATUS": MAYBE,
    "SUMMARY": MAYBE,
    "TRANSP": MAYBE,
    "UID": ONE,
    "URL": MAYBE,
}

# RFC 5546: 3.2.2 REQUEST, 3.2.3 REPLY, 3.2.5 CANCEL, 3.2.6 REFRESH, 3.2.7 COUNTER.
ENTRY: MappingProxyType[str, dict[str, Bounds]] = MappingProxyType(
    {
        "REQUEST": _SHARED | {"ATTENDEE": (1, MANY), "DTSTART": ONE, "SUMMARY": ONE},
        "REPLY": _SHARED | {"ATTENDEE": ONE, "REQUEST-STATUS": ANY},
        "CANCEL": _SHARED | {"SEQUENCE": ONE},
        "REFRESH": dict.fromkeys(_SHARED, NONE)
        | {
            "ATTENDEE": ONE,
            "COMMENT": ANY,
            "DTSTAMP": ONE,
            "ORGANIZER": ONE,
            "RECURRENCE-ID": MAYBE,
            "UID": ONE,
        },
        "COUNTER": _SHARED
        | {"DTSTART": ONE, "REQUEST-STATUS": ANY, "SEQUENCE": ONE, "SUMMARY": ONE},
    }
)

# The STATUS an entry may carry, by method.
STATUS: MappingProxyType[str, tuple[str, ...]] = MappingProxyType(
    {
        "REQUEST": ("TENTATIVE", "CONFIRMED"),
        "CANCEL": ("CANCELLED",),
        "REPLY": ("TENTATIVE", "CONFIRMED", "CANCELLED"),
        "COUNTER": ("TENTATIVE", "CONFIRMED", "CANCELLED"),
        "REFRESH": (),
    }
)
MAY_HAVE_ALARM = frozenset({"REQUEST", "COUNTER"})

# RFC 5545, 3.6.5 and 3.6.6.
CALENDAR: dict[str, Bounds] = {"PRODID": ONE, "VERSION": ONE, "METHOD": ONE, "CALSCALE": MAYBE}
ZONE: dict[str, Bounds] = {"TZID": ONE, "LAST-MODIFIED": MAYBE, "TZURL": MAYBE}
OBSERVANCE: dict[str, Bounds] = {
    "DTSTART": ONE,
    "TZOFFSETFROM": ONE,
    "TZOFFSETTO": ONE,
    "RRULE": MAYBE,
}
DISPLAY_ALARM: dict[str, Bounds] = {
    "ACTION": ONE,
    "DESCRIPTION": ONE,
    "TRIGGER": ONE,
    "DURATION": MAYBE,
    "REPEAT": MAYBE,
}

# Values from a list: RFC 5545, 3.8.1.3, 3.8.2.7; parameters: 3.2.3, 3.2.12, 3.2.16, 3.2.17.
VALUES: dict[str, tuple[str, ...]] = {
    "CLASS": ("PUBLIC", "PRIVATE", "CONFIDENTIAL"),
    "TRANSP": ("OPAQUE", "TRANSPARENT"),
}
PARAMETERS: dict[str, tuple[str, ...]] = {
    "CUTYPE": ("INDIVIDUAL", "GROUP", "RESOURCE", "ROOM", "UNKNOWN"),
    "PARTSTAT": ("NEEDS-ACTION", "ACCEPTED", "DECLINED", "TENTATIVE", "DELEGATED"),
    "ROLE": ("CHAIR", "REQ-PARTICIPANT", "OPT-PARTICIPANT", "NON-PARTICIPANT"),
    "RSVP": ("TRUE", "FALSE"),
}
