"""The judges themselves: they find planted faults, and none is left out by accident."""

import pytest

from drainservice.engine.invitations.request import write_request
from tests.engine.invitations.judges import (
    do_without,
    read_with_ical_js,
    read_with_libical,
    read_with_vobject,
)
from tests.engine.invitations.makers import make_invitation


def test_a_missing_judge_fails_in_words(monkeypatch):
    monkeypatch.delenv("DRAIN_TESTS_WITHOUT", raising=False)

    with pytest.raises(pytest.fail.Exception, match="install Debian's libical3"):
        do_without("libical", "libical is missing: install Debian's libical3.")


def test_a_judge_is_left_out_only_by_its_own_name(monkeypatch):
    monkeypatch.setenv("DRAIN_TESTS_WITHOUT", "libical")

    with pytest.raises(pytest.skip.Exception, match="libical"):
        do_without("libical", "libical is missing.")
    with pytest.raises(pytest.fail.Exception):
        do_without("ical.js", "ical.js is missing.")


def test_libical_sees_a_status_that_a_request_must_not_have():
    octets = write_request(make_invitation()).replace(b"STATUS:CONFIRMED", b"STATUS:CANCELLED")

    found = read_with_libical(octets)

    assert not found["keeps_rules"]
    assert any("STATUS" in complaint for complaint in found["complaints"])


def test_each_judge_sees_an_hour_s_error_in_the_zone():
    right = write_request(make_invitation())
    wrong = right.replace(b"TZOFFSETTO:-0400", b"TZOFFSETTO:-0300").replace(
        b"America/New_York", b"Test/Hour_Off"
    )

    (js_right, js_wrong) = read_with_ical_js([right, wrong])

    assert js_right["start"] != js_wrong["start"]
    assert read_with_libical(right)["start"] != read_with_libical(wrong)["start"]
    assert read_with_vobject(right)["start"] != read_with_vobject(wrong)["start"]


def test_ical_js_names_what_it_cannot_read():
    (found,) = read_with_ical_js([b"BEGIN:VCALENDAR\r\nno colon\r\nEND:VCALENDAR\r\n"])

    assert "error" in found
