"""Workers that really die: one warm process forks a fresh child for each run, on a database of
its own, with a real mail server outside.

The mother imports the application once and holds no connection; each child opens its own, runs
the queue, and is killed where DRAIN_FAULT_FILE says.
"""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HOUSEHOLDS = 8


class Station:
    """The mother process and the databases she prepares."""

    def __init__(self, folder: Path, mail_url: str, copy_to, postgresql: str = "") -> None:
        self.folder = folder
        self.postgresql = postgresql
        self.fault_file = folder / "fault"
        var = folder / "var"
        var.mkdir(parents=True)
        env = {
            **os.environ,
            "DRAIN_VAR": str(var),
            "DRAIN_MAIL_URL": mail_url,
            "DRAIN_FAULT_FILE": str(self.fault_file),
            "DRAIN_LOG_LEVEL": "CRITICAL",
            # The wake-up goes nowhere: the runs here are our own.
            "BROKER_URL": f"redis+socket://{folder}/none.sock",
            "DATABASE_URL": postgresql,
        }
        self.mother = subprocess.Popen(
            [sys.executable, "-m", "tests.jobs.station"],
            cwd=ROOT,
            env=env,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )
        self.template = self._name("template")
        copy_to(self.template)
        assert self.ask(do="prepare", name=self.template) == [0]

    def _name(self, word: str) -> str:
        return f"{word}_{os.getpid()}" if self.postgresql else f"{self.folder}/{word}.sqlite3"

    def _sql(self, statement: str) -> None:
        import psycopg

        with psycopg.connect(self.postgresql, autocommit=True) as line:
            line.execute(statement)

    def ask(self, **words) -> list[int]:
        """Have children do something; answers the exit code of each (-9: killed)."""
        self.mother.stdin.write(json.dumps(words) + "\n")
        self.mother.stdin.flush()
        return json.loads(self.mother.stdout.readline())

    def fresh(self) -> str:
        """A database as prepared: one household each, an offer to each not yet sent."""
        name = self._name("work")
        if self.postgresql:
            self._sql(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
            self._sql(f"CREATE DATABASE {name} TEMPLATE {self.template}")
            return name
        for end in ("", "-wal", "-shm"):
            Path(name + end).unlink(missing_ok=True)
        shutil.copyfile(self.template, name)
        return name

    def run(self, name: str, *, fault: str = "", **words):
        """Run the queue until nothing is due; `ahead_s`: the clock is put ahead; `workers`: so
        many at once; `broken`: the design broken on purpose, by one of BREAKS."""
        self.fault_file.unlink(missing_ok=True)
        if fault:
            self.fault_file.write_text(fault)
        return self.ask(do="run", name=name, **words)

    def rows(self, name: str) -> list[dict]:
        """All jobs of a database, as plain values."""
        path = self.folder / "rows.json"
        assert self.ask(do="rows", name=name, path=str(path)) == [0]
        return json.loads(path.read_text())

    def end(self) -> None:
        self.mother.stdin.close()
        self.mother.wait(20)
        self.mother.stdout.close()


def prepare(words) -> None:
    """A firm without quiet hours, and an offer for each of some households."""
    from datetime import UTC, datetime, time, timedelta

    from drainservice.accounts.asker import command
    from drainservice.visits import actions as visits
    from drainservice.visits.queries import Window
    from tests import makers

    at = datetime.now(tz=UTC)
    asker = command(at, door="station")
    makers.make_firm(quiet_from=time(0), quiet_until=time(0))
    technician = makers.make_account()
    day = (at + timedelta(days=30)).date()
    for number in range(HOUSEHOLDS):
        person = makers.make_person(f"Person {number}", mail=f"person{number}@example.com")
        _, _, site = makers.make_home(person, makers.make_site(f"{number} Elm Rd"))
        visit = visits.plan_visit(site, asker=asker, purpose="look", systems={}, meant_for=None)
        window = Window(day, time(8 + number), time(9 + number))
        visits.offer_visit(visit, to=window, technician=technician, asker=asker)


def run(words) -> None:
    """As a worker does, until nothing is due; the clock may be put ahead, past every lease."""
    from datetime import timedelta

    from jobs import clocks, reactions, running

    def clock():
        return clocks.clock() + timedelta(seconds=words.get("ahead_s", 0))

    if words.get("broken"):
        BREAKS[words["broken"]]()
    if words.get("only_facts"):
        running.run_messages = lambda turn: 0
    turns = 0
    while turns < 20 and running.run_all(reactions.REACTIONS, reactions.MESSAGES, clock=clock):
        turns += 1


def read_without_claiming() -> None:
    """Every worker reads what is due and takes it for its own."""
    import time

    from jobs import taking

    def take(most, *, at, worker, is_message, long=False, only=()):
        rows = list(taking.due_rows(at=at, is_message=is_message)[:most])
        time.sleep(0.3)
        return rows

    def claim(row, *, at):
        from jobs.models import Job, State

        row.token, row.state = "same", State.SENDING
        row.started_at = at
        Job.objects.filter(pk=row.pk).update(state=row.state, token="same", taken_until=at)
        return True

    taking.take, taking.begin, taking.start_sending = take, claim, claim


def forget_starts() -> None:
    """The try is not counted before it is made."""
    from jobs import taking

    begin = taking.begin

    def begin_uncounted(row, *, at):
        from jobs.models import Job

        begun = begin(row, at=at)
        Job.objects.filter(pk=row.pk).update(attempts=0, open_starts=0)
        return begun

    taking.begin = begin_uncounted


def settle_first() -> None:
    """The row says "sent" before anything is sent."""
    from jobs import sending, settling
    from jobs.models import State

    send = sending._send

    def settle_and_send(row, *rest, **words):
        settling.settle(row, at=row.started_at, state=State.SENT)
        return send(row, *rest, **words)

    sending._send = settle_and_send


BREAKS = {
    "reads_without_claiming": read_without_claiming,
    "forgets_starts": forget_starts,
    "settles_first": settle_first,
}


def rows(words) -> None:
    """Write all jobs down."""
    from jobs.models import Job

    fields = ["kind", "key", "state", "is_message", "attempts", "unsure_count", "last_error"]
    found = list(Job.objects.values(*fields, "reminder__message_id", "reminder__address"))
    Path(words["path"]).write_text(json.dumps(found))


def child(words) -> None:
    """One fresh process: its own connection, its own end."""
    from django.db import connections

    status = 1
    try:
        connections["default"].settings_dict["NAME"] = words["name"]
        {"prepare": prepare, "run": run, "rows": rows}[words["do"]](words)
        connections.close_all()
        status = 0
    finally:
        sys.stderr.flush()
        os._exit(status)


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "drainservice.settings")
    import django

    django.setup()
    import jobs.reactions  # noqa: F401

    for line in sys.stdin:
        words = json.loads(line)
        pids = []
        for _ in range(words.get("workers", 1)):
            pid = os.fork()
            if pid == 0:
                child(words)
            pids.append(pid)
        ends = [os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) for pid in pids]
        print(json.dumps(ends), flush=True)


if __name__ == "__main__":
    main()
