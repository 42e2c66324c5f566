"""Writing visits: offer, hold, agree, move, call off, go, answer."""

from drainservice.visits.actions.answer import (
    NothingToAnswer,
    answer_visit,
    pass_on_overdue,
    settle_answers,
)
from drainservice.visits.actions.book import (
    GroundNotLocated,
    NoTimeFree,
    NotInThisState,
    WindowInThePast,
    agree_visit,
    call_off_visit,
    hold_visit,
    let_hold_go,
    move_visit,
    offer_visit,
    plan_visit,
)
from drainservice.visits.actions.drives import (
    note_drive,
    refresh_drive_times,
    want_drive_times,
)
from drainservice.visits.actions.go import (
    arrive,
    make_visit,
    miss_visit,
    set_out,
    tie_inspection,
)
from drainservice.visits.actions.minutes import count_look_minutes
from drainservice.visits.actions.record import record_at_visit

__all__ = [
    "GroundNotLocated",
    "NoTimeFree",
    "NotInThisState",
    "NothingToAnswer",
    "WindowInThePast",
    "agree_visit",
    "answer_visit",
    "arrive",
    "call_off_visit",
    "count_look_minutes",
    "hold_visit",
    "let_hold_go",
    "make_visit",
    "miss_visit",
    "move_visit",
    "note_drive",
    "offer_visit",
    "pass_on_overdue",
    "plan_visit",
    "record_at_visit",
    "refresh_drive_times",
    "set_out",
    "settle_answers",
    "tie_inspection",
    "want_drive_times",
]
