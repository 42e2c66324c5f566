"""The processes a whole server is made of, and how each is started."""

import sys
from pathlib import Path

from drainservice.web.supervisor.broker import command_of
from drainservice.web.supervisor.processes import Service

WORKERS = "2"
ALONE = ["--without-mingle", "--without-gossip"]


def broker(logs: Path, program: str, socket: Path) -> Service:
    """The broker, embedded."""
    return Service("broker", command_of(program, socket), logs / "broker.log", grace_s=5)


def worker(logs: Path) -> Service:
    """Those who do the jobs of the queue. A job cut off is taken again when its lease is over."""
    words = ["worker", "--queues", "celery", "--concurrency", WORKERS, *ALONE]
    return _celery("worker", words, logs, grace_s=20)


def long_worker(logs: Path) -> Service:
    """Who does long work, one at a time and apart, so that it delays no reminder. What is cut off
    here is taken up again by itself."""
    words = ["worker", "--queues", "long", "--concurrency", "1", "--hostname", "long@%h", *ALONE]
    return _celery("long-worker", words, logs, grace_s=5)


def beat(logs: Path) -> Service:
    """The alarm clock; without a file of its own."""
    return _celery("clock", ["beat", "--pidfile="], logs, grace_s=5)


def web(logs: Path, conf: Path, *, host: str, port: int, processes: int) -> Service:
    """The pages. One process on SQLite, which has one writer at a time anyway."""
    bind = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
    words = ["-c", str(conf), "--bind", bind, "--workers", str(processes)]
    command = [sys.executable, "-m", "gunicorn", *words, "drainservice.wsgi:application"]
    return Service("web server", command, logs / "web.log", grace_s=32)


def _celery(name: str, words: list[str], logs: Path, *, grace_s: float) -> Service:
    command = [
        sys.executable,
        "-m",
        "celery",
        "--quiet",
        "-A",
        "jobs",
        *words,
        "--loglevel",
        "WARNING",
    ]
    return Service(name, command, logs / f"{name}.log", grace_s=grace_s)
