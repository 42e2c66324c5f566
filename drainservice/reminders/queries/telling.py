"""A message's state as a whole phrase, and what became of it, line by line."""

from dataclasses import dataclass
from datetime import datetime

from drainservice.accounts import wall
from drainservice.reminders.models import Reminder, Use
from jobs import queries as jobs
from jobs.queries import State

STOPPED = "The household asked us to stop reminders."
WORDS_OF_ATTEMPT = {
    "sent": "The mail server took it.",
    "again": "It did not go out; another try follows.",
    "refused": "The address refused it.",
    "unsure": "Sent, without a receipt.",
    "no_server": "The mail server did not answer.",
    "failed": "It could not be written.",
}
USE_WORDS: dict[str, str] = {
    Use.OFFER: "Offer",
    Use.AGREED: "Invitation",
    Use.MOVED: "The visit has moved",
    Use.CALLED_OFF: "Called off",
    Use.ANSWER_WANTED: "Answer wanted",
    Use.GET_READY: "Get ready",
    Use.SETTING_OUT: "Setting out",
    Use.REPORT: "Report",
    Use.CONFIRMATION: "Your answer, as we wrote it down",
    Use.NOT_REACHED: "We could not reach the lid",
    Use.BUCKET_TEST: "Bucket test",
    Use.NEW_LINK: "A new link",
}


@dataclass(frozen=True, slots=True)
class Moment:
    """One line of a message's life; `detail` is what a server said."""

    at: datetime
    words: str
    detail: str = ""


def phrase(reminder: Reminder, zone: str) -> str:
    """Where it stands, as a person reads it, by the clock of `zone`."""
    row = reminder.job
    state, ended_at = row.state, row.done_at
    if state == State.WAITING:
        why = f" {row.last_error}" if row.last_error else ""
        return f"Goes out {_day_and_time(row.due_at, zone)}.{why}"
    if state == State.AGAIN:
        return f"{_said_of_wait(reminder)}; next try {_time(row.due_at, zone)}."
    if state == State.SENT:
        if reminder.kept_here:
            return f"Kept here at {_time(ended_at, zone)}; no mail leaves this machine."
        return f"The mail server took it at {_time(ended_at, zone)}."
    if state == State.REFUSED:
        return "The address refused it; someone must mend it."
    return {
        State.TAKEN: "Going out now.",
        State.SENDING: "Going out now.",
        State.UNSURE: "Sent, without a receipt; a second copy may follow.",
        State.OVERTAKEN: row.last_error or "The visit has moved, so this stays here.",
        State.TOO_LATE: "The visit is over, so this stays here.",
        State.STOPPED: row.last_error or STOPPED,
        State.STUCK: "Failed five times; someone must look.",
        State.DONE: "Done.",
    }[State(state)]


def timeline(reminder: Reminder) -> list[Moment]:
    """Planned, each try with the server's reply, what came back later, and the end."""
    row = reminder.job
    moments = [Moment(row.made_at, "Put down to be sent.")]
    if reminder.made_at is not None:
        moments.append(Moment(reminder.made_at, "Written; these octets go out and no others."))
    for attempt in jobs.attempts_of(row.pk):
        words = WORDS_OF_ATTEMPT.get(attempt.outcome, attempt.outcome)
        said = " ".join(part for part in (attempt.phase, attempt.code, attempt.reply) if part)
        moments.append(Moment(attempt.ended_at, words, said))
    for event in reminder.events.order_by("at", "pk"):
        said = " ".join(part for part in (event.status, event.words) if part)
        moments.append(Moment(event.at, event.kind.replace("_", " ").capitalize() + ".", said))
    ended_here = {State.OVERTAKEN, State.TOO_LATE, State.STOPPED, State.STUCK}
    if row.done_at is not None and row.state in ended_here:
        moments.append(Moment(row.done_at, row.last_error or "It stays here."))
    return sorted(moments, key=lambda moment: moment.at)


def _said_of_wait(reminder: Reminder) -> str:
    if reminder.job.unsure_count:
        return "Sent, without a receipt"
    code = reminder.job.last_code
    return "The mail server was busy" if code.startswith("4") or not code else "It did not go out"


def _time(at: datetime | None, zone: str) -> str:
    return f"{wall.local(at, zone):%-H:%M}" if at is not None else "an unknown hour"


def _day_and_time(at: datetime, zone: str) -> str:
    here = wall.local(at, zone)
    half = "am" if here.hour < 12 else "pm"
    minutes = f":{here:%M}" if here.minute else ""
    return f"{here:%a} {here.day} {here:%b} at {here.hour % 12 or 12}{minutes} {half}"
