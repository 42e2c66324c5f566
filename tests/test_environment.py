"""What makes an environment fit, where the server writes, which Python may run it."""

import ast
import os
import sys
from pathlib import Path

import pytest

from drainservice import environment, places


@pytest.fixture
def lock(tmp_path):
    path = tmp_path / "lock.txt"
    path.write_text("tinypart==1.0\n")
    return path


def test_stamp_changes_with_the_list(lock):
    before = environment.stamp_of(lock)
    lock.write_text("tinypart==2.0\n")

    assert environment.stamp_of(lock) != before


def test_stamp_changes_with_the_interpreter(lock, monkeypatch):
    before = environment.stamp_of(lock)
    monkeypatch.setattr(sys, "_base_executable", "/elsewhere/python3", raising=False)

    assert environment.stamp_of(lock) != before


def test_missing_list_is_told_in_words(tmp_path):
    with pytest.raises(environment.CannotPrepare, match="Get the whole project again"):
        environment.stamp_of(tmp_path / "lock.txt")


def test_unfinished_environment_has_no_stamp(tmp_path):
    (tmp_path / environment.MARK).touch()

    assert environment.read_stamp(tmp_path) == ""


def test_folder_that_takes_no_file_is_not_writable(tmp_path):
    # The kernel's own folder takes no file from anybody, root included.
    assert places.is_writable(tmp_path / "new")
    assert not places.is_writable(Path("/proc/self"))


def test_server_writes_beside_the_checkout(tmp_path, monkeypatch):
    monkeypatch.delenv("DRAIN_VAR")
    places.choose_var(tmp_path)

    assert os.environ["DRAIN_VAR"] == str(tmp_path / "var")


def test_server_of_a_read_only_checkout_writes_among_the_persons_data(tmp_path, monkeypatch):
    monkeypatch.delenv("DRAIN_VAR")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    places.choose_var(Path("/proc/self"))

    assert Path(os.environ["DRAIN_VAR"]).is_relative_to(tmp_path / "drainservice")


def test_folder_named_for_the_data_that_cannot_be_written_is_told_in_words(monkeypatch):
    monkeypatch.setenv("DRAIN_VAR", "/proc/self/var")

    with pytest.raises(places.NowhereToWrite, match="Set DRAIN_VAR to a folder"):
        places.choose_var(Path("/proc/self"))


@pytest.mark.parametrize(
    "name", ["manage.py", "drainservice/environment.py", "drainservice/places.py"]
)
def test_file_an_older_python_meets_first_can_be_read_by_it(root, name):
    ast.parse((root / name).read_text(), feature_version=(3, 8))


def test_older_python_is_told_which_one_to_use(root, monkeypatch):
    main = {"__name__": "manage", "__file__": str(root / "manage.py")}
    exec(compile((root / "manage.py").read_text(), "manage.py", "exec"), main)
    monkeypatch.setattr(sys, "version_info", (3, 10, 13, "final", 0))

    with pytest.raises(SystemExit, match=r"needs Python 3\.11 or newer, and this is Python 3\.10"):
        main["main"]()
