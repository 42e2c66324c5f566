"""The whole message, judged by readers that did not write it."""

import re
from datetime import UTC, date, datetime
from email import message_from_bytes
from email.policy import default

import pytest
from django.conf import settings

from drainservice.accounts import history
from drainservice.engine.invitations.validate import validate_itip
from drainservice.register import actions as register
from drainservice.reminders import queries
from drainservice.reminders.models import Reminder, Use
from tests import makers
from tests.engine.invitations.judges import (
    read_with_ical_js,
    read_with_libical,
    read_with_vobject,
)

pytestmark = pytest.mark.django_db


def read(reminder):
    return message_from_bytes(bytes(reminder.octets), policy=default)


def parts(message) -> list[tuple]:
    return [
        (part.get_content_type(), part.get_content_disposition(), part["Content-Transfer-Encoding"])
        for part in message.walk()
    ]


def calendar_of(reminder) -> bytes:
    (part,) = [p for p in read(reminder).walk() if p.get_content_type() == "text/calendar"]
    return part.get_payload(decode=True)


@pytest.fixture
def life(play):
    """Offered, agreed, moved, called off: the four messages of one visit."""
    play.agreed()
    play.later(minutes=1)
    play.move()
    play.later(minutes=1)
    play.call_off()
    return [play.message(use) for use in (Use.OFFER, Use.AGREED, Use.MOVED, Use.CALLED_OFF)]


def test_an_offer_is_text_and_html_without_a_calendar(life):
    assert parts(read(life[0])) == [
        ("multipart/alternative", None, None),
        ("text/plain", None, "base64"),
        ("text/html", None, "base64"),
    ]


@pytest.mark.parametrize("number", [1, 2, 3])
def test_an_invitation_has_the_calendar_as_alternative_and_as_file(life, number):
    """RFC 6047, 2.4 and 2.5; the shape by the iMIP practice of CalConnect."""
    message = read(life[number])

    assert parts(message) == [
        ("multipart/mixed", None, None),
        ("multipart/alternative", None, None),
        ("text/plain", None, "base64"),
        ("text/html", None, "base64"),
        ("text/calendar", None, "base64"),
        ("application/ics", "attachment", "base64"),
    ]
    calendar, file = list(message.walk())[-2:]
    assert calendar.get_payload(decode=True) == file.get_payload(decode=True)
    assert calendar.get_param("charset").upper() == "UTF-8"
    assert file.get_param("method") is None


def test_method_stands_in_the_head_as_in_the_calendar(life):
    methods = []
    for reminder in life[1:]:
        (part,) = [p for p in read(reminder).walk() if p.get_content_type() == "text/calendar"]
        (inside,) = re.findall(rb"^METHOD:(\w+)\r$", part.get_payload(decode=True), re.M)
        methods.append((part.get_param("method"), inside.decode()))

    assert methods == [("REQUEST", "REQUEST"), ("REQUEST", "REQUEST"), ("CANCEL", "CANCEL")]


def test_the_calendar_keeps_one_uid_organizer_and_attendee_and_counts_up(life):
    """RFC 5546, 2.1.4 and 3.2: the same entry, its SEQUENCE rising with each change."""
    seen = [read_with_vobject(calendar_of(reminder)) for reminder in life[1:]]

    assert len({one["uid"] for one in seen}) == 1
    assert [one["sequence"] for one in seen] == [0, 1, 2]
    for reminder in life[1:]:
        text = calendar_of(reminder).replace(b"\r\n ", b"").decode()
        (organizer,) = re.findall(r"^ORGANIZER.*mailto:(.*)\r$", text, re.M)
        (attendee,) = re.findall(r"^ATTENDEE.*mailto:(.*)\r$", text, re.M)
        message = read(reminder)
        assert organizer == message["From"].addresses[0].addr_spec
        assert attendee == message["To"].addresses[0].addr_spec == "juno@example.com"
        assert validate_itip(calendar_of(reminder)) == ()


def test_foreign_readers_see_the_window_that_was_promised(life):
    """8:00 and 13:00 in Los Angeles in May are 15:00 and 20:00 UTC."""
    octets = [calendar_of(reminder) for reminder in life[1:]]
    starts = [datetime(2027, 5, day, hour, tzinfo=UTC) for day, hour in [(25, 15), (27, 20)]]
    wanted = [starts[0], starts[1], starts[1]]

    assert [read_with_vobject(one)["start"] for one in octets] == wanted
    assert [one["start"] for one in read_with_ical_js(octets)] == wanted
    assert [read_with_libical(one)["start"] for one in octets] == wanted


