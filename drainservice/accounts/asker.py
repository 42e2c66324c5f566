"""Who is asking, and when: made at the door, passed inward, never guessed."""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

Kind = Literal["nobody", "account", "household", "clock", "command"]


@dataclass(frozen=True, slots=True)
class Asker:
    """One request's asker. `at` is the only `now` an action knows."""

    at: datetime
    kind: Kind = "nobody"
    account_id: int | None = None
    person_id: int | None = None
    household_id: int | None = None
    role: str = ""
    door: str = ""
    request_id: str = ""
    # Changes made by one act share a group; empty: each change stands alone.
    group: str = ""

    @property
    def is_office(self) -> bool:
        """Owner, dispatcher, the clock or a command of the machine's keeper: sees all."""
        return self.kind in {"clock", "command"} or self.role in {"owner", "dispatcher"}

    @property
    def is_technician(self) -> bool:
        """A technician, who sees what a visit opens."""
        return self.kind == "account" and self.role == "technician"

    @property
    def is_household(self) -> bool:
        """Someone who came by a signed link."""
        return self.kind == "household"

    def named(self) -> str:
        """How history writes this asker: kind and number, never a name."""
        if self.kind == "account":
            return f"account:{self.account_id}"
        if self.kind == "household":
            return f"person:{self.person_id}"
        return self.kind

    def acting(self, *, door: str = "", group: str = "") -> "Asker":
        """The same asker through another door or within one undoable act."""
        return replace(self, door=door or self.door, group=group or self.group)


def clock(at: datetime, *, door: str = "clock") -> Asker:
    """The server itself, at a moment."""
    return Asker(at=at, kind="clock", door=door)


def command(at: datetime, *, door: str) -> Asker:
    """Whoever may run a command on the machine."""
    return Asker(at=at, kind="command", door=door)


class CannotBeDone(Exception):
    """The facts forbid it; the text is a sentence that tells a person what to do instead."""


class NotFound(Exception):
    """Missing, or not for this asker: the two are the same answer."""
