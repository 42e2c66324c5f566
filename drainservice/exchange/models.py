"""Sheets that came in, their rows, and what could not be decided without a person."""

from django.conf import settings
from django.db import models
from django.db.models import Q, UniqueConstraint

from drainservice.bounds import LINE, NOTE, no_longer_than, one_of
from drainservice.register.models import System


class Sheet(models.Model):
    """One file, read dry or brought in."""

    name = models.CharField(max_length=LINE)
    file_hash = models.CharField(max_length=64)
    read_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    is_dry = models.BooleanField()
    report = models.JSONField(default=dict)
    # The file itself while it has been read dry only; emptied once it is brought in, or old.
    content = models.BinaryField(null=True, blank=True)

    class Meta:
        constraints = no_longer_than("sheet", name=LINE, file_hash=64)

    def __str__(self) -> str:
        return f"sheet {self.pk}"


class SheetRow(models.Model):
    """One row as it stood, its fingerprint, and the system it made or added to."""

    sheet = models.ForeignKey(Sheet, models.CASCADE, related_name="rows")
    tab = models.CharField(max_length=LINE, blank=True)
    row = models.PositiveIntegerField()
    outcome = models.CharField(max_length=12)
    cells = models.JSONField(default=list)
    # All that was read and judged of the row, as the report tells it.
    facts = models.JSONField(default=dict)
    # Of the facts taken; the same facts twice add nothing.
    fingerprint = models.CharField(max_length=64)
    system = models.ForeignKey(
        System, models.SET_NULL, related_name="sheet_rows", null=True, blank=True
    )

    class Meta:
        constraints = [
            *no_longer_than("sheet_row", tab=LINE, outcome=12, fingerprint=64),
            one_of(
                "sheet_row",
                "outcome",
                ["taken", "refused", "question", "duplicate", "not_data"],
            ),
            UniqueConstraint(
                fields=["fingerprint"],
                condition=Q(system__isnull=False),
                name="the_same_facts_are_brought_in_once",
            ),
        ]

    def __str__(self) -> str:
        return f"sheet row {self.pk}"


class Question(models.Model):
    """A cell or column a person must decide on; nothing is guessed."""

    sheet = models.ForeignKey(Sheet, models.CASCADE, related_name="questions")
    row = models.ForeignKey(
        SheetRow, models.CASCADE, related_name="questions", null=True, blank=True
    )
    column = models.CharField(max_length=LINE, blank=True)
    fact = models.CharField(max_length=60, blank=True)
    value = models.CharField(max_length=NOTE, blank=True)
    reason = models.CharField(max_length=40)
    sentence = models.CharField(max_length=1000)
    is_refusal = models.BooleanField(default=False)
    answer = models.CharField(max_length=NOTE, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )

    class Meta:
        constraints = no_longer_than(
            "question",
            column=LINE,
            fact=60,
            value=NOTE,
            reason=40,
            sentence=1000,
            answer=NOTE,
        )

    def __str__(self) -> str:
        return f"question {self.pk}"