def test_head_says_who_and_that_a_machine_wrote_it(life):
    heads = [read(reminder) for reminder in life]

    for head, reminder in zip(heads, life, strict=True):
        assert head["From"].addresses[0].display_name == "Fernhill Drains"
        assert head["From"].addresses[0].username.startswith("visits+")
        assert head["From"].addresses[0].domain == settings.MAIL_DOMAIN
        assert [a.addr_spec for a in head["To"].addresses] == ["juno@example.com"]
        assert head["Message-ID"] == reminder.message_id
        assert head["Auto-Submitted"] == "auto-generated"
        assert head["Date"].datetime == reminder.made_at
    assert len({head["From"] for head in heads}) == 1


def test_later_messages_refer_to_the_earlier_ones(life):
    ids = [reminder.message_id for reminder in life]

    assert [(read(one)["References"] or "").split() for one in life] == [
        [],
        ids[:1],
        ids[:2],
        ids[:3],
    ]


def test_only_reminders_may_be_stopped_by_a_button_of_the_mail_program(life):
    """RFC 8058: both lines, or none. Notices of change have none."""
    stops = [read(reminder)["List-Unsubscribe-Post"] for reminder in life]

    assert stops == ["List-Unsubscribe=One-Click", None, None, None]
    assert re.fullmatch(r"<http\S+/stop/\d+-[a-z2-7]{26}>", read(life[0])["List-Unsubscribe"])
    assert all(read(one)["List-Unsubscribe"] is None for one in life[1:])


def test_lines_are_ended_and_short_enough_for_every_server(life):
    """RFC 5322, 2.1.1 and 2.3: CRLF alone, 998 octets a line; 7 bits throughout."""
    for reminder in life:
        octets = bytes(reminder.octets)
        assert octets.isascii()
        assert not re.search(rb"(?<!\r)\n|\r(?!\n)", octets)
        assert max(map(len, octets.split(b"\r\n"))) <= 998


def test_names_that_try_to_break_the_head_do_not(play):
    history.keep(play.person, asker=play.asker, name='Jüno "The" <x@y.example>, Greenlaw 🏠')

    play.agreed()

    message = read(play.message(Use.AGREED))
    assert [a.addr_spec for a in message["To"].addresses] == ["juno@example.com"]
    assert message["To"].addresses[0].display_name == 'Jüno "The" <x@y.example>, Greenlaw 🏠'
    assert validate_itip(calendar_of(play.message(Use.AGREED))) == ()


def test_nothing_secret_and_nobody_else_stands_in_any_message(play):
    """Codes, access notes, the other person of the house, notes on the visit: nowhere."""
    other = makers.make_person("Robin Otherwise", mail="robin@example.com")
    makers.make_household(other, name="Otherwise")
    register.give_part(other, play.site, asker=play.asker, part="lives", starts_on=date(2020, 1, 1))
    history.keep(
        play.site, asker=play.asker, access_note="key under the third pot", dog_note="Rex bites"
    )
    history.keep(play.visit, asker=play.asker, note="owes us 240 dollars")
    play.agreed()
    play.move()
    play.call_off()

    hers = Reminder.objects.filter(person=play.person, octets__isnull=False)
    assert hers.count() == 4
    for reminder in hers:
        seen = queries.preview_of(reminder)
        all_of_it = f"{seen.headers}{seen.text}{seen.html}{seen.calendar}"
        for secret in ("third pot", "Rex", "240 dollars", "Otherwise", "robin@", "$"):
            assert secret not in all_of_it
    # One organizer a person: nobody can answer for the other.
    assert len({read(row)["From"] for row in Reminder.objects.all() if row.octets}) == 2


def test_spanish_household_gets_spanish_mail(play):
    history.keep(play.household, asker=play.asker, language="es")

    play.agreed()

    seen = queries.preview_of(play.message(Use.AGREED))
    assert "martes 25 de mayo de 2027" in seen.text
    assert '<html lang="es"' in seen.html
    assert dict(seen.headers)["Content-Language"] == "es"


def test_a_second_rendering_does_not_happen(play):
    """What was made first is what goes out, whatever changes meanwhile: a copy is a copy."""
    from drainservice.reminders.actions import Mail

    play.offer()
    offer = play.message(Use.OFFER)
    before = bytes(offer.octets)
    history.keep(play.person, asker=play.asker, name="Renamed Person")

    ready = Mail().prepare(offer.job_id, at=play.now)

    assert ready.octets == before
