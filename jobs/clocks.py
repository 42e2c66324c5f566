"""Two clocks: the database's for leases, and one that nobody can set for how long a try took."""

import time
from datetime import UTC, datetime
from typing import Any

from django.db import connection


def clock() -> datetime:
    """The database's clock, the same for every worker; for SQLite this machine's."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT clock_timestamp()")
            moment: datetime = cursor.fetchone()[0]
            return moment
    return datetime.fromtimestamp(time.time(), tz=UTC)


def boot_s() -> float:
    """Seconds that go on while the machine sleeps, where it has such a clock."""
    which: Any = getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC)
    return time.clock_gettime(which)
