"""Reading visits: as an asker may see them, and when the crew is free."""

from drainservice.visits.queries.free import FreeTime, earliest_free, free_times
from drainservice.visits.queries.seen import (
    Beside,
    answers_to_deal_with,
    beside_systems,
    is_long_over,
    last_words,
    latest_answers,
    open_visits_of,
    round_of,
    unanswered,
    visit_for,
    visit_under_way,
    visits_ahead_of,
    visits_for,
    visits_of_site,
    visits_on,
)
from drainservice.visits.queries.window import Window

__all__ = [
    "Beside",
    "FreeTime",
    "Window",
    "answers_to_deal_with",
    "beside_systems",
    "earliest_free",
    "free_times",
    "is_long_over",
    "last_words",
    "latest_answers",
    "open_visits_of",
    "round_of",
    "unanswered",
    "visit_for",
    "visit_under_way",
    "visits_ahead_of",
    "visits_for",
    "visits_of_site",
    "visits_on",
]
