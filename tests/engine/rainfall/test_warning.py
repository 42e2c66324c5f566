"""Which warnings call for action: status, kind, end, event, place."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from drainservice.engine.rainfall.warning import (
    RAIN_EVENTS,
    Judgement,
    judge_warning,
    sort_warnings,
    warning_covers,
)
from drainservice.engine.rainfall.warning_area import Cover
from drainservice.engine.rainfall.warning_reader import read_warning, read_warnings

WARNINGS = Path(__file__).parents[2] / "data" / "warnings"
NOON = datetime(2026, 6, 1, 17, tzinfo=UTC)
RUN = {"now": NOON, "events": ["Flood Warning"]}


def read(name):
    return read_warning((WARNINGS / name).read_bytes())


def made_up(
    name="A1",
    kind="Alert",
    status="Actual",
    references="",
    info="",
    sent="2026-06-01T10:00:00-05:00",
):
    """A flood warning of an invented sender, sent at 15:00 UTC, good until 21:00 UTC."""
    return read_warning(
        '<alert xmlns="urn:oasis:names:tc:emergency:cap:1.2">'
        f"<identifier>{name}</identifier><sender>rain@example.org</sender><sent>{sent}</sent>"
        f"<status>{status}</status><msgType>{kind}</msgType><scope>Public</scope>"
        f"<references>{references}</references>"
        "<info><event>Flood Warning</event><urgency>Immediate</urgency>"
        "<eventCode><valueName>SAME</valueName><value>FLW</value></eventCode>"
        f"<expires>2026-06-01T16:00:00-05:00</expires>{info}"
        "<area><areaDesc>x</areaDesc><polygon>30,-90 30,-89 31,-89 31,-90 30,-90</polygon>"
        "<geocode><valueName>SAME</valueName><value>022051</value></geocode></area></info></alert>"
    )


FIRST = "rain@example.org,A1,2026-06-01T10:00:00-05:00"


def test_an_actual_standing_listed_warning_acts():
    assert judge_warning(made_up(), **RUN) is Judgement.ACTS


@pytest.mark.parametrize("status", ["Exercise", "System", "Test", "Draft", ""])
def test_only_actual_messages_act(status):
    assert judge_warning(made_up(status=status), **RUN) is Judgement.NOT_ACTUAL


@pytest.mark.parametrize("kind", ["Ack", "Error"])
def test_acknowledgements_and_errors_do_not_act(kind):
    assert judge_warning(made_up(kind=kind), **RUN) is Judgement.NOT_A_WARNING


def test_an_expired_warning_does_not_act():
    # It expires at 16:00 -05:00 = 21:00 UTC.
    before = judge_warning(made_up(), now=NOON + timedelta(hours=3.99), events=["Flood Warning"])
    after = judge_warning(made_up(), now=NOON + timedelta(hours=4), events=["Flood Warning"])

    assert (before, after) == (Judgement.ACTS, Judgement.EXPIRED)


@pytest.mark.parametrize("listed", ["flood warning", "FLOOD  WARNING", "flw"])
def test_events_are_matched_by_name_or_code_whatever_their_capitals(listed):
    assert judge_warning(made_up(), now=NOON, events=[listed]) is Judgement.ACTS


@pytest.mark.parametrize("listed", [[], ["Flood"], ["Flash Flood Warning"], ["Flood Watch"]])
def test_an_event_the_firm_does_not_list_does_not_act(listed):
    assert judge_warning(made_up(), now=NOON, events=listed) is Judgement.NOT_LISTED


def test_a_cancel_ends_the_message_it_refers_to():
    messages = [made_up(), made_up("C1", "Cancel", references=FIRST)]

    found = sort_warnings(messages, **RUN)

    assert found.acting == ()
    assert [why for _, why in found.passed_over] == [Judgement.ENDED, Judgement.CANCELS]


def test_an_update_ends_the_old_message_and_acts_itself():
    update = made_up("U1", "Update", references=FIRST)

    found = sort_warnings([update, made_up()], **RUN)

    assert found.acting == (update,)


def test_a_reference_means_the_same_instant_in_any_offset():
    # 10:00 -05:00 is 15:00 UTC.
    cancel = made_up("C1", "Cancel", references="rain@example.org,A1,2026-06-01T15:00:00Z")

    assert sort_warnings([made_up(), cancel], **RUN).acting == ()


@pytest.mark.parametrize(
    "other",
    [
        "else@example.org,A1,2026-06-01T10:00:00-05:00",
        "rain@example.org,A2,2026-06-01T10:00:00-05:00",
        "rain@example.org,A1,2026-06-01T10:00:01-05:00",
    ],
)
def test_a_reference_to_another_message_ends_nothing(other):
    first = made_up()

    assert sort_warnings([first, made_up("C1", "Cancel", references=other)], **RUN).acting == (
        first,
    )


def test_a_cancel_in_an_exercise_ends_nothing():
    first = made_up()
    exercise = made_up("C1", "Cancel", status="Exercise", references=FIRST)

    assert sort_warnings([first, exercise], **RUN).acting == (first,)


def test_a_cancel_that_comes_before_its_message_is_remembered():
    early = sort_warnings([made_up("C1", "Cancel", references=FIRST)], **RUN)

    late = sort_warnings([made_up()], **RUN, ended=early.ended)

    assert late.acting == ()


def test_the_same_message_fetched_twice_acts_once():
    assert len(sort_warnings([made_up(), made_up()], **RUN).acting) == 1


@pytest.mark.parametrize(
    "info",
    [
        "<responseType>AllClear</responseType>",
        "<parameter><valueName>VTEC</valueName>"
        "<value>/O.CAN.KLIX.FL.W.0001.000000T0000Z-000000T0000Z/</value></parameter>",
        "<parameter><valueName>VTEC</valueName>"
        "<value>/O.EXP.KLIX.FL.W.0001.000000T0000Z-000000T0000Z/</value></parameter>",
    ],
)
def test_a_message_that_ends_a_danger_raises_nothing(info):
    assert judge_warning(made_up(info=info), **RUN) is Judgement.OVER


def test_a_message_that_ends_one_danger_and_begins_another_acts():
    vtec = "/O.CAN.KLIX.FA.A.0001.0-0/ /O.NEW.KLIX.FF.W.0002.0-0/"
    info = f"<parameter><valueName>VTEC</valueName><value>{vtec}</value></parameter>"

    assert judge_warning(made_up(info=info), **RUN) is Judgement.ACTS


def test_the_tsunami_update_ends_three_messages_and_raises_nothing():
    # West Coast and Alaska Tsunami Warning Center, 2013-01-05.
    update = read("nws_cap12_update_that_cancels_2013-01-05.xml")
    events = [*RAIN_EVENTS, "Tsunami Cancellation"]

    found = sort_warnings([update], now=update.sent_at - timedelta(minutes=1), events=events)

    assert found.acting == ()
    assert {key[1] for key in found.ended} == {f"PAAQ-{n}-mg5a94" for n in (1, 2, 3)}
    assert found.passed_over[0][1] is Judgement.OVER


def test_the_cancel_without_info_ends_its_message_or_does_nothing():
    cancel = read("cap12_cancel_2019-04-19_redacted.xml")

    found = sort_warnings([cancel], now=cancel.sent_at, events=RAIN_EVENTS)

    assert found.acting == ()
    assert [key[1] for key in found.ended] == ["AS-NV-e18921c7-1b35-4a81-9705-42d25c265ddd"]


@pytest.mark.parametrize(
    ("name", "event"),
    [
        ("nws_cap11_blizzard_2021-12-27.xml", "Blizzard Warning"),
        ("nws_cap12_hurricane_update_2020-08-26.xml", "Hurricane Warning"),
    ],
)
def test_blizzard_and_hurricane_act_only_where_the_firm_lists_them(name, event):
    message = read(name)

    assert judge_warning(message, now=message.sent_at, events=RAIN_EVENTS) is Judgement.NOT_LISTED
    assert judge_warning(message, now=message.sent_at, events=[event]) is Judgement.ACTS


def test_the_example_of_the_specification_is_long_over():
    message = read("oasis_cap12_appendix_a2.xml")

    assert judge_warning(message, now=NOON, events=["Severe Thunderstorm"]) is Judgement.EXPIRED


# Points and answers as published with the messages: inside A.2's polygon, outside it twice.
@pytest.mark.parametrize(
    ("place", "cover"),
    [
        ((38.47, -119.95), Cover.POLYGON),
        ((38.60, -119.85), Cover.NONE),
        ((38.40, -120.10), Cover.NONE),
        ((-119.95, 38.47), Cover.NONE),
    ],
)
def test_the_thunderstorm_covers_what_lies_in_its_polygon(place, cover):
    message = read("oasis_cap12_appendix_a2.xml")
    at = {"now": message.sent_at, "events": ["Severe Thunderstorm"]}

    assert warning_covers(message, *place, **at) is cover


def test_a_county_code_covers_a_site_outside_the_polygon():
    message = read("oasis_cap12_appendix_a2.xml")
    at = {"now": message.sent_at, "events": ["Severe Thunderstorm"]}

    assert warning_covers(message, 38.60, -119.85, ["006003"], **at) is Cover.CODE
    assert warning_covers(message, 38.60, -119.85, ["006001"], **at) is Cover.NONE


@pytest.mark.parametrize(
    ("place", "cover"),
    [
        ((30.21, -92.37), Cover.POLYGON),
        ((29.95, -92.13), Cover.NONE),
        ((30.45, -91.15), Cover.NONE),
    ],
)
def test_the_hurricane_covers_what_lies_in_its_second_polygon(place, cover):
    message = read("nws_cap12_hurricane_update_2020-08-26.xml")
    at = {"now": message.sent_at, "events": ["Hurricane Warning"]}

    assert warning_covers(message, *place, **at) is cover


def test_in_the_index_a_place_is_found_by_its_pair_in_the_right_order():
    messages = read_warnings((WARNINGS / "nws_atom_index_2018-08-15.xml").read_bytes()).messages
    at = {"now": datetime(2018, 8, 15, 23, tzinfo=UTC), "events": ["Flash Flood Warning"]}

    def covering(latitude, longitude, codes=()):
        return [
            m
            for m in messages
            if warning_covers(m, latitude, longitude, codes, **at).value != "none"
        ]

    (flood,) = covering(35.733, -114.147)
    assert flood.infos[0].expires_at == datetime(2018, 8, 16, 1, 45, tzinfo=UTC)
    assert {"AZC015", "04015"} <= flood.infos[0].codes
    assert flood not in covering(36.733, -114.147)
    assert covering(-114.147, 35.733) == []
    assert flood in covering(36.733, -114.147, ["AZC015"])


def test_the_malformed_flood_still_covers_its_county_and_its_polygon():
    message = read("nws_cap11_flood_malformed_2011-07-09.xml")
    at = {"now": message.sent_at, "events": RAIN_EVENTS}

    assert judge_warning(message, **at) is Judgement.ACTS
    assert warning_covers(message, 40.97, -117.73, **at) is Cover.POLYGON
    assert warning_covers(message, 41.5, -118.0, ["NVC013"], **at) is Cover.CODE
    assert warning_covers(message, 41.5, -118.0, **at) is Cover.NONE
