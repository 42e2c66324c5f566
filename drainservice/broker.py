"""Where the embedded broker listens: a socket among the server's own files."""

import hashlib
import os
import re
from pathlib import Path

# A socket's address holds 107 bytes on Linux and 103 on macOS.
LONGEST_BYTES = 100


def socket_path(var: Path) -> Path:
    """The broker's socket in `var`, or in a private folder where the way there is too long.

    The same folder always gives the same path, so that a second terminal finds the broker.
    """
    path = var.absolute() / "broker.sock"
    if len(os.fsencode(path)) <= LONGEST_BYTES and not re.search(r"[?#%]", str(path)):
        return path
    name = hashlib.sha256(os.fsencode(path)).hexdigest()[:12]
    return Path("/tmp") / f"drain-{os.getuid()}-{name}" / "broker.sock"
