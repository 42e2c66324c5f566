"""Telling people: what facts bring about, what a person may stop, hold and send again."""

from drainservice.reminders.actions.keeping import (
    NothingToSendAgain,
    empty_old,
    hold,
    hold_all,
    release,
    release_all,
    send_again,
    start_reminders,
    stop_reminders,
)
from drainservice.reminders.actions.new_link import send_new_link
from drainservice.reminders.actions.news import (
    ask_bucket_test,
    confirm_answer,
    plan_bucket_tests,
    send_report,
)
from drainservice.reminders.actions.sending import Mail
from drainservice.reminders.actions.telling import (
    invite,
    say_not_reached,
    say_set_out,
    send_cancellation,
    send_offer,
    send_update,
)
from drainservice.reminders.actions.wanting import WANTED

__all__ = [
    "WANTED",
    "Mail",
    "NothingToSendAgain",
    "ask_bucket_test",
    "confirm_answer",
    "empty_old",
    "hold",
    "hold_all",
    "invite",
    "plan_bucket_tests",
    "release",
    "release_all",
    "say_not_reached",
    "say_set_out",
    "send_again",
    "send_cancellation",
    "send_new_link",
    "send_offer",
    "send_report",
    "send_update",
    "start_reminders",
    "stop_reminders",
]
