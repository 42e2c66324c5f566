"""Named points at which a test may stop this process for real; nothing happens elsewhere.

A test's switch, set by DRAIN_FAULT_FILE: the path of a file that holds a point's name, and after
a colon how often the point is passed first. The file is removed when it strikes.
"""

import os
import signal
from pathlib import Path

from django.conf import settings

POINTS = {
    "after_take",
    "in_render",
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
    if not settings.FAULT_FILE:
        return
    path = Path(settings.FAULT_FILE)
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
