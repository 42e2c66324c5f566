"""CAP messages and indexes: real ones, damaged ones, and files made to do harm."""

import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from drainservice.engine.rainfall.warning_reader import (
    NotAWarning,
    WarningIncomplete,
    read_warning,
    read_warnings,
)
from drainservice.engine.rainfall.warning_xml import (
    WarningFileTooLarge,
    WarningFileUnreadable,
    WarningFileUnsafe,
)
from tests.engine.cases import case

WARNINGS = Path(__file__).parents[2] / "data" / "warnings"
INDEX = (WARNINGS / "nws_atom_index_2018-08-15.xml").read_bytes()
CAP12 = "urn:oasis:names:tc:emergency:cap:1.2"


def read(name):
    return read_warning((WARNINGS / name).read_bytes())


def made_up(area="", info="", head="", status="Actual", kind="Alert"):
    """A warning of an invented sender."""
    return (
        f'<alert xmlns="{CAP12}"><identifier>A1</identifier><sender>rain@example.org</sender>'
        f"<sent>2026-06-01T10:00:00-05:00</sent><status>{status}</status>"
        f"<msgType>{kind}</msgType><scope>Public</scope>{head}<info><category>Met</category>"
        "<event>Flood Warning</event><urgency>Immediate</urgency><severity>Severe</severity>"
        f"<certainty>Likely</certainty>{info}<area><areaDesc>Somewhere</areaDesc>{area}</area>"
        "</info></alert>"
    )


def test_D18_reads_the_example_of_the_specification():
    given = case("D18")

    message = read_warning(given.raw("xml"))

    info = message.infos[0]
    given.assert_holds("identifier", message.identifier)
    given.assert_holds("severity", info.severity)
    given.assert_holds("expires_utc", info.expires_at.isoformat())
    given.assert_holds("minutes_valid", message.minutes_valid, "min")
    given.assert_holds("geocodes", len(info.areas[0].geocodes))
    given.assert_holds("polygon_points", len(info.areas[0].polygons[0]))


def test_reads_the_whole_example_with_its_codes():
    # OASIS CAP 1.2 (2010), appendix A.2.
    message = read("oasis_cap12_appendix_a2.xml")

    info = message.infos[0]
    assert (message.version, message.kind, message.status) == ("1.2", "Alert", "Actual")
    assert info.event == "SEVERE THUNDERSTORM"
    assert info.event_codes == (("SAME", "SVR"),)
    assert info.codes == {"06109", "06009", "06003"}
    assert message.notes == ()


def test_reads_a_hurricane_update_with_its_references_and_polygons():
    # National Weather Service, 2020-08-26: 8 references, one info, polygons of 4 and 69 points.
    message = read("nws_cap12_hurricane_update_2020-08-26.xml")

    (info,) = message.infos
    assert (message.kind, len(message.references)) == ("Update", 8)
    assert [len(polygon) for polygon in info.areas[0].polygons] == [4, 69]
    assert info.codes == {"LAZ043", "22001"}
    assert message.references[0] == (
        "w-nws.webmaster@noaa.gov",
        "NWS-IDP-PROD-4410291-3675936",
        "2020-08-25T15:32:00+00:00",
    )


def test_reads_cap_1_1():
    message = read("nws_cap11_blizzard_2021-12-27.xml")

    (info,) = message.infos
    assert message.version == "1.1"
    assert info.event == "Blizzard Warning"
    assert info.codes == {"27031", "27075", "MNZ020", "MNZ021"}
    assert info.areas[0].polygons == ()
    assert message.notes == ()


def test_reads_a_cancel_that_has_neither_info_nor_area():
    message = read("cap12_cancel_2019-04-19_redacted.xml")

    assert (message.kind, message.infos, len(message.references)) == ("Cancel", (), 1)


def test_a_malformed_polygon_is_mended_where_that_is_sure_and_noted():
    message = read("nws_cap11_flood_malformed_2011-07-09.xml")

    (area,) = message.infos[0].areas
    assert [len(polygon) for polygon in area.polygons] == [9]
    assert len(set(area.polygons[0])) == 8
    assert area.codes == {"NVC013", "32013"}
    assert message.notes == ("A polygon had stray signs; it was read as 9 points.",)


