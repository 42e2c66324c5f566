"""Reading sheets that came in, what they left open, and the rows to take home."""

from drainservice.exchange.queries.home import refused_csv
from drainservice.exchange.queries.known_sites import known_sites
from drainservice.exchange.queries.sheets import (
    Choice,
    choices_of,
    open_questions,
    question_for,
    report_of,
    sheet_for,
    sheets_for,
)

__all__ = [
    "Choice",
    "choices_of",
    "known_sites",
    "open_questions",
    "question_for",
    "refused_csv",
    "report_of",
    "sheet_for",
    "sheets_for",
]
