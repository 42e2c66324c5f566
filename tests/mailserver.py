"""A real SMTP server on loopback, in a process of its own, that keeps its own log of what it took.

Run as `python -m tests.mailserver FOLDER`: writes its port to FOLDER/port, one JSON line for each
message taken to FOLDER/log, and does as FOLDER/mode says: "take"; "busy" (451 to each recipient);
"shut" (421 at once); "drop N" (takes every N-th message and hangs up instead of replying);
"cut" (hangs up in the middle of a message's text). A recipient that begins with "gone" is refused
by 550 in every mode, one that begins with "poison" makes it hang up at RCPT.
"""

import asyncio
import contextlib
import json
import os
import signal
import subprocess
import sys
import time
from email import message_from_bytes
from email.policy import default
from pathlib import Path

from aiosmtpd.smtp import SMTP

ROOT = Path(__file__).resolve().parent.parent


class Handler:
    """Answers as the mode says, and writes down what was taken before it replies."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.taken = 0

    def mode(self) -> str:
        return (self.folder / "mode").read_text().strip()

    async def handle_EHLO(self, server, session, envelope, hostname, responses):
        session.host_name = hostname
        if self.mode() == "shut":
            server.transport.close()
        return responses

    async def handle_RCPT(self, server, session, envelope, address, options):
        if address.startswith("gone"):
            return "550 5.1.1 No such user here"
        if address.startswith("poison"):
            server.transport.abort()
            return "421 4.3.0 Gone"
        if self.mode() == "busy":
            return "451 4.3.2 Busy, come back later"
        envelope.rcpt_tos.append(address)
        return "250 2.1.5 Fine"

    async def handle_DATA(self, server, session, envelope):
        self.taken += 1
        message = message_from_bytes(envelope.content, policy=default)
        line = {
            "message_id": message["Message-ID"],
            "from": envelope.mail_from,
            "to": envelope.rcpt_tos,
            "octets": envelope.content.decode("ascii"),
            "line": id(session),
        }
        with (self.folder / "log").open("a") as log:
            log.write(json.dumps(line) + "\n")
        word, _, every = self.mode().partition(" ")
        if word == "drop" and self.taken % int(every) == 0:
            server.transport.abort()
        return "250 2.0.0 Taken"


class Cutting(SMTP):
    """In the mode "cut" hangs up where the text of a message begins."""

    async def smtp_DATA(self, arg):
        if self.event_handler.mode() == "cut":
            await self.push("354 Go on")
            self.transport.abort()
            return
        await super().smtp_DATA(arg)


async def serve(folder: Path) -> None:
    loop = asyncio.get_running_loop()
    handler = Handler(folder)

    def protocol():
        return Cutting(handler, hostname="sink.example.com", loop=loop)

    server = await loop.create_server(protocol, "127.0.0.1", 0)
    beside = folder / "port.new"
    beside.write_text(str(server.sockets[0].getsockname()[1]))
    beside.rename(folder / "port")
    await asyncio.Event().wait()


class MailServer:
    """The server as a test sees it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        folder.mkdir(parents=True, exist_ok=True)
        self.is_in("take")
        (folder / "log").touch()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.mailserver", str(folder)],
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            start_new_session=True,
        )
        until = time.monotonic() + 20
        while not (folder / "port").exists():
            if self.process.poll() is not None or time.monotonic() > until:
                raise RuntimeError("The mail server of the tests did not start.")
            time.sleep(0.02)
        self.port = int((folder / "port").read_text())

    @property
    def url(self) -> str:
        return f"smtp://127.0.0.1:{self.port}"

    def is_in(self, mode: str) -> None:
        (self.folder / "mode").write_text(mode)

    def forget(self) -> None:
        (self.folder / "log").write_text("")
        self.is_in("take")

    def taken(self) -> list[dict]:
        """What it took, in order."""
        return [json.loads(line) for line in (self.folder / "log").read_text().splitlines()]

    def end(self) -> None:
        with contextlib.suppress(ProcessLookupError):
            os.kill(self.process.pid, signal.SIGTERM)
        self.process.wait(10)


if __name__ == "__main__":
    asyncio.run(serve(Path(sys.argv[1])))
