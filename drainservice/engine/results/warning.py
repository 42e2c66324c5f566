"""A weather warning at one place and moment, counted and said."""

from dataclasses import dataclass
from datetime import datetime

from drainservice.engine.rainfall.warning import Judgement, judge_warning, warning_covers
from drainservice.engine.rainfall.warning_area import Cover
from drainservice.engine.rainfall.warning_reader import read_warning
from drainservice.engine.results.counted import Counted, sentence


@dataclass(frozen=True, slots=True)
class WarningInput:
    """The message as it came, the moment, the site, the firm's events, and messages ended since.

    `now_at` aware; `ended`: keys (sender, identifier, sent) from `warning.ended_by`.
    """

    text: str
    now_at: datetime
    latitude: float
    longitude: float
    site_codes: tuple[str, ...]
    events: tuple[str, ...]
    ended: tuple[tuple[str, str, str], ...] = ()


def count_warning(given: WarningInput) -> Counted:
    """Whether it calls for action, and by what it covers the site. Raises as `read_warning`."""
    message = read_warning(given.text)
    why = judge_warning(
        message, now=given.now_at, events=given.events, ended=frozenset(given.ended)
    )
    said = []
    if message.infos:
        first = message.infos[0]
        said.append(
            sentence(
                "warning",
                event=first.event or "A warning without a name",
                severity=first.severity.lower() or "severity unknown",
                expires_at=message.expires_at.isoformat(),
            )
        )
    said.append(sentence(f"warning_{why.name.lower()}"))
    cover = Cover.NONE
    if why is Judgement.ACTS:
        cover = warning_covers(
            message, given.latitude, given.longitude, given.site_codes,
            now=given.now_at, events=given.events,
        )  # fmt: skip
        said.append(sentence(f"warning_{cover}"))
    acts_here = why is Judgement.ACTS and cover is not Cover.NONE
    return Counted((("cover", str(cover)),), "act" if acts_here else "pass_over", tuple(said))
