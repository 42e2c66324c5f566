"""Secrets in files of their own: made once, read by their owner alone, never overwritten."""

import stat
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest

from drainservice import keyring


def test_secrets_are_made_on_first_use_and_read_by_their_owner_alone(tmp_path):
    first = keyring.read_secrets(tmp_path), keyring.read_keys(tmp_path)

    assert (keyring.read_secrets(tmp_path), keyring.read_keys(tmp_path)) == first
    for name in ("secret", "keys"):
        assert stat.S_IMODE((tmp_path / name).stat().st_mode) == 0o600
    assert sorted(file.name for file in tmp_path.iterdir()) == ["keys", "secret"]


def test_starts_at_the_same_moment_agree_on_one_secret(tmp_path):
    program = (
        "import sys; from pathlib import Path; from drainservice import keyring;"
        "var = Path(sys.argv[1]); print(keyring.read_secrets(var), keyring.read_keys(var))"
    )

    def start(_):
        done = subprocess.run(
            [sys.executable, "-c", program, tmp_path], capture_output=True, text=True, check=True
        )
        return done.stdout

    with ThreadPoolExecutor(6) as many:
        told = set(many.map(start, range(6)))

    assert len(told) == 1


def test_a_second_maker_takes_what_the_first_made(tmp_path):
    keyring._make(tmp_path / "secret", "a" * 64)

    keyring._make(tmp_path / "secret", "b" * 64)

    assert (tmp_path / "secret").read_text() == "a" * 64


def test_a_file_that_others_may_read_is_refused(tmp_path):
    keyring.read_secrets(tmp_path)
    (tmp_path / "secret").chmod(0o640)

    with pytest.raises(keyring.KeyFileOpenToOthers, match="chmod 600"):
        keyring.read_secrets(tmp_path)


@pytest.mark.parametrize("words", ["", "\n", "short"])
def test_a_damaged_secret_is_refused_in_words(tmp_path, words):
    keyring.read_secrets(tmp_path)
    (tmp_path / "secret").write_text(words)

    with pytest.raises(keyring.KeyFileDamaged, match="Put its copy back"):
        keyring.read_secrets(tmp_path)


@pytest.mark.parametrize("words", ["", "[]", "{}", '{"field": {"1": "zz"}}', '{"field": {}}'])
def test_damaged_keys_are_refused_in_words_and_left_alone(tmp_path, words):
    keyring.read_keys(tmp_path)
    (tmp_path / "keys").write_text(words)

    with pytest.raises(keyring.KeyFileDamaged, match="Put its copy back"):
        keyring.read_keys(tmp_path)

    assert (tmp_path / "keys").read_text() == words


def test_a_renewed_secret_stands_before_the_old_one(tmp_path):
    [old] = keyring.read_secrets(tmp_path)

    assert keyring.renew_secret(tmp_path) == 2

    new, kept = keyring.read_secrets(tmp_path)
    assert kept == old != new
    assert stat.S_IMODE((tmp_path / "secret").stat().st_mode) == 0o600
