"""What the letters say: plain, short, complete, and the same as text and as HTML."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime, time
from html.parser import HTMLParser

import pytest
from django.utils import translation

from drainservice.accounts import queries as accounts
from drainservice.register import actions as register
from drainservice.reminders import queries
from drainservice.reminders.mail import letter_for, phrases
from drainservice.reminders.mail.message import write_html, write_text
from drainservice.reminders.models import Reminder, Use
from drainservice.reminders.queries.standing import told
from drainservice.visits import actions as visits
from drainservice.visits.models import Visit
from tests import makers
from tests.reminders.reading import grade_of, syllables_of

pytestmark = pytest.mark.django_db
ABOUT_A_VISIT = [
    Use.OFFER,
    Use.AGREED,
    Use.MOVED,
    Use.CALLED_OFF,
    Use.ANSWER_WANTED,
    Use.GET_READY,
    Use.SETTING_OUT,
    Use.NOT_REACHED,
]
ASKING = [Use.OFFER, Use.MOVED, Use.ANSWER_WANTED, Use.GET_READY]


@pytest.fixture
def letters(play):
    """Each letter about a visit that moved once; made from the rows as the queue would."""
    play.agreed()
    play.move()
    play.visit.refresh_from_db()
    row = play.message(Use.MOVED)

    def write(use):
        one = Reminder.objects.select_related(
            "job", "person", "channel", "visit__site", "visit__technician__person"
        ).get(pk=row.pk)
        one.use = use
        return letter_for(told(one, accounts.the_firm(), at=play.now), at=play.now)

    return write


def sentences(letter) -> str:
    """What is prose in it: no addresses, days and names."""
    return "\n".join(
        [letter.opening, *letter.before_facts, letter.ask, *letter.steps, *letter.closing[:-2]]
    )


@pytest.mark.parametrize(
    ("word", "count"),
    # Counted by hand, by ear.
    [("drain", 1), ("yard", 1), ("visit", 2), ("please", 1), ("again", 2), ("moved", 1)],
)
def test_counts_syllables(word, count):
    assert syllables_of(word) == count


def test_the_counter_tells_hard_from_easy():
    hard = "Subsequent communications necessitate administrative acknowledgement by recipients."

    assert grade_of("We come on Tuesday. Keep the dog in.") < 3
    assert grade_of(hard) > 15


@pytest.mark.parametrize("use", ABOUT_A_VISIT)
def test_is_read_with_ease_in_the_sixth_grade(use, letters):
    assert grade_of(sentences(letters(use))) <= 6


@pytest.mark.parametrize("use", ABOUT_A_VISIT)
def test_subject_says_what_it_is_about(use, letters):
    subject = letters(use).subject

    begins = "Cancelled: your drain" if use == Use.CALLED_OFF else "Your drain: "
    assert subject.startswith(begins)
    assert len(subject) <= 60
    if use != Use.NOT_REACHED:
        assert "Thu 27 May, 1 to 3 pm" in subject


class Texts(HTMLParser):
    """The words of a page, without its head."""

    def __init__(self):
        super().__init__()
        self.words, self.is_head = [], False

    def handle_starttag(self, tag, attrs):
        self.is_head = tag in {"head", "style", "title"} or (self.is_head and tag == "meta")

    def handle_endtag(self, tag):
        if tag == "head":
            self.is_head = False

    def handle_data(self, data):
        if not self.is_head and data.strip():
            self.words.append(data.strip())


@pytest.mark.parametrize("use", ABOUT_A_VISIT)
def test_text_and_html_say_the_same(use, letters):
    letter = letters(use)

    text, html = write_text(letter), write_html(letter)

    reader = Texts()
    reader.feed(html)
    for said in (letter.greeting, letter.opening, *letter.before_facts, *letter.steps):
        assert said in text
        assert said in reader.words
    for label, value in letter.facts:
        assert f"{label}: {value}" in text
        assert value in reader.words
    for button in letter.buttons:
        assert f"{button.words}:\n{button.url}" in text


@pytest.mark.parametrize("use", ABOUT_A_VISIT)
def test_html_is_small_and_needs_nothing_from_elsewhere(use, letters):
    html = write_html(letters(use))

    assert len(html.encode()) < 20_000
    assert "prefers-color-scheme: dark" in html
    assert '<html lang="en"' in html
    assert not re.search(r"<(img|script|link|iframe|form|input|button)\b", html)


@pytest.mark.parametrize("use", ASKING)
def test_three_answers_stand_each_in_its_own_paragraph(use, letters):
    letter = letters(use)

    html = write_html(letter)

    looks = [(button.words, button.look) for button in letter.buttons]
    assert looks == [
        ("Yes, come", "filled"),
        ("Another day", "outlined"),
        ("Not this year", "plain"),
    ]
    paragraphs = re.findall(r"<p[^>]*><a [^>]*>([^<]*)</a></p>", html)
    assert paragraphs[:4] == [
        "Yes, come",
        "Another day",
        "Not this year",
        "This is not my house",
    ]


def test_a_moved_visit_says_the_old_time_and_the_new(letters):
    text = write_text(letters(Use.MOVED))

    assert "The visit has a new time: Thursday 27 May 2027, 1 to 3 pm." in text
    assert "It was: Tuesday 25 May 2027, 8 to 10 am." in text
    assert "(PDT)" in text


def test_a_visit_that_somebody_else_makes_keeps_its_time_and_says_so(letters):
    # As after a repair: the household was promised a technician, and another comes.
    row = Reminder.objects.filter(use=Use.MOVED).get()
    Visit.objects.filter(pk=row.visit_id).update(
        was_moved=False, moved_from_day=None, moved_from_window=""
    )

    text = write_text(letters(Use.MOVED))

    assert "Somebody else comes: Anton, on Thursday 27 May 2027, 1 to 3 pm." in text
    assert "The time stays as it was." in text
    assert "new time" not in text


def test_what_is_typed_by_people_stays_words_in_html(letters):
    letter = replace(letters(Use.OFFER), facts=(("What for", "<b>look</b> & mend"),))

    assert "&lt;b&gt;look&lt;/b&gt; &amp; mend" in write_html(letter)
    assert "<b>look</b> & mend" in write_text(letter)


@pytest.mark.parametrize(
    ("from_", "to", "said"),
    [
        (time(8), time(10), "8 to 10 am"),
        (time(8, 30), time(10), "8:30 to 10 am"),
        (time(11), time(13), "11 am to 1 pm"),
        (time(12), time(14), "12 to 2 pm"),
    ],
)
def test_says_a_window_as_people_say_it(from_, to, said):
    assert phrases.window(from_, to) == said


def test_days_are_in_the_language_of_the_household():
    day = date(2027, 5, 25)

    with translation.override("es"):
        in_spanish = phrases.long_day(day)

    assert phrases.long_day(day) == "Tuesday 25 May 2027"
    assert in_spanish == "martes 25 de mayo de 2027"


def test_a_person_of_no_household_gets_no_broken_links(play):
    caretaker = makers.make_person("Kim Caretaker", mail="kim@example.com")
    register.give_part(
        caretaker, play.site, asker=play.asker, part="access", starts_on=date(2020, 1, 1)
    )

    play.offer()

    (row,) = [row for row in play.messages(use=Use.OFFER) if row.person == caretaker]
    text = queries.preview_of(row).text
    assert "Ring us: 555-0100." in text
    assert "/y/" not in text
    assert "Yes, come" not in text


def test_setting_out_says_about_when(play):
    play.agreed()
    play.now = datetime(2027, 5, 25, 15, 35, tzinfo=UTC)
    visits.set_out(play.visit, asker=play.asker)
    play.run()

    text = queries.preview_of(play.message(Use.SETTING_OUT)).text
    # 15:35 UTC is 8:35 in Los Angeles in May.
    assert "We have set out. We are at your gate at about 8:35 am." in text
