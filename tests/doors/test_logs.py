"""Log lines are JSON, one a record, and hold nothing that lets anyone in."""

import json
import logging
import sys
from types import SimpleNamespace

from drainservice.doors.logs import JsonLines


def line(message, **more):
    record = logging.makeLogRecord({"name": "django.request", "msg": message, **more})
    return JsonLines().format(record)


def test_the_path_of_a_link_is_left_out():
    told = line("Internal Server Error: /in/bIzWyf4EYAfji3r4P-jZvFME4kiWSx3yjV1zvsl1lHY")

    assert "bIzWyf" not in told
    assert json.loads(told)["says"] == "Internal Server Error: /in/(left out)"


def test_a_trace_is_one_line_without_links():
    try:
        raise ValueError("no view for /y/a1.2.3~signed")
    except ValueError:
        told = line("broke", exc_info=sys.exc_info())

    assert "\n" not in told
    assert "signed" not in told
    assert "ValueError" in json.loads(told)["trace"]


def test_a_line_break_in_a_message_makes_no_second_line():
    assert "\n" not in line("first\nsecond")


def test_the_number_of_the_request_stands_beside_its_error():
    told = line("broke", request=SimpleNamespace(request_id="0123456789abcdef"))

    assert json.loads(told)["request_id"] == "0123456789abcdef"
