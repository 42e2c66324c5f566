"""What a worker brings back from a message: plain values that know no domain."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Literal, Protocol
from uuid import UUID

End = Literal["sent", "refused", "overtaken", "too_late", "stopped"]


@dataclass(frozen=True, slots=True)
class Ended:
    """It must not go out any more, or has ended otherwise."""

    state: End
    words: str = ""


@dataclass(frozen=True, slots=True)
class Later:
    """Still true, but not now: a quiet hour, a limit."""

    due_at: datetime
    words: str = ""


@dataclass(frozen=True, slots=True)
class Ready:
    """Still true and rendered; `octets` are the same at every try."""

    octets: bytes
    sender: str
    recipient: str
    details: dict[str, Any] = field(default_factory=dict)


Result = Literal["sent", "again", "refused", "unsure", "no_server"]


@dataclass(frozen=True, slots=True)
class Sent:
    """How one try ended. `no_server` is the server's trouble and costs the message no try."""

    result: Result
    phase: str
    code: str = ""
    reply: str = ""


class Post(Protocol):
    """An open way to send: one connection for a batch."""

    def send(self, ready: Ready, *, still_ours: Callable[[], bool]) -> Sent:
        """Send one message; ask `still_ours` just before the point of no return."""


class MessageKind(Protocol):
    """How messages of a kind are made ready and sent. A message is known by its row's id."""

    def prepare(self, row_id: UUID, *, at: datetime) -> Ready | Ended | Later:
        """Still true? Then render once, keep the octets, and answer them. Runs in a transaction."""

    def settled(self, row_id: UUID, *, at: datetime, state: str, sent: Sent | None) -> None:
        """Told how it ended, in the transaction that settles it."""

    def open_post(self) -> AbstractContextManager[Post]:
        """The connection for a batch."""
