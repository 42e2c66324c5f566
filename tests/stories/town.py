"""A whole server of its own, as a firm would run it, in a town whose calendar can be turned.

Real processes: gunicorn serves the pages, a Celery worker runs the queue, a Redis-protocol broker
wakes it, an SMTP server takes the mail. Only their clock is ours: each starts with a shift.
"""

import os
import re
import signal
import socket
import subprocess
import sys
import time
from dataclasses import dataclass
from datetime import datetime
from email import message_from_string
from email.message import EmailMessage
from email.policy import default
from pathlib import Path
from urllib.request import urlopen
from zoneinfo import ZoneInfo

import vobject
from celery import Celery

ROOT = Path(__file__).resolve().parents[2]
HERE = ZoneInfo("America/Los_Angeles")


@dataclass(frozen=True)
class Mail:
    """One mail as the server of its reader took it."""

    to: str
    message: EmailMessage

    @property
    def subject(self) -> str:
        return str(self.message["Subject"])

    @property
    def text(self) -> str:
        """Its words, wherever the lines break."""
        return " ".join(self._part("text/plain").get_content().split())

    @property
    def html(self) -> str:
        return self._part("text/html").get_content()

    @property
    def method(self) -> str:
        """What the calendar part asks of a calendar; empty where there is none."""
        part = self._part("text/calendar")
        return part.get_param("method") if part is not None else ""

    @property
    def entry(self):
        """The entry of the calendar part, read by a parser that did not write it."""
        calendar = vobject.readOne(self._part("text/calendar").get_content())
        return calendar.vevent

    def link(self, words: str) -> str:
        """Where the button with these words leads."""
        found = re.search(rf'<a [^>]*href="([^"]+)"[^>]*>\s*{words}', self.html)
        assert found, f"{words!r} is no button of {self.subject!r}"
        return found.group(1).replace("&amp;", "&")

    def _part(self, kind: str):
        return next((p for p in self.message.walk() if p.get_content_type() == kind), None)


class Town:
    """The server, its clock and its mail."""

    def __init__(self, folder: Path, mail_server, broker_url: str, now: str) -> None:
        self.folder, self.mail_server, self.broker_url = folder, mail_server, broker_url
        self.ahead_s = 0.0
        self.running: list[subprocess.Popen] = []
        self.read = 0
        with socket.socket() as door:
            door.bind(("127.0.0.1", 0))
            self.url = f"http://127.0.0.1:{door.getsockname()[1]}"
        self._set_clock(now)
        self.command("migrate", "--verbosity=0")
        self.command("collectstatic", "--noinput", "--verbosity=0")
        self.open()

    def _set_clock(self, now: str) -> None:
        at = datetime.fromisoformat(now).replace(tzinfo=HERE)
        self.ahead_s = at.timestamp() - time.time()

    def now(self) -> datetime:
        """What the town's clocks show."""
        return datetime.fromtimestamp(time.time() + self.ahead_s, HERE)

    def it_is(self, now: str) -> None:
        """Turn the calendar on: the server is stopped and started again at that moment."""
        at = datetime.fromisoformat(now).replace(tzinfo=HERE)
        assert at > self.now(), "time runs forward"
        self.close()
        self._set_clock(now)
        self.open()

    def environment(self) -> dict[str, str]:
        return {
            **os.environ,
            "PYTHONPATH": f"{ROOT}/tests/stories/clockwork:{ROOT}",
            "TOWN_IS_AHEAD_S": str(self.ahead_s),
            "DJANGO_SETTINGS_MODULE": "drainservice.settings",
            "DRAIN_VAR": str(self.folder),
            "DRAIN_PUBLIC_URL": self.url,
            "DRAIN_MAIL_URL": self.mail_server.url,
            "BROKER_URL": self.broker_url,
            "DATABASE_URL": "",
        }

    def command(self, *words: str) -> str:
        """What a command of the server says."""
        done = subprocess.run(
            [sys.executable, "-m", "django", *words],
            cwd=ROOT,
            env=self.environment(),
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    def open(self) -> None:
        """Start the pages and the worker."""
        conf = str(ROOT / "deploy" / "gunicorn.conf.py")
        listen = self.url.removeprefix("http://")
        self._start("gunicorn", "-c", conf, "--bind", listen, "--workers", "1",
                    "drainservice.wsgi:application")  # fmt: skip
        self._start("celery", "--quiet", "-A", "jobs", "worker", "--concurrency", "1",
                    "--without-mingle", "--without-gossip", "--loglevel", "WARNING")  # fmt: skip
        self._wait_until(self._is_open, "the pages do not open")

    def _start(self, *words: str) -> None:
        with (self.folder / f"{words[0]}.log").open("ab") as log:
            self.running.append(
                subprocess.Popen(
                    [sys.executable, "-m", *words],
                    cwd=ROOT,
                    env=self.environment(),
                    stdin=subprocess.DEVNULL,
                    stdout=log,
                    stderr=log,
                    start_new_session=True,
                )
            )

    def _is_open(self) -> bool:
        try:
            return urlopen(f"{self.url}/readyz", timeout=5).status == 200
        except OSError:
            return False

    def close(self) -> None:
        """Stop both, politely and then not."""
        for process in self.running:
            process.send_signal(signal.SIGTERM)
        for process in self.running:
            try:
                process.wait(20)
            except subprocess.TimeoutExpired:
                os.killpg(process.pid, signal.SIGKILL)
                process.wait()
        self.running.clear()

    def worker_wakes(self) -> None:
        """The alarm clock's tick: a message without content."""
        app = Celery("clock", broker=self.broker_url, set_as_current=False)
        for task in ("run_due", "run_long"):
            app.send_task(f"jobs.tasks.{task}")
        app.close()

    def next_mail(self, *, to: str, about: str) -> Mail:
        """The next mail with these words in its subject or text; the worker is woken until then."""
        found: list[Mail] = []

        def has_come() -> bool:
            for mail in self.mails()[self.read :]:
                self.read += 1
                if mail.to == to and about in mail.text:
                    found.append(mail)
                    return True
            self.worker_wakes()
            return False

        self._wait_until(has_come, f"no mail about {about!r} came to {to}", step_s=0.5)
        return found[0]

    def mails(self) -> list[Mail]:
        return [
            Mail(line["to"][0], message_from_string(line["octets"], policy=default))
            for line in self.mail_server.taken()
        ]

    def _wait_until(self, is_so, otherwise: str, *, step_s: float = 0.1) -> None:
        until_s = time.monotonic() + 40
        while not is_so():
            words = "".join(path.read_text()[-1500:] for path in self.folder.glob("*.log"))
            words += "\n".join(f"{mail.to}: {mail.text[:300]}" for mail in self.mails()[-6:])
            assert time.monotonic() < until_s, f"{otherwise}; the logs say:\n{words}"
            assert all(p.poll() is None for p in self.running), f"a process ended:\n{words}"
            time.sleep(step_s)
