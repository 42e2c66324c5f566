"""Named points at which a test may stop this process for real; nothing happens elsewhere."""

import os
import signal
from pathlib import Path

POINTS = {
    "after_take",
    "after_start",
    "before_dot",
    "after_dot",
    "before_settle",
    "after_settle",
    "in_fact",
    "after_fact",
}


def fault(point: str) -> None:
    """Kill this process with SIGKILL if a test armed the point; once for each armed file."""
    armed = os.environ.get("DRAIN_FAULT_FILE")
    if not armed:
        return
    path = Path(armed)
    try:
        wanted, _, after = path.read_text().partition(":")
    except FileNotFoundError:
        return
    if wanted != point:
        return
    left = int(after or 0)
    if left:
        path.write_text(f"{wanted}:{left - 1}")
        return
    path.unlink()
    os.kill(os.getpid(), signal.SIGKILL)
