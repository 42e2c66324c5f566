"""Secrets that live in files of their own, made on first use and read only by their owner."""

import json
import os
import secrets
import stat
import tempfile
from pathlib import Path

USES = ("field", "address")
PUT_BACK = (
    "Put its copy back: without these keys, gate codes and the addresses in calendars that were "
    "sent are lost."
)


class KeyFileUnusable(RuntimeError):
    """A file of secrets cannot be used; the text says what to do."""


class KeyFileOpenToOthers(KeyFileUnusable):
    """A file of secrets may be read by other users of the machine."""


class KeyFileDamaged(KeyFileUnusable):
    """A file of secrets does not hold what it must."""


def read_secrets(var: Path) -> list[str]:
    """The signing secret and its fall-backs, newest first; made if missing.

    Shapes: `var/secret` holds one secret a line. Errors: KeyFileOpenToOthers, KeyFileDamaged.
    """
    path = var / "secret"
    if not path.exists():
        _make(path, secrets.token_urlsafe(48) + "\n")
    found = _read(path).split()
    if not found or min(map(len, found)) < 32:
        raise KeyFileDamaged(
            f"{path} holds no secret of 32 signs or more. Put its copy back, or delete it: a new "
            "one is made, and everyone signs in again by new links."
        )
    return found


def renew_secret(var: Path) -> int:
    """Put a new signing secret in front; older ones still read. Answers how many are kept."""
    kept = [secrets.token_urlsafe(48), *read_secrets(var)][:4]
    os.replace(_write_beside(var / "secret", "\n".join(kept) + "\n"), var / "secret")
    return len(kept)


def read_keys(var: Path) -> dict[str, dict[int, bytes]]:
    """The numbered keys by use ("field", "address"), made if missing.

    They stand apart from the database and its copies: who finds one has not the other.
    Errors: KeyFileOpenToOthers, KeyFileDamaged.
    """
    path = var / "keys"
    if not path.exists():
        fresh = {use: {"1": secrets.token_hex(32)} for use in USES}
        _make(path, json.dumps(fresh))
    try:
        found = {
            use: {int(number): bytes.fromhex(key) for number, key in keys.items()}
            for use, keys in json.loads(_read(path)).items()
        }
    except (ValueError, AttributeError) as wrong:
        raise KeyFileDamaged(f"{path} cannot be read. {PUT_BACK}") from wrong
    if any(min(map(len, found.get(use, {}).values()), default=0) < 32 for use in USES):
        raise KeyFileDamaged(f"{path} lacks a key. {PUT_BACK}")
    return found


def _read(path: Path) -> str:
    if path.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO):
        raise KeyFileOpenToOthers(
            f"{path} can be read by other users of this machine. Run: chmod 600 '{path}'"
        )
    return path.read_text()


def _make(path: Path, text: str) -> None:
    """Make the file whole, unless another start has made it meanwhile: then theirs holds."""
    beside = _write_beside(path, text)
    try:
        # A link refuses to take the place of a file, which a move would not.
        os.link(beside, path)
    except FileExistsError:
        pass
    finally:
        beside.unlink()


def _write_beside(path: Path, text: str) -> Path:
    """A whole file next to it, readable by its owner alone."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, beside = tempfile.mkstemp(dir=path.parent, prefix=f"{path.name}.")
    with os.fdopen(handle, "w") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    return Path(beside)
