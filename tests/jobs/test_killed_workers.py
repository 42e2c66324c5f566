"""A worker is killed for real at every point; the mail server's own log is the judge.

Over SMTP a copy cannot be excluded where the link dies between the final dot and our record of
the reply (RFC 1047). So: nothing is ever lost, and a copy comes only from there, one a kill.
"""

from collections import Counter

import pytest

from tests.jobs.station import HOUSEHOLDS

pytestmark = pytest.mark.django_db
# A lease is 120 s long; a row it held can be taken after it, and once more after that.
PAST_THE_LEASE_S = 130
KILLED = -9
COPIES = {
    "after_take": 0,
    "in_render": 0,
    "after_start": 0,
    "before_dot": 0,
    "after_dot": 1,
    "before_settle": 1,
    "after_settle": 0,
    "in_fact": 0,
    "after_fact": 0,
}


def copies_of(taken) -> Counter:
    return Counter(mail["message_id"] for mail in taken)


def recover(station, name) -> None:
    for turn in range(4):
        assert station.run(name, ahead_s=PAST_THE_LEASE_S * (turn + 1)) == [0]


@pytest.mark.parametrize("point", COPIES)
def test_a_kill_loses_nothing_and_copies_no_more_than_promised(point, station, mail_server):
    # After 3 passes: facts and messages before it are through, those after it are not. A batch
    # is taken once for the facts and once for the messages.
    passes = 1 if point == "after_take" else 3
    name = station.fresh()

    assert station.run(name, fault=f"{point}:{passes}") == [KILLED]
    recover(station, name)

    wanted = {row["reminder__message_id"] for row in station.rows(name) if row["is_message"]}
    copies = copies_of(mail_server.taken())
    offers = {m: n for m, n in copies.items() if m in wanted}
    assert len(offers) == HOUSEHOLDS
    assert sum(copies.values()) - HOUSEHOLDS <= COPIES[point]


@pytest.mark.parametrize("point", ["after_dot", "before_settle"])
def test_a_kill_after_the_dot_does_make_a_copy_with_the_same_octets(point, station, mail_server):
    """So that the promise of one copy is no empty one, and the copy can be known for one."""
    name = station.fresh()

    station.run(name, fault=f"{point}:3")
    recover(station, name)

    taken = mail_server.taken()
    twice = [m for m, n in copies_of(taken).items() if n == 2]
    assert len(twice) == 1
    assert len({mail["octets"] for mail in taken if mail["message_id"] == twice[0]}) == 1


def test_all_kills_in_a_row_lose_nothing(station, mail_server):
    name = station.fresh()

    killed = 0
    for turn, point in enumerate(COPIES):
        ended = station.run(name, ahead_s=PAST_THE_LEASE_S * turn, fault=point)
        killed += ended == [KILLED]
    for turn in range(len(COPIES), len(COPIES) + 6):
        assert station.run(name, ahead_s=PAST_THE_LEASE_S * turn) == [0]

    copies = copies_of(mail_server.taken())
    assert killed >= 7
    assert len(copies) == HOUSEHOLDS
    # One kill after the dot and one before the settling: at most a copy each.
    assert sum(copies.values()) <= HOUSEHOLDS + 2


def test_every_row_is_in_one_state_after_a_kill(station, mail_server):
    """Conservation: what was planned is what was sent, refused, overtaken or still waits."""
    name = station.fresh()
    station.run(name, fault="after_dot:2")

    before = station.rows(name)
    recover(station, name)
    after = station.rows(name)

    assert Counter(row["key"] for row in before) == Counter(row["key"] for row in after)
    offers = [row for row in after if row["is_message"] and ":offer:" in row["key"]]
    assert [row["state"] for row in offers] == ["sent"] * HOUSEHOLDS
    facts = [row for row in after if row["kind"] == "visit.offered"]
    assert [row["state"] for row in facts] == ["done"] * HOUSEHOLDS


def test_four_workers_at_once_send_each_message_once(station, mail_server):
    name = station.fresh()

    assert station.run(name, workers=4) == [0, 0, 0, 0]
    assert station.run(name) == [0]

    assert sorted(copies_of(mail_server.taken()).values()) == [1] * HOUSEHOLDS


def kill_in_the_same_fact(station, name, **how) -> Counter:
    """Five kills in the oldest fact, then time enough for all; answers the states of the facts."""
    kills = [
        station.run(name, ahead_s=PAST_THE_LEASE_S * turn, fault="in_fact", **how)
        for turn in range(5)
    ]
    ends = [station.run(name, ahead_s=PAST_THE_LEASE_S * turn, **how) for turn in range(5, 8)]
    assert kills == [[KILLED]] * 5
    assert ends == [[0]] * 3
    return Counter(r["state"] for r in station.rows(name) if r["kind"] == "visit.offered")


def test_a_fact_that_kills_its_worker_ends_stuck_and_the_others_are_done(station, mail_server):
    states = kill_in_the_same_fact(station, station.fresh())

    assert states == {"stuck": 1, "done": HOUSEHOLDS - 1}
    assert len(mail_server.taken()) == HOUSEHOLDS - 1


def test_a_message_that_kills_its_worker_while_written_is_given_up(station, mail_server):
    name = station.fresh()

    for turn in range(5):
        ahead_s = PAST_THE_LEASE_S * turn
        assert station.run(name, ahead_s=ahead_s, fault="in_render") == [KILLED]
    for turn in range(5, 8):
        assert station.run(name, ahead_s=PAST_THE_LEASE_S * turn) == [0]

    offers = [r for r in station.rows(name) if r["is_message"] and ":offer:" in r["key"]]
    assert Counter(r["state"] for r in offers) == {"refused": 1, "sent": HOUSEHOLDS - 1}
    assert len(mail_server.taken()) == HOUSEHOLDS - 1


# The judge is judged: with the design broken on purpose, the same questions get other answers.


def test_the_log_shows_copies_where_rows_are_read_but_not_claimed(station, mail_server):
    name = station.fresh()
    station.run(name, ahead_s=0, only_facts=True)

    station.run(name, workers=4, broken="reads_without_claiming")

    assert max(copies_of(mail_server.taken()).values()) > 1


def test_a_deadly_fact_is_never_given_up_where_starts_are_not_counted(station, mail_server):
    states = kill_in_the_same_fact(station, station.fresh(), broken="forgets_starts")

    assert states["stuck"] == 0


def test_mail_is_lost_where_a_row_counts_as_sent_before_it_is(station, mail_server):
    name = station.fresh()

    assert station.run(name, fault="before_dot:3", broken="settles_first") == [KILLED]
    recover(station, name)

    assert len(copies_of(mail_server.taken())) < HOUSEHOLDS
