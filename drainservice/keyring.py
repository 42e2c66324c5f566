"""Secrets that live in files of their own, made on first use and read only by their owner."""

import json
import os
import secrets
import stat
from pathlib import Path


class KeyFileOpenToOthers(RuntimeError):
    """A file of secrets may be read by other users of the machine."""


def read_secrets(var: Path) -> list[str]:
    """The signing secret and its fall-backs, newest first; made if missing.

    Shapes: `var/secret` holds one secret a line. Errors: KeyFileOpenToOthers.
    """
    path = var / "secret"
    if not path.exists():
        _write(path, secrets.token_urlsafe(48) + "\n")
    return _read(path).split()


def renew_secret(var: Path) -> int:
    """Put a new signing secret in front; older ones still read. Answers how many are kept."""
    kept = [secrets.token_urlsafe(48), *read_secrets(var)][:4]
    _write(var / "secret", "\n".join(kept) + "\n")
    return len(kept)


def read_keys(var: Path) -> dict[str, dict[int, bytes]]:
    """The numbered keys by use ("field", "address"), made if missing.

    They stand apart from the database and its copies: who finds one has not the other.
    """
    path = var / "keys"
    if not path.exists():
        fresh = {use: {"1": secrets.token_hex(32)} for use in ("field", "address")}
        _write(path, json.dumps(fresh))
    return {
        use: {int(number): bytes.fromhex(key) for number, key in keys.items()}
        for use, keys in json.loads(_read(path)).items()
    }


def _read(path: Path) -> str:
    if path.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO):
        raise KeyFileOpenToOthers(
            f"{path} can be read by other users of this machine. Run: chmod 600 '{path}'"
        )
    return path.read_text()


def _write(path: Path, text: str) -> None:
    """Write beside and move into place, so that a stop half-way leaves the old file whole."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f"{path.name}.{os.getpid()}")
    handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    try:
        if path.exists() and path.name == "keys":
            raise FileExistsError(path)
        os.replace(beside, path)
    finally:
        beside.unlink(missing_ok=True)
