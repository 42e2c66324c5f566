"""Taking a visit back, after each of the messages that may have gone before."""

from datetime import date, timedelta

import pytest

from drainservice.engine.invitations.cancel import write_cancel, write_uninvite
from drainservice.engine.invitations.request import write_request
from drainservice.engine.invitations.validate import validate_itip
from tests.engine.invitations.judges import (
    read_with_ical_js,
    read_with_libical,
    read_with_vobject,
)
from tests.engine.invitations.makers import ZONE, make_invitation, promise

SAME = ("uid", "organizer", "attendees")
FIRST = make_invitation()
MOVED = make_invitation(sequence=1, **promise(date(2027, 3, 18), ZONE))
LATER = {"stamp_at": FIRST.stamp_at + timedelta(days=1)}


@pytest.mark.parametrize(
    ("before", "sequence"), [(FIRST, 1), (MOVED, 2)], ids=["after-the-first", "after-a-move"]
)
def test_a_cancellation_names_the_same_entry_and_counts_on(before, sequence):
    asked = write_request(before)
    off = write_cancel(make_invitation(sequence=sequence, **window(before), **LATER))

    request, cancel = read_with_ical_js([asked, off])

    assert [request[name] for name in SAME] == [cancel[name] for name in SAME]
    assert cancel["sequence"] == request["sequence"] + 1
    assert (cancel["method"], cancel["status"]) == ("CANCEL", "CANCELLED")
    assert (cancel["start"], cancel["end"]) == (before.start_at, before.end_at)
    assert cancel["summary"] == before.summary
    assert cancel["alarms"] == 0


def test_an_update_names_the_same_entry_and_counts_on():
    first, update = read_with_ical_js([write_request(FIRST), write_request(MOVED)])

    assert [first[name] for name in SAME] == [update[name] for name in SAME]
    assert (first["sequence"], update["sequence"]) == (0, 1)
    assert update["start"] - first["start"] == timedelta(days=2)


@pytest.mark.parametrize("write", [write_cancel, write_uninvite])
def test_keeps_the_standard_by_our_own_tables_and_by_those_of_libical(write):
    octets = write(make_invitation(sequence=1))

    assert validate_itip(octets) == ()
    assert read_with_libical(octets)["keeps_rules"]
    assert read_with_vobject(octets)["method"] == "CANCEL"


def test_uninviting_one_person_leaves_the_status_out():
    # RFC 5546, 3.2.5: STATUS must not stand where only some attendees are removed.
    (found,) = read_with_ical_js([write_uninvite(make_invitation(sequence=1))])

    assert (found["method"], found["status"]) == ("CANCEL", "")


def test_gives_the_same_octets_for_the_same_cancellation():
    assert write_cancel(FIRST) == write_cancel(make_invitation())


def window(of):
    return {name: getattr(of, name) for name in ("start_wall", "end_wall", "start_at", "end_at")}
