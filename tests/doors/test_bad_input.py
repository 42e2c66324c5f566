"""Bad input at every door: a sentence, nothing half-written, and never our own failure.

Each address that takes a form is sent what people, programs and attackers send: signs no database
keeps, endless texts, numbers that are none, ids of others, forms out of date or sent twice.
"""

import json
import re
from urllib.parse import quote, urlencode

import pytest
from django.test import Client

from drainservice.doors.door import SIZES
from tests.doors.asking import address, ask
from tests.doors.examples import BODIES, PATHS, asker_of, fill, routes
from tests.doors.forms import values_of
from tests.doors.rows import changed, rows_by_table
from tests.doors.world import OFFICE

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
POSTS = sorted(name for name, door in routes().items() if "POST" in door["methods"].split())
POSTS = [name for name in POSTS if name in PATHS]  # test_walk asks for the others' examples
OF_THE_FIRM = [name for name in POSTS if "signed" not in PATHS[name]]
OF_THE_FIRM = [name for name in OF_THE_FIRM if routes()[name]["to"] != "anyone"]
# Slowing down who posts too often is not a part of the record.
MAY_BE_WRITTEN_BY_REFUSING = {"accounts_throttle", "django_session"}
FORM_FIELD = re.compile(r"<(?:input|select|textarea|button)\b[^>]*\bname=\"([^\"]+)\"")
FORM = re.compile(r"<form\b.*?</form>", re.S)
# As octets in a form's body: what a browser, a broken program or an attacker may send.
POISONS = {
    "a NUL": b"a%00b",
    "a lone surrogate in UTF-8": b"a%ED%A0%80b",
    "octets that are no UTF-8": b"%FF%FE%80",
    "a surrogate as JSON writes it": quote(r"\ud800").encode(),
    "marks that turn the reading": quote("\u202egnp.exe").encode(),
    "controls": b"a%1B%5B31mb%07",
    "line breaks": b"a%0D%0ABcc: x@example.com",
    "as long as a form may be": b"x" * 200_000,
    "less than nothing": b"-1",
    "no number": b"NaN",
    "without end": b"inf",
    "larger than any integer": b"9" * 25,
    "digits without end": b"9" * 5000,
    "a power too far": b"1e999",
    "digits of another script": quote("१२").encode(),
    "a day no year has": b"2027-02-31",
    "a day before all years": b"0001-01-01",
    "the last day there is": b"9999-12-31",
    "a list in brackets": b"%5B%5D",
    "quotes and tags": quote("'\"><script>alert(1)</script>").encode(),
    "a template": quote("{{ 7|add:7 }}{% now %}").encode(),
    "nothing": b"",
}
TRACES = (b"Traceback", b"django", b"sqlite", b"psycopg", b"Exception", b"/drainservice/")


def fields_of(world, name):
    """The names of the form's fields, as its page shows them, and of the honest example."""
    found = list(BODIES.get(name, {}))
    if "GET" in routes()[name]["methods"].split():
        page = ask(world, asker_of(name), name, "GET", world.ours).body.decode()
        forms = [form for form in FORM.findall(page) if 'method="post"' in form]
        found += [field for form in forms for field in FORM_FIELD.findall(form)]
    return sorted(set(found) - {"csrfmiddlewaretoken"}) or ["anything"]


def send(world, name, body, **more):
    """A form's body as octets."""
    kind = "application/x-www-form-urlencoded"
    asker = asker_of(name)
    return ask(world, asker, name, "POST", world.ours, data=body, content_type=kind, **more)


def encode(values):
    """An honest body as octets."""
    return urlencode(values, doseq=True).encode()


def is_a_sentence(answer):
    """People read why, and see nothing of the inside."""
    words = re.sub(rb"<[^>]+>", b" ", answer.body)
    return len(words.split()) >= 4 and not any(trace in words for trace in TRACES)


