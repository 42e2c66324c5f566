"""The firm: one row that holds its settings."""

from django.db import models
from django.db.models import CheckConstraint, Q

from drainservice.accounts.models.kept import Kept
from drainservice.bounds import LINE, in_range, no_longer_than, one_of


class Units(models.TextChoices):
    """How the firm reads its numbers."""

    TRADE = "trade", "feet, inches, gallons"
    METRIC = "metric", "metres, litres"


class Firm(Kept):
    """The firm that looks after the systems. There is one."""

    name = models.CharField(max_length=LINE)
    address = models.CharField(max_length=LINE, blank=True)
    telephone = models.CharField(max_length=40, blank=True)
    zone = models.CharField(max_length=64, default="America/Los_Angeles")
    units = models.CharField(max_length=10, choices=Units, default=Units.TRADE)
    quiet_from = models.TimeField(default="20:00")
    quiet_until = models.TimeField(default="08:00")
    answer_wanted_days = models.PositiveSmallIntegerField(default=7)
    get_ready_days = models.PositiveSmallIntegerField(default=2)
    bucket_test_days = models.PositiveSmallIntegerField(default=91)
    asks_a_year = models.PositiveSmallIntegerField(default=6)
    # Of 100 pumps opened in spring, how many do not pump? Empty: our judgement stands.
    dead_of_100 = models.FloatField(null=True, blank=True)
    target_yard = models.FloatField(default=0.20)
    target_near_structure = models.FloatField(default=0.10)
    target_living_space = models.FloatField(default=0.05)
    season_rule = models.CharField(
        max_length=10, choices=[("chance", "by chance"), ("gap", "by gap")], default="chance"
    )
    is_demo = models.BooleanField(default=False)

    class Meta:
        constraints = [
            CheckConstraint(condition=Q(id=1), name="there_is_one_firm"),
            *no_longer_than("firm", name=LINE, address=LINE, telephone=40, zone=64),
            one_of("firm", "units", Units.values),
            one_of("firm", "season_rule", ["chance", "gap"]),
            in_range("firm", "dead_of_100", 0.1, 90),
            in_range("firm", "target_yard", 0.001, 0.9),
            in_range("firm", "target_near_structure", 0.001, 0.9),
            in_range("firm", "target_living_space", 0.001, 0.9),
            in_range("firm", "answer_wanted_days", 1, 60),
            in_range("firm", "get_ready_days", 1, 30),
            in_range("firm", "bucket_test_days", 28, 400),
            in_range("firm", "asks_a_year", 0, 50),
        ]

    def __str__(self) -> str:
        return f"firm {self.name}"
