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
