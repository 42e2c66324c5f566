"""Ask Celery to look now; without a broker nothing is lost, since the clock looks anyway."""

import logging
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

from django.conf import settings
from django.db import connection, transaction

log = logging.getLogger("jobs.wake")
# A page waits so long for the wake-up at most, and a broker that is away is left alone.
PATIENCE_S = 0.3
REST_S = 30.0
_resting_until_s = 0.0
# Loading Celery's way to the broker for the first time takes longer than a page may wait.
_loaded = threading.Event()
_asleep = False


def after_commit(*, long: bool = False) -> None:
    """Hurry the next tick once this transaction is committed; once is enough. `long`: the tick of
    long work."""
    hurry = now_long if long else now
    if not settings.BROKER_URL:
        return
    if any(entry[1] is hurry for entry in connection.run_on_commit):
        return
    transaction.on_commit(hurry, robust=True)


def now() -> None:
    """Send one message without content. Never raises, and never takes longer than patience."""
    _hurry("jobs.tasks.run_due")


def now_long() -> None:
    """The same to who does long work."""
    _hurry("jobs.tasks.run_long")


def _hurry(task: str) -> None:
    if _asleep or time.monotonic() < _resting_until_s:
        return
    sender = threading.Thread(target=_send, args=[task], name="wake", daemon=True)
    sender.start()
    sender.join(PATIENCE_S)
    if sender.is_alive() and _loaded.is_set():
        _rest("it does not answer")


@contextmanager
def asleep() -> Iterator[None]:
    """Send nothing within: for loading much before a broker runs. The next tick looks anyway."""
    global _asleep
    before, _asleep = _asleep, True
    try:
        yield
    finally:
        _asleep = before


def _send(task: str) -> None:
    from jobs.celery import app

    try:
        app.connection_for_write().get_transport_cls()
        _loaded.set()
        app.send_task(task, expires=settings.TICK_SECONDS, retry=False)
    except Exception as error:
        _rest(type(error).__name__)


def _rest(why: str) -> None:
    global _resting_until_s
    _resting_until_s = time.monotonic() + REST_S
    log.warning("the broker did not take a wake-up (%s); the next tick will look", why)
