"""Writing what was found, what is wrong, and what is due."""

from drainservice.inspections.actions.after import (
    after_inspection,
    after_self_check,
    give_self_check,
    note_stop_gap,
)
from drainservice.inspections.actions.defects import (
    answer_recommendation,
    check_as_built,
    find_defect,
    mend_defect,
    recommend,
)
from drainservice.inspections.actions.due import find_due, refresh_due
from drainservice.inspections.actions.flags import flag_overdue
from drainservice.inspections.actions.photos import AnotherSystemsPhoto, add_photo
from drainservice.inspections.actions.record import (
    AnotherInspection,
    DayAhead,
    NothingLookedAt,
    record_inspection,
)
from drainservice.inspections.actions.told import record_told

__all__ = [
    "AnotherInspection",
    "AnotherSystemsPhoto",
    "DayAhead",
    "NothingLookedAt",
    "add_photo",
    "after_inspection",
    "after_self_check",
    "answer_recommendation",
    "check_as_built",
    "find_defect",
    "find_due",
    "flag_overdue",
    "give_self_check",
    "mend_defect",
    "note_stop_gap",
    "recommend",
    "record_inspection",
    "record_told",
    "refresh_due",
]
