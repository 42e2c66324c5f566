"""The firm's own catalogue of equipment types."""

from django.db import models
from django.db.models import Q, UniqueConstraint

from drainservice.accounts.models import Kept
from drainservice.bounds import LINE, NOTE, in_range, no_longer_than, not_before, one_of

PARTS = ["pit", "pump", "valve", "line", "access", "backup"]


class EquipmentType(Kept):
    """A type of part: how often it fails, what each test reveals, how it wears, how it is seen."""

    part = models.CharField(max_length=10, choices=[(p, p) for p in PARTS])
    name = models.CharField(max_length=LINE)
    # The engine's class of pump: submersible_vertical, submersible_tethered, budget, pedestal.
    class_word = models.CharField(max_length=30, blank=True)
    # Nominal failures a year by failure mode; empty takes the engine's table.
    rates_per_year = models.JSONField(default=dict, blank=True)
    # What a test reveals, 0 to 1, by test and failure mode; empty takes the engine's table.
    reveals = models.JSONField(default=dict, blank=True)
    wear_life_years = models.FloatField(null=True, blank=True)
    starts_life = models.FloatField(null=True, blank=True)
    shortest_days = models.PositiveIntegerField(default=30)
    longest_days = models.PositiveIntegerField(default=366)
    checklist = models.TextField(blank=True)
    is_digging = models.BooleanField(default=False)

    class Meta:
        constraints = [
            *no_longer_than("equipment_type", name=LINE, class_word=30, checklist=NOTE),
            one_of("equipment_type", "part", PARTS),
            in_range("equipment_type", "wear_life_years", 0.5, 100),
            in_range("equipment_type", "starts_life", 100, 1e9),
            in_range("equipment_type", "shortest_days", 1, 3660),
            in_range("equipment_type", "longest_days", 1, 3660),
            not_before("equipment_type", "longest_days", "shortest_days"),
            UniqueConstraint(
                fields=["part", "name"],
                condition=Q(removed_at__isnull=True),
                name="a_type_of_part_has_a_name_once",
            ),
        ]

    def __str__(self) -> str:
        return f"equipment type {self.pk}"
