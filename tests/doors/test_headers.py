"""What every answer carries, and which requests are turned away at the gate."""

import pytest

from drainservice.accounts import actions
from drainservice.accounts.models import Account, Change, OneTimeLink
from tests import makers

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("address", ["/sign-in", "/livez", "/nowhere", "/lid/K7Q-4MD", "/due"])
def test_every_answer_carries_the_fixed_headers(client, address):
    answer = client.get(address)

    policy = answer["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert answer["X-Frame-Options"] == "DENY"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Cross-Origin-Opener-Policy"] == "same-origin"
    assert answer["Cache-Control"] == "no-store"
    assert len(answer["X-Request-Id"]) == 16


@pytest.mark.parametrize("address", ["/y/anything", "/in/anything", "/stop/anything"])
def test_a_link_page_tells_nobody_where_it_was(client, address):
    answer = client.get(address)

    assert answer["Referrer-Policy"] == "no-referrer"
    assert answer["X-Robots-Tag"] == "noindex"


def test_a_form_sent_from_another_site_is_refused(client):
    answer = client.post("/sign-in", {"name": "dora"}, headers={"Sec-Fetch-Site": "cross-site"})

    assert answer.status_code == 403
    assert b"another site" in answer.content


def test_a_method_that_is_not_declared_is_refused(client):
    assert client.put("/sign-in").status_code == 405
    assert client.get("/sign-out").status_code == 405


def test_a_body_that_is_too_large_is_refused_in_words(client):
    answer = client.post("/sign-in", {"name": "x" * 300_000})

    assert answer.status_code == 413
    assert b"too large" in answer.content


def test_every_lid_code_shows_the_same_bytes(client, home):
    real, invented = home[3].code, "K7Q-4MD"

    answers = [client.get(f"/lid/{code}") for code in (real, invented)]

    assert answers[0].content == answers[1].content
    assert {a.status_code for a in answers} == {200}
    assert not answers[0].cookies


def test_a_page_of_the_office_sends_nobody_to_sign_in(client):
    answer = client.get("/due")

    assert answer.status_code == 302
    assert answer["Location"] == "/sign-in"


def test_a_wrong_and_an_unknown_name_get_the_same_words(client):
    makers.make_account("dora", "dispatcher", password="ponds and puddles")

    wrong = client.post("/sign-in", {"name": "dora", "password": "not this one at all"})
    unknown = client.post("/sign-in", {"name": "nora", "password": "not this one at all"})

    assert (wrong.status_code, unknown.status_code) == (403, 403)
    assert b"do not fit" in wrong.content
    assert wrong.content.count(b"do not fit") == unknown.content.count(b"do not fit")


def test_a_right_password_lets_in_and_is_kept_nowhere_readable(client):
    makers.make_account("dora", "dispatcher", password="ponds and puddles")

    answer = client.post("/sign-in", {"name": "dora", "password": "ponds and puddles"})

    assert answer.status_code == 302
    assert Account.objects.get(name="dora").password.startswith("argon2$argon2id$")
    told = str(list(Change.objects.values("after", "private")))
    assert "argon2" not in told


def test_many_tries_are_slowed_down_and_never_locked(client):
    makers.make_account("dora", "dispatcher", password="ponds and puddles")
    wrong = {"name": "dora", "password": "not this one at all"}

    statuses = [client.post("/sign-in", wrong).status_code for _ in range(6)]

    assert statuses == [403] * 5 + [429]


def test_a_one_time_link_works_once_and_only_by_the_button(client):
    account = makers.make_account("dora", "dispatcher")
    address = actions.let_in_link(account, at=makers.MONDAY)
    path = "/in/" + address.rpartition("/")[2]
    import time_machine

    with time_machine.travel(makers.later(minutes=5), tick=False):
        assert b"Come in as" in client.get(path).content
        assert OneTimeLink.objects.get().used_at is None
        assert client.post(path).status_code == 302
        assert client.post(path).status_code == 404


def test_an_old_one_time_link_is_nothing(client):
    import time_machine

    account = makers.make_account("dora", "dispatcher")
    path = "/in/" + actions.let_in_link(account, at=makers.MONDAY).rpartition("/")[2]

    with time_machine.travel(makers.later(minutes=31), tick=False):
        assert client.get(path).status_code == 404


def test_health_is_told_to_whoever_holds_its_word_and_to_nobody_else(client, settings):
    settings.HEALTH_WORD = "a word of forty signs for the watcher only"

    assert client.get("/healthz").status_code == 404
    told = client.get("/healthz", headers={"Authorization": f"Bearer {settings.HEALTH_WORD}"})
    assert "is_well" in told.json()