@pytest.mark.parametrize(
    "polygon",
    [
        "38.4,-120 38.3,-119 x,y 38.4,-120",
        "38.4,-120 38.3,-119",
        "-120,38 -119,38 -119,39 -120,38",
        "nan,1 2,3 4,5 6,7",
        "1 2 3 4",
        "1,2,3 4,5 6,7 8,9",
        "91,0 2,3 4,5 91,0",
    ],
)
def test_a_polygon_beyond_mending_falls_back_to_codes_with_a_note(polygon):
    geocode = "<geocode><valueName>UGC</valueName><value>AZC015</value></geocode>"

    message = read_warning(made_up(f"<polygon>{polygon}</polygon>{geocode}"))

    (area,) = message.infos[0].areas
    assert area.polygons == ()
    assert area.codes == {"AZC015"}
    assert "A polygon could not be read; the area's codes stand in for it." in message.notes


def test_an_open_polygon_is_closed_with_a_note():
    message = read_warning(made_up("<polygon>0,0 0,10 10,10 10,0</polygon>"))

    assert len(message.infos[0].areas[0].polygons[0]) == 5
    assert "A polygon did not end where it began; it was closed." in message.notes


def test_blanks_round_the_commas_of_a_polygon_do_no_harm():
    message = read_warning(made_up("<polygon>0, 0 0 ,10\n10 , 10 10,0 0,0</polygon>"))

    expected = ((0.0, 0.0), (0.0, 10.0), (10.0, 10.0), (10.0, 0.0), (0.0, 0.0))
    assert message.infos[0].areas[0].polygons == (expected,)


def test_circles_are_read_in_kilometres():
    message = read_warning(made_up("<circle>32.9525,-115.5527 12.5</circle><circle>x</circle>"))

    (circle,) = message.infos[0].areas[0].circles
    assert (circle.latitude, circle.longitude, circle.radius_m) == (32.9525, -115.5527, 12500.0)
    assert "A circle could not be read; the area's codes stand in for it." in message.notes


def test_a_message_without_an_end_stands_for_a_day():
    message = read_warning(made_up())

    assert message.infos[0].expires_at - message.sent_at == timedelta(hours=24)
    assert "24 hours are assumed" in message.notes[0]


def test_the_ugc_line_stands_in_for_an_area_without_codes():
    parameter = "<parameter><valueName>UGC</valueName><value>MNZ020-021</value></parameter>"

    message = read_warning(made_up(info=parameter))

    assert message.infos[0].codes == {"MNZ020", "MNZ021"}


def test_a_reference_that_cannot_be_read_is_noted():
    message = read_warning(made_up(head="<references>a,b,soon a,b</references>"))

    assert message.references == ()
    assert sum("A reference could not be read" in note for note in message.notes) == 2


def test_times_without_an_offset_are_taken_as_utc_with_a_note():
    text = made_up().replace("10:00:00-05:00", "10:00:00")

    message = read_warning(text)

    assert message.sent_at == datetime(2026, 6, 1, 10, tzinfo=UTC)
    assert "no offset" in message.notes[0]


# The index as published: 163 entries, 99 with a polygon, counts by event.
def test_reads_an_index_of_all_warnings_of_a_country():
    found = read_warnings(INDEX)

    events = [message.infos[0].event for message in found.messages]
    polygons = [m for m in found.messages if m.infos[0].areas[0].polygons]
    assert len(found.messages) == 163
    assert found.notes == ()
    assert {(m.status, m.kind, m.version) for m in found.messages} == {("Actual", "Alert", "1.1")}
    assert len(polygons) == 99
    assert len({message.key for message in found.messages}) == 163
    assert [
        events.count(event)
        for event in ("Flood Warning", "Flood Advisory", "Flash Flood Warning", "Flash Flood Watch")
    ] == [22, 21, 13, 2]


def test_entries_of_an_index_expire_each_in_their_own_offset():
    at = datetime(2018, 8, 15, 23, tzinfo=UTC)

    messages = read_warnings(INDEX).messages

    gone = [m for m in messages if m.expires_at <= at]
    assert len(messages) - len(gone) == 152
    assert sum(m.infos[0].event == "Flood Advisory" for m in gone) == 1


