"""The parts a start is made of: lock, socket, address, style sheets."""

import os
import socket
from pathlib import Path

import pytest

from drainservice.broker import LONGEST_BYTES, socket_path
from drainservice.web.supervisor import address, broker, lock, static_files


def test_second_server_of_a_folder_is_told_where_the_first_one_serves(tmp_path):
    path = tmp_path / "start.lock"
    with lock.only_server(path) as held:
        lock.write(held, "http://127.0.0.1:8765")
        with (
            pytest.raises(
                lock.AlreadyRunning, match=r"already runs .* at http://127\.0\.0\.1:8765"
            ),
            lock.only_server(path),
        ):
            pass


def test_lock_left_by_a_killed_server_still_tells_of_it(tmp_path):
    path = tmp_path / "start.lock"
    path.write_text("123 http://127.0.0.1:8765\n")
    with lock.only_server(path) as held:
        left = held.read()

    assert left.startswith("123 ")
    assert path.read_text() == ""


def test_socket_lies_among_the_servers_files(tmp_path):
    assert socket_path(Path("/srv/yard [ü] drains/var")) == Path(
        "/srv/yard [ü] drains/var/broker.sock"
    )


@pytest.mark.parametrize("var", ["/srv/" + "d" * 100, "/srv/100%/var", "/srv/" + "ü" * 50])
def test_socket_of_a_folder_too_deep_gets_a_short_place_of_its_own(var):
    path = socket_path(Path(var))

    assert path == socket_path(Path(var))
    assert len(os.fsencode(path)) <= LONGEST_BYTES
    assert path.parent.name.startswith(f"drain-{os.getuid()}-")


def test_folder_open_to_others_takes_no_socket(tmp_path):
    folder = tmp_path / "open"
    folder.mkdir()
    folder.chmod(0o777)

    with pytest.raises(broker.NoBroker, match="chmod 700"):
        broker.clear_way(folder / "broker.sock")


def test_link_in_place_of_the_folder_takes_no_socket(tmp_path):
    (tmp_path / "link").symlink_to(tmp_path)

    with pytest.raises(broker.NoBroker):
        broker.clear_way(tmp_path / "link" / "broker.sock")


def test_socket_of_a_killed_broker_is_cleared_away(tmp_path):
    path = tmp_path / "broker.sock"
    with socket.socket(socket.AF_UNIX) as line:
        line.bind(str(path))
    broker.clear_way(path)

    assert not path.exists()


def test_embedded_broker_answers(broker_url):
    assert broker.answers(Path(broker_url.partition("://")[2]))


def test_nobody_answers_on_a_missing_socket(tmp_path):
    with pytest.raises(broker.NoBroker, match="did not answer"):
        broker.wait_for_pong(tmp_path / "broker.sock", within_s=0.1)


def test_machine_without_any_broker_is_told_what_to_install(monkeypatch):
    monkeypatch.setattr(broker, "find_spec", lambda _: None)
    monkeypatch.setenv("PATH", "/nowhere")

    with pytest.raises(broker.NoBroker, match="Install valkey-server"):
        broker.find_program()


def test_taken_port_is_left_to_its_owner():
    with socket.socket() as line:
        line.bind(("127.0.0.1", 0))
        line.listen()
        taken = line.getsockname()[1]

        assert not address.is_free("127.0.0.1", taken)
        assert address.next_free("127.0.0.1", taken) > taken


@pytest.mark.parametrize("words", ["8765", "127.0.0.1:", "127.0.0.1:0", "127.0.0.1:99999", "a:b"])
def test_listening_nowhere_is_told_in_words(words):
    with pytest.raises(address.NoAddress, match=r"write one like 127\.0\.0\.1:8765"):
        address.split(words)


def test_address_is_split_where_the_port_begins():
    assert address.split("127.0.0.1:8765") == ("127.0.0.1", 8765)
    assert address.split("[::1]:80") == ("::1", 80)


def test_address_of_another_machine_is_told_in_words():
    # 192.0.2.0/24 is nobody's (RFC 5737).
    with pytest.raises(address.NoAddress, match="no address of this machine"):
        address.is_free("192.0.2.1", 8765)


@pytest.mark.parametrize(
    ("host", "answer"), [("127.0.0.1", True), ("::1", True), ("0.0.0.0", False), ("::", False)]
)
def test_only_loopback_counts_as_this_machine_alone(host, answer):
    assert address.is_loopback(host) is answer


def test_style_sheets_are_collected_when_they_changed_and_only_then(tmp_path, settings):
    settings.STATIC_ROOT = tmp_path / "static"
    source = tmp_path / "source"
    source.mkdir()
    (source / "a.css").write_text("p { color: #17232b }")
    settings.STATICFILES_DIRS = [source]
    first = static_files.collect_if_changed(tmp_path / "static")
    second = static_files.collect_if_changed(tmp_path / "static")
    (source / "a.css").write_text("p { color: #8a2f17 }")
    third = static_files.collect_if_changed(tmp_path / "static")

    assert [first, second, third] == [True, False, True]
    assert len(list((tmp_path / "static").glob("a.*.css"))) == 2
