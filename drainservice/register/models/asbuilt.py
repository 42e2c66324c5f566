"""How each as-built value is known: a value and a word, unknown exactly when the value is empty."""

from typing import Any

from django.db import models
from django.db.models import CheckConstraint, Q

from drainservice.bounds import in_range, one_of


class How(models.TextChoices):
    """How a value is known."""

    MEASURED = "measured", "measured"
    DRAWN = "drawn", "from the drawing"
    TOLD = "told", "told"
    ASSUMED = "assumed", "assumed"
    UNKNOWN = "unknown", "not known"


def how() -> "models.CharField[str, str]":
    """The word beside an as-built value."""
    return models.CharField(max_length=10, choices=How, default=How.UNKNOWN)


def metres() -> "models.FloatField[float | None, float | None]":
    """A number in SI (the unit stands in the field's name), empty when not known."""
    return models.FloatField(null=True, blank=True)


def word(choices: Any) -> "models.CharField[str, str]":
    """One of a few words, empty when not known."""
    return models.CharField(max_length=20, choices=choices, blank=True, default="")


def yes_no() -> "models.BooleanField[bool | None, bool | None]":
    """Yes, no, or empty when not known."""
    return models.BooleanField(null=True, blank=True)


def known_number(table: str, **ranges: tuple[float, float]) -> list[CheckConstraint]:
    """Range of the value, and its word: unknown exactly when the value is empty."""
    rules = []
    for field, (low, high) in ranges.items():
        rules += [in_range(table, field, low, high), *_how_rules(table, field, field_is_null=True)]
    return rules


def known_yes_no(table: str, *fields: str) -> list[CheckConstraint]:
    """The same for a yes or no."""
    return [rule for f in fields for rule in _how_rules(table, f, field_is_null=True)]


def known_word(table: str, **choices: list[str]) -> list[CheckConstraint]:
    """The same for one of a few words."""
    rules = []
    for field, words in choices.items():
        rules += [
            one_of(table, field, ["", *words]),
            *_how_rules(table, field, field_is_null=False),
        ]
    return rules


def _how_rules(table: str, field: str, *, field_is_null: bool) -> list[CheckConstraint]:
    is_empty = Q(**{f"{field}__isnull": True}) if field_is_null else Q(**{field: ""})
    unknown = Q(**{f"{field}_how": How.UNKNOWN})
    return [
        CheckConstraint(
            condition=(is_empty & unknown) | (~is_empty & ~unknown),
            name=f"{table}_{field}_unknown_when_empty"[-60:],
        ),
        one_of(table, f"{field}_how", How.values),
    ]
