"""Reading what was found, what is wrong, and what is due."""

from drainservice.inspections.queries.due_list import (
    After,
    due_for,
    due_list,
    dues_for,
    dues_of,
    flag_counts,
    hours_due_by_week,
    looks_wanted,
)
from drainservice.inspections.queries.history import (
    Entry,
    courses_for,
    defects_of,
    downs_for,
    history_of,
    inspection_for,
    inspections_of,
    last_result,
    recommendations_of,
)
from drainservice.inspections.queries.replay import Replayed, replay_due, replay_result
from drainservice.inspections.queries.sums import sums_of
from drainservice.inspections.queries.weighed import Sum, read_kept

__all__ = [
    "After",
    "Entry",
    "Replayed",
    "Sum",
    "courses_for",
    "defects_of",
    "downs_for",
    "due_for",
    "due_list",
    "dues_for",
    "dues_of",
    "flag_counts",
    "history_of",
    "hours_due_by_week",
    "inspection_for",
    "inspections_of",
    "last_result",
    "looks_wanted",
    "read_kept",
    "recommendations_of",
    "replay_due",
    "replay_result",
    "sums_of",
]
