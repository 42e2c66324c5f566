"""Shapes in which lawful CAP 1.2 messages come; made here after OASIS CAP 1.2 (2010)."""

import re
from datetime import UTC, datetime

import pytest

from drainservice.engine.rainfall.warning import Judgement, judge_warning, warning_covers
from drainservice.engine.rainfall.warning_area import Cover
from drainservice.engine.rainfall.warning_reader import NotAWarning, read_warning

NOON = datetime(2027, 6, 1, 12, tzinfo=UTC)
SPACE = "urn:oasis:names:tc:emergency:cap:1.2"
SQUARE = "<polygon>10,20 10,30 20,30 20,20 10,20</polygon>"
UNTIL = "<expires>2027-06-01T18:00:00-00:00</expires>"
ACTS = Judgement.ACTS


def block(event="Flood Warning", until=UNTIL, area=SQUARE, more=""):
    return (
        f"<info>{more}<category>Met</category><event>{event}</event><urgency>Expected</urgency>"
        f"<severity>Severe</severity><certainty>Likely</certainty>{until}"
        f"<area><areaDesc>here</areaDesc>{area}</area></info>"
    )


def message(*blocks, space=SPACE, status="Actual", kind="Alert"):
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><alert xmlns="{space}"><identifier>X1</identifier>'
        "<sender>rain@example.org</sender><sent>2027-06-01T10:00:00-00:00</sent>"
        f"<status>{status}</status><msgType>{kind}</msgType><scope>Public</scope>"
        f"{''.join(blocks)}</alert>"
    )


def judge(content, events=("Flood Warning",), codes=(), at=(15.0, 25.0)):
    read = read_warning(content)
    why = judge_warning(read, now=NOON, events=events)
    return why, warning_covers(read, *at, codes, now=NOON, events=events)


def with_prefix(text):
    """Every element with a prefix, the default namespace gone."""
    named = re.sub(r"<(/?)(?![?/])(\w)", r"<\1c:\2", text)
    return named.replace("xmlns=", "xmlns:c=")


@pytest.mark.parametrize(
    "content",
    [
        message(block()),
        message(block("Flood <!-- a remark -->Warning")),
        message(block("<![CDATA[Flood Warning]]>")),
        message(block("FLOOD   WARNING")),
        message(block("Aviso", more="<language>es-US</language>"), block()),
        message(block(area=f"<polygon>0,0 0,1 1,1 0,0</polygon></area><area>{SQUARE}")),
        with_prefix(message(block())),
        "\ufeff" + message(block()),
        message(block()).replace("UTF-8", "UTF-16").encode("utf-16"),
        message(block(), '<Signature xmlns="http://www.w3.org/2000/09/xmldsig#"/>'),
        message(block()).replace("10:00:00-00:00", "10:00:00.250Z"),
        message(block(), status=" Actual ", kind="Update"),
    ],
    ids=[
        "plain", "remark", "cdata", "capitals", "two languages", "two areas", "prefix", "mark",
        "utf-16", "signed", "split second", "blanks",
    ],
)  # fmt: skip
def test_the_same_warning_acts_however_it_is_written(content):
    assert judge(content) == (ACTS, Cover.POLYGON)


def test_an_event_is_known_by_its_code_in_any_language():
    code = "<eventCode><valueName>SAME</valueName><value>FLW</value></eventCode>"

    assert judge(message(block("Aviso", more=code)), events=["FLW"])[0] is ACTS


def test_circle_and_code_cover_without_a_polygon():
    circle = message(block(area="<circle>15.05,25 10</circle>"))  # 5.6 km away, 10 km wide
    small = message(block(area="<circle>15.05,25 5</circle>"))
    same = message(
        block(area="<geocode><valueName>SAME</valueName><value>006109</value></geocode>")
    )

    assert judge(circle)[1] is Cover.CIRCLE
    assert judge(small)[1] is Cover.NONE
    assert judge(same, codes=["006109"])[1] is Cover.CODE
    assert judge(same, codes=["006110"])[1] is Cover.NONE


def test_a_warning_of_what_begins_later_stands_a_day_from_then():
    later = message(block(until="<onset>2027-06-02T16:00:00-00:00</onset>"))

    read = read_warning(later)

    assert read.expires_at == datetime(2027, 6, 3, 16, tzinfo=UTC)
    assert "24 hours are assumed" in read.notes[0]


def test_blocks_expire_each_on_its_own():
    over = block(until="<expires>2027-06-01T11:00:00-00:00</expires>")
    elsewhere = block(area="<polygon>0,0 0,1 1,1 0,0</polygon>")

    assert judge(message(over))[0] is Judgement.EXPIRED
    # Only the block that still stands counts, and it stands elsewhere.
    assert judge(message(over, elsewhere)) == (ACTS, Cover.NONE)


def test_a_longitude_beyond_180_is_the_same_place():
    waters = message(block(area="<polygon>50,-190 50,-170 60,-170 60,-190 50,-190</polygon>"))

    assert judge(waters, at=(55.0, 179.0))[1] is Cover.POLYGON
    assert judge(waters, at=(55.0, 165.0))[1] is Cover.NONE


def test_the_older_cap_1_0_is_refused_by_name():
    with pytest.raises(NotAWarning, match=r"CAP 1\.1 or 1\.2"):
        read_warning(message(block(), space="http://www.incident.com/cap/1.0"))
