"""A letter before it is text or HTML: both are made from it, so that both say the same."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Button:
    """One answer or way on: words and address. `look` is filled, outlined or plain."""

    words: str
    url: str
    look: str = "plain"


@dataclass(frozen=True, slots=True)
class Letter:
    """What one message says. `facts` are label and value; `buttons` stand one a paragraph."""

    subject: str
    opening: str
    greeting: str = ""
    facts: tuple[tuple[str, str], ...] = ()
    before_facts: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    ask: str = ""
    buttons: tuple[Button, ...] = ()
    under: Button | None = None
    closing: tuple[str, ...] = ()
    stop_url: str = ""
