"""Ask Celery to look now; without Redis nothing is lost, since beat and `run_jobs` look anyway."""

import logging
import time

from django.conf import settings
from django.db import connection, transaction

log = logging.getLogger("jobs.wake")
REST_S = 30.0
_resting_until = 0.0


def after_commit() -> None:
    """Hurry the next tick once this transaction is committed; once is enough."""
    if not settings.BROKER_URL:
        return
    if any(entry[1] is now for entry in connection.run_on_commit):
        return
    transaction.on_commit(now, robust=True)


def now() -> None:
    """Send one message without content. A broker that is away is left alone for a while."""
    global _resting_until
    if time.monotonic() < _resting_until:
        return
    from jobs.celery import app

    try:
        app.send_task("jobs.tasks.run_due", expires=settings.TICK_SECONDS, retry=True)
    except Exception as error:
        _resting_until = time.monotonic() + REST_S
        log.warning("the broker did not take a wake-up; the next tick will look: %s", type(error))