def test_several_codes_in_one_value_are_taken_apart():
    last = read_warnings(INDEX).messages[-1]

    assert {"WYZ277", "WYZ278", "WYZ279", "WYZ414", "56023", "56041"} <= last.infos[0].codes


def test_an_entry_that_cannot_be_read_leaves_the_others():
    broken = INDEX.replace(b"<cap:event>High Surf Advisory</cap:event>", b"", 1)

    found = read_warnings(broken)

    assert len(found.messages) == 162
    assert found.notes == ("Entry 2 was left out: it carries no CAP elements.",)


def test_whole_messages_inside_a_feed_are_read_too():
    feed = (
        '<feed xmlns="http://www.w3.org/2005/Atom"><entry><id>x</id><content type="text/xml">'
        + made_up()
        + "</content></entry></feed>"
    )

    (message,) = read_warnings(feed).messages
    assert message.identifier == "A1"


@pytest.mark.parametrize(
    "attack",
    [
        '<!DOCTYPE a [<!ENTITY x "ha"><!ENTITY y "&x;&x;&x;&x;">]>' + "<a>&y;</a>",
        '<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/passwd">]><a>&x;</a>',
        '<!DOCTYPE a SYSTEM "http://example.org/a.dtd"><a/>',
        '<!DOCTYPE a [<!ENTITY % p SYSTEM "http://example.org/p"> %p;]><a/>',
        "<!DOCTYPE a><a/>",
    ],
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_document_types_and_entities_are_refused_by_name(attack, encoding):
    with pytest.raises(WarningFileUnsafe, match="document type or entities"):
        read_warnings(('<?xml version="1.0"?>' + attack).encode(encoding))


@pytest.mark.parametrize("levels", [31, 1000, 100_000])
def test_files_that_nest_too_deep_are_refused_by_name(levels):
    with pytest.raises(WarningFileUnsafe, match="30 deep"):
        read_warnings("<a>" * levels + "</a>" * levels)


def test_files_over_a_megabyte_are_refused_unread():
    with pytest.raises(WarningFileTooLarge, match="1,000,000"):
        read_warnings(b"<" * 1_000_001)


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"not xml",
        INDEX[:5000],
        made_up()[:-3],
        b"\xff\xfe\x00",
        b"<a>\x00</a>",
        b'<?xml version="1.0" encoding="utf-7"?><a/>',
        b'<?xml version="1.0" encoding="klingon"?><a/>',
    ],
)
def test_files_that_are_not_whole_xml_are_refused_by_name(content):
    with pytest.raises(WarningFileUnreadable, match="Fetch it again"):
        read_warnings(content)


@pytest.mark.parametrize(
    "area",
    [
        "<geocode><valueName>UGC</valueName><value>"
        + "AKZ000>999-" * 85_000
        + "</value></geocode>",
        "<polygon>" + "1,1 2,2 3, 3 " * 75_000 + "x</polygon>",
        "<polygon>" + "1 " * 490_000 + "</polygon>",
    ],
    ids=["ranges", "points", "numbers"],
)
def test_long_lists_do_not_hold_up_the_server(area):
    begun = time.perf_counter()
    read_warning(made_up(area))

    assert time.perf_counter() - begun < 5.0


@pytest.mark.parametrize(
    "content", ["<html><body/></html>", made_up().replace("cap:1.2", "cap:1.0"), "<alert/>"]
)
def test_other_xml_is_refused_by_name(content):
    with pytest.raises(NotAWarning, match="neither a CAP"):
        read_warnings(content)


def test_a_message_without_a_name_is_refused_by_name():
    with pytest.raises(WarningIncomplete, match="identifier, a sender"):
        read_warning(made_up().replace("A1", ""))


def test_an_index_is_not_one_warning():
    with pytest.raises(NotAWarning, match="163 warnings"):
        read_warning(INDEX)


def test_a_text_may_still_name_the_encoding_of_its_bytes():
    text = '<?xml version="1.0" encoding="ISO-8859-1"?>' + made_up().replace(
        "Somewhere", "Doña Ana"
    )

    assert read_warning(text).infos[0].areas[0].name == "Doña Ana"
    assert read_warning(text.encode("latin-1")).infos[0].areas[0].name == "Doña Ana"
