"""Where the server may write when the folder it lies in may not be written; reads on 3.8."""

from __future__ import annotations

import hashlib
import os
import tempfile
from pathlib import Path


class NowhereToWrite(RuntimeError):
    """No folder takes what must be written; the message says what to do."""


def choose_var(root: Path) -> None:
    """Settle where the server writes: DRAIN_VAR, else `var` here, else the person's data folder."""
    if os.environ.get("DRAIN_VAR"):
        places = [Path(os.environ["DRAIN_VAR"]).expanduser()]
    else:
        places = [root / "var", outside(root, "XDG_DATA_HOME", ".local/share") / "var"]
    for place in places:
        if is_writable(place):
            os.environ["DRAIN_VAR"] = str(place.absolute())
            return
    raise NowhereToWrite(
        "The server cannot write its data in {}. Set DRAIN_VAR to a folder that this user may "
        "write in and run it again.".format(" or ".join(str(place) for place in places))
    )


def is_writable(folder: Path) -> bool:
    """Whether a file can really be made there (permission bits do not tell root the truth)."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


def outside(root: Path, variable: str, otherwise: str) -> Path:
    """A folder of this checkout's own among the person's own files."""
    above = os.environ.get(variable) or os.path.join(os.path.expanduser("~"), otherwise)
    return Path(above) / "drainservice" / hashlib.sha256(os.fsencode(root)).hexdigest()[:12]
