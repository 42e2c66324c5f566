"""A walk to every address there is, with everyone of the cast, to our house, next door, nowhere.

The answers stand in answers/table.csv for people to read; what must hold of them whatever the
table says (what is not yours looks like what is not there) is asserted apart from it.
"""

import csv
import io
import os
from pathlib import Path

import pytest
from django.urls import reverse

from tests.doors.asking import ask
from tests.doors.examples import CODE, PATHS, SITE, has_thing, of, routes
from tests.doors.world import (
    ASKERS,
    NOBODY,
    OFFICE,
    OURS,
    OWNER,
    THEIRS,
    WITH_VISIT,
    WITHOUT_VISIT,
)

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
TABLE = Path(__file__).parent / "answers" / "table.csv"
WRITES_TABLE = "WRITE_TABLE_OF_ANSWERS"
PLACES = {"ours": "our house", "theirs": "next door", "nowhere": "nowhere"}
METHODS = ("GET", "POST")
HEADINGS = ["name", "method", "thing", *ASKERS]
# To whose house an asker has a right; nobody has one to what is nowhere.
MAY_SEE = {
    NOBODY: set(),
    OURS: {"ours"},
    THEIRS: {"theirs"},
    WITH_VISIT: {"ours"},
    WITHOUT_VISIT: set(),
    OFFICE: {"ours", "theirs"},
    OWNER: {"ours", "theirs"},
}
# The word in the path is itself the right, whoever holds it.
WORD_IS_THE_RIGHT = {"let-in", "stop"}
_walked: dict = {}


@pytest.fixture
def walked(world):
    """Every answer, asked for once: {(name, method, place): {asker: answer}}."""
    if not _walked:
        _walked.update(_walk(world))
    return _walked


def _walk(world):
    found = {}
    for name in PATHS:
        for method in METHODS:
            for place in PLACES if has_thing(name) else ("ours",):
                house = getattr(world, place)
                found[name, method, place] = {
                    asker: ask(world, asker, name, method, house) for asker in ASKERS
                }
    return found


def rows_of(walked):
    """The table as people read it: what a door does not open to at all is left out."""
    doors = routes()
    return [
        [name, method, PLACES[place] if has_thing(name) else "-"]
        + [str(answers[asker].status) for asker in ASKERS]
        for (name, method, place), answers in walked.items()
        if method in doors[name]["methods"].split()
    ]


def test_every_address_has_an_example():
    assert set(routes()) == set(PATHS)


def test_answers_as_the_table_says(walked):
    rows = rows_of(walked)
    if os.environ.get(WRITES_TABLE):
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerows([HEADINGS, *rows])
        TABLE.write_text(out.getvalue())

    with TABLE.open(newline="") as file:
        told = list(csv.reader(file))

    assert told[0] == HEADINGS
    changed = [row for row in rows if row not in told[1:]]
    gone = [row for row in told[1:] if row not in rows]
    assert (changed, gone) == ([], []), "if that is meant: python -m tests.doors.write_table"


def test_nothing_breaks_whoever_asks_for_whatever(walked):
    broken = [(at, who) for at, told in walked.items() for who in told if told[who].status >= 500]

    assert broken == []


def test_what_is_not_yours_looks_like_what_is_not_there(walked):
    """Status, body, headers, cookies, and the number of questions the database is asked."""
    tried, told_apart = 0, []
    for name, method, place in walked:
        if place != "theirs" or name in WORD_IS_THE_RIGHT:
            continue
        for asker in ASKERS:
            for foreign in {"ours", "theirs"} - MAY_SEE[asker]:
                one = walked[name, method, foreign][asker]
                none = walked[name, method, "nowhere"][asker]
                tried += 1
                if (one.seen, one.queries) != (none.seen, none.queries):
                    told_apart.append((name, method, foreign, asker, one.status, none.status))

    assert told_apart == []
    assert tried > 400


def test_each_may_see_their_own(walked):
    """So that the law above does not hold by refusing everyone everything."""
    homeowner = {"yard", "storm", "answered", "calendar", "answer", "bucket-test",
                 "bucket-tested", "household-photo"}  # fmt: skip
    technician = {"technician-round", "pit", "inspection", "inspection-done", "photo"}
    seen = {
        OURS: homeowner,
        WITH_VISIT: technician,
        OFFICE: technician | {"system", "site", "visit", "reminder", "as-mail", "as-calendar"},
    }

    refused = [
        (asker, name, walked[name, "GET", "ours"][asker].status)
        for asker, names in seen.items()
        for name in names
        if walked[name, "GET", "ours"][asker].status != 200
    ]

    assert refused == []