@pytest.mark.parametrize("name", POSTS)
def test_poison_in_every_field_at_once_writes_nothing_or_all(world, name):
    fields = fields_of(world, name)
    before = rows_by_table()

    for words, poison in POISONS.items():
        share = poison[: max(200_000 // len(fields), 1)]
        body = b"&".join(quote(field).encode() + b"=" + share for field in fields)
        answer = send(world, name, body, look=rows_by_table)
        assert answer.status < 500, words
        if answer.status >= 400:
            wrote = changed(before, answer.looked) - MAY_BE_WRITTEN_BY_REFUSING
            assert wrote == set(), words
            assert is_a_sentence(answer), words


@pytest.mark.parametrize("name", POSTS)
def test_poison_in_one_field_of_an_honest_form_is_no_failure_of_ours(world, name):
    honest = fill(BODIES.get(name, {}), world.ours)
    broken, fields = [], fields_of(world, name)
    # A long form takes each poison in some of its fields, each field some of them.
    step = 1 if len(fields) < 8 else 5

    for number, field in enumerate(fields):
        rest = encode({key: value for key, value in honest.items() if key != field})
        for words, poison in list(POISONS.items())[number % step :: step]:
            answer = send(world, name, rest + b"&" + quote(field).encode() + b"=" + poison)
            if answer.status >= 500 or (answer.status >= 400 and not is_a_sentence(answer)):
                broken.append((field, words, answer.status))

    assert broken == []


@pytest.mark.parametrize("name", POSTS)
def test_a_body_larger_than_the_door_is_refused_before_it_is_read(world, name):
    body = b"x=" + b"y" * SIZES[routes()[name]["body"]]

    answer = send(world, name, body)

    assert answer.status in {413, 404}
    assert is_a_sentence(answer)


@pytest.mark.parametrize("name", POSTS)
def test_a_body_of_another_kind_is_no_failure_of_ours(world, name):
    bodies = {
        "application/json": json.dumps({"once": "\ud800", "act": ["offer"]}).encode(),
        "multipart/form-data; boundary=x": b"--x\r\nContent-Disposition: form-data; na",
        "multipart/form-data": b"no boundary at all",
        "application/x-www-form-urlencoded; charset=utf-16": b"\xff\xfea\x00",
        "text/plain": b"\x00" * 100,
    }

    for kind, body in bodies.items():
        told = ask(world, asker_of(name), name, "POST", world.ours, data=body, content_type=kind)
        assert told.status < 500, kind


def test_too_many_fields_are_refused(world):
    body = encode({f"field{n}": "x" for n in range(600)})

    assert send(world, "site-access", body).status in {400, 413}


@pytest.mark.parametrize("name", OF_THE_FIRM)
def test_a_form_of_the_firm_without_its_token_is_refused_and_writes_nothing(world, name):
    """Cross-site request forgery; a household's path is itself the authority."""
    asker = asker_of(name)
    strict = Client(enforce_csrf_checks=True)
    strict.cookies = world.clients[asker].cookies
    before = rows_by_table()

    url = address(name, world.ours, world.link_of(asker))
    answer = strict.post(url, fill(BODIES.get(name, {}), world.ours))

    assert answer.status_code == 403
    assert changed(before, rows_by_table()) == set()


# A change in one of the fields that these forms have.
NEW = {"access_note": "The right gate now.", "roof_area_m2": "900", "telephone": "555-0109"}


@pytest.mark.parametrize("name", ["site-access", "part-change", "settings"])
def test_a_form_that_was_read_before_somebody_elses_change_is_refused(world, name):
    page = world.clients[asker_of(name)].get(address(name, world.ours, "")).content.decode()
    values = values_of(page) | {key: word for key, word in NEW.items() if key in page}
    assert send(world, name, encode(values)).status == 302
    before = rows_by_table()

    answer = send(world, name, encode(values | {"version": "999"}), look=rows_by_table)

    assert answer.status in {409, 422}
    assert changed(before, answer.looked) == set()
    assert b"enter yours again" in answer.body


@pytest.mark.parametrize(
    "name", [name for name in POSTS if "once" in BODIES.get(name, {}) and name != "pump-replace"]
)
def test_a_form_sent_twice_adds_once(world, name):
    client = world.clients[asker_of(name)]
    url = address(name, world.ours, "")
    body = fill(BODIES[name], world.ours)

    first = client.post(url, body)
    between = rows_by_table()
    second = client.post(url, body)

    assert (first.status_code, second.status_code) == (302, 302)
    assert changed(between, rows_by_table()) == set()
    assert first.url  # it went through


def test_replacing_a_pump_twice_replaces_it_once(world):
    from drainservice.register.models import Pump

    client = world.clients[OFFICE]
    url = address("pump-replace", world.ours, "")
    body = fill(BODIES["pump-replace"], world.ours)

    client.post(url, body)
    between = Pump.objects.filter(system_id=world.ours.system).count()
    again = client.post(url, body)

    assert again.status_code < 500
    assert Pump.objects.filter(system_id=world.ours.system).count() == between == 2


PATH_POISONS = ["%00", "%ED%A0%80", "%FF", "..%2F..", "9" * 30, "-1", "%E2%80%AE", "x" * 3000]


@pytest.mark.parametrize("poison", PATH_POISONS)
def test_poison_in_a_path_is_not_found(world, poison):
    places = ["/systems/{}", "/visits/{}", "/pits/{}", "/photos/{}", "/in/{}", "/y/{}/", "/stop/{}",
              "/lid/{}", "/due/{}", "/rounds/{}/andrea", "/rounds/2027-05-10/{}",
              "/sites/{}", "/bring-in/{}", "/undo/{}"]  # fmt: skip

    for place in places:
        answer = world.clients[OFFICE].get(place.format(poison))
        is_read_as_any_tag = place == "/lid/{}" and answer.status_code == 200
        assert answer.status_code in {404, 405, 400} or is_read_as_any_tag, place


@pytest.mark.parametrize("poison", list(POISONS))
def test_poison_in_a_query_is_no_failure_of_ours(world, poison):
    names = ["words", "after", "from", "system", "done", "act", "say", "visit", "corrects",
             "consequence", "status", "kind", "flag", "purpose"]  # fmt: skip
    value = POISONS[poison][:3000].decode("ascii")
    query = "&".join(f"{name}={value}" for name in names)

    for name in PATHS:
        if "GET" in routes()[name]["methods"].split():
            url = address(name, world.ours, world.ours.signed).partition("?")[0]
            answer = ask(world, asker_of(name), name, "GET", world.ours, url=f"{url}?{query}")
            assert answer.status < 500, name
