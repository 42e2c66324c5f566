"""Named CHECK constraints: every length, range and choice, on both databases.

SQLite checks neither lengths nor ranges by itself; a name that reads as a sentence says what broke.
"""

from collections.abc import Iterable

from django.db.models import BaseConstraint, CharField, CheckConstraint, F, Q, TextField
from django.db.models.functions import Length

CharField.register_lookup(Length)
TextField.register_lookup(Length)

LINE = 200
NOTE = 5000
DAYS_OF_MONTH = [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
# Every day of a year as month-day, 29 February too.
MONTH_DAYS = [
    f"{month:02}-{day:02}"
    for month, days in enumerate(DAYS_OF_MONTH, start=1)
    for day in range(1, days + 1)
]


def in_range(table: str, field: str, low: float, high: float) -> CheckConstraint:
    """The number lies between the two, both allowed. NaN and the infinities never do."""
    return CheckConstraint(
        condition=Q(**{f"{field}__isnull": True}) | Q(**{f"{field}__range": (low, high)}),
        name=f"{table}_{field}_lies_in_range"[-60:],
    )


def no_longer_than(table: str, **lengths: int) -> list[BaseConstraint]:
    """Each text holds at most so many characters."""
    return [
        CheckConstraint(
            condition=Q(**{f"{field}__length__lte": most}),
            name=f"{table}_{field}_is_short_enough"[-60:],
        )
        for field, most in lengths.items()
    ]


def one_of(table: str, field: str, words: Iterable[str]) -> CheckConstraint:
    """The word is one of those we know."""
    return CheckConstraint(
        condition=Q(**{f"{field}__in": list(words)}), name=f"{table}_{field}_is_a_known_word"[-60:]
    )


def not_before(table: str, later: str, earlier: str) -> CheckConstraint:
    """The later one, where given, does not come before the earlier one."""
    return CheckConstraint(
        condition=Q(**{f"{later}__isnull": True}) | Q(**{f"{later}__gte": F(earlier)}),
        name=f"{table}_{later}_not_before_{earlier}"[-60:],
    )


def day_of_year(table: str, field: str, *, or_empty: bool = False) -> CheckConstraint:
    """The text is a day of every year as month-day, such as 10-15."""
    words = ["", *MONTH_DAYS] if or_empty else MONTH_DAYS
    return CheckConstraint(
        condition=Q(**{f"{field}__in": words}), name=f"{table}_{field}_is_a_day_of_the_year"[-60:]
    )
