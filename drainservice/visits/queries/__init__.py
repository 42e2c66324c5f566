"""Reading visits: as an asker may see them, who can go, and when the crew is free."""

from drainservice.visits.queries.closed import closed_days_between, the_terms, why_closed
from drainservice.visits.queries.crew import (
    CrewDay,
    CrewShift,
    crew_on,
    home_base_of,
    shifts_on,
    why_no_shift,
)
from drainservice.visits.queries.drives import (
    Drives,
    drive_table_for,
    plain_terms,
    road_service_words,
    travel_terms,
)
from drainservice.visits.queries.free import FreeTime, earliest_free, free_times
from drainservice.visits.queries.minutes import (
    VisitTime,
    minutes_in_words,
    minutes_of_visit,
    read_times,
)
from drainservice.visits.queries.road_pairs import roads_to_ask_for
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
    "CrewDay",
    "CrewShift",
    "Drives",
    "FreeTime",
    "VisitTime",
    "Window",
    "answers_to_deal_with",
    "beside_systems",
    "closed_days_between",
    "crew_on",
    "drive_table_for",
    "earliest_free",
    "free_times",
    "home_base_of",
    "is_long_over",
    "last_words",
    "latest_answers",
    "minutes_in_words",
    "minutes_of_visit",
    "open_visits_of",
    "plain_terms",
    "road_service_words",
    "roads_to_ask_for",
    "read_times",
    "round_of",
    "shifts_on",
    "the_terms",
    "travel_terms",
    "unanswered",
    "visit_for",
    "visit_under_way",
    "visits_ahead_of",
    "visits_for",
    "visits_of_site",
    "visits_on",
    "why_closed",
    "why_no_shift",
]