def test_a_stranger_sees_only_what_is_open_to_anyone(walked):
    doors = routes()
    let_through = {
        name
        for (name, _, _), answers in walked.items()
        if answers[NOBODY].status in {200, 422, 409} and doors[name]["to"] != "anyone"
    }

    assert let_through == set()


def test_the_tag_under_a_lid_tells_nobody_whether_it_is_real(walked):
    bodies = {
        (answers[NOBODY].status, answers[NOBODY].body)
        for (name, method, _), answers in walked.items()
        if name == "lid" and method == "GET"
    }

    assert len(bodies) == 1


def test_no_answer_to_a_household_sets_a_cookie(walked):
    set_one = {
        name
        for (name, _, _), answers in walked.items()
        if name in PATHS and "signed" in PATHS[name] and answers[OURS].cookies
    }

    assert set_one == set()


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "OPTIONS", "GET", "POST"])
def test_a_method_that_was_not_declared_is_refused_before_all_else(world, method):
    doors = routes()

    answers = {
        (name, asker): ask(world, asker, name, method, world.ours).status
        for name in PATHS
        for asker in (NOBODY, OURS, OFFICE)
        if method not in doors[name]["methods"].split()
    }

    assert len(answers) > 20
    assert set(answers.values()) == {405}


# The outer thing is ours, the inner one next door's; in the path or in the body.
INNER = [
    ("part-change", CODE | {"part": "pit", "pk": of("parts", "pit")}, {}, "pk"),
    ("pump-replace", CODE | {"pk": of("parts", "pump")}, {}, "pk"),
    ("thing", SITE | {"what": "person", "pk": of("person_number")}, {}, "pk"),
    ("thing", SITE | {"what": "person", "pk": of("person_number")}, {}, "pk"),
    ("part-end", SITE | {"pk": of("part")}, {}, "pk"),
    ("inspection-done", CODE | {"inspection_id": of("inspection")}, {}, "inspection_id"),
    ("advise", CODE, {"answer": "agreed", "advice": of("advice")}, "advice"),
]


@pytest.mark.parametrize(("name", "path", "body", "inner"), INNER, ids=[i[0] for i in INNER])
def test_a_thing_of_next_door_asked_for_through_ours_is_not_there(world, name, path, body, inner):
    def answer(house):
        told = {
            key: value.at(house if key == inner else world.ours) if isinstance(value, of) else value
            for key, value in (path | body).items()
        }
        url = reverse(name, kwargs={key: told[key] for key in path})
        return ask(world, OFFICE, name, "POST", house, url=url, data={k: told[k] for k in body})

    assert answer(world.theirs).status == 404
    assert answer(world.theirs).seen == answer(world.nowhere).seen
    assert answer(world.ours).status != 404


def test_a_technician_cannot_tie_a_record_to_a_visit_of_next_door(world):
    def close(house):
        body = {
            "do": "close",
            "id": "3f0c2a52-2222-4000-8000-000000000000",
            "begun_at": "2027-05-10T15:00:00+00:00",
            "visit": house.visit,
            "lid.what": "sound",
            "pump1.what": "ran",
        }
        return ask(world, WITH_VISIT, "inspection", "POST", world.ours, data=body)

    assert close(world.theirs).seen == close(world.nowhere).seen


def test_a_form_does_not_choose_from_next_door(world):
    """Somebody else's household as a choice: refused in the words for one that is nowhere."""
    body = {
        "once": "00000000000040008000000000000000",
        "name": "Ada Fenn",
        "language": "en",
        "parts": ["lives"],
        "starts_on": "2027-05-10",
    }

    def send(number):
        told = ask(
            world, OFFICE, "person-new", "POST", world.ours, data=body | {"household": number}
        )
        return told.status, told.body.replace(str(number).encode(), b"#")

    assert send(world.theirs.household.pk)[0] == 422
    assert send(world.ours.household.pk)[0] == 302
