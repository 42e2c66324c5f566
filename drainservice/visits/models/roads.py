"""What is known of the roads: driving times that were fetched, and drives that were driven."""

from django.conf import settings
from django.db import models
from django.db.models import UniqueConstraint

from drainservice.bounds import LINE, in_range, no_longer_than


class DriveTime(models.Model):
    """The road from one point to another, as the road service told it. The way back is its own
    row. Coordinates in hundred-thousandths of a degree."""

    from_lat_e5 = models.IntegerField()
    from_lon_e5 = models.IntegerField()
    to_lat_e5 = models.IntegerField()
    to_lon_e5 = models.IntegerField()
    # Empty: there is no road between the two.
    road_s = models.PositiveIntegerField(null=True)
    road_m = models.PositiveIntegerField(null=True)
    fetched_on = models.DateField()

    class Meta:
        constraints = [
            UniqueConstraint(
                fields=["from_lat_e5", "from_lon_e5", "to_lat_e5", "to_lon_e5"],
                name="a_way_is_kept_once",
            ),
            in_range("drive_time", "road_s", 0, 86_400),
            in_range("drive_time", "road_m", 0, 4_000_000),
            in_range("drive_time", "from_lat_e5", -9_000_000, 9_000_000),
            in_range("drive_time", "to_lat_e5", -9_000_000, 9_000_000),
            in_range("drive_time", "from_lon_e5", -18_000_000, 18_000_000),
            in_range("drive_time", "to_lon_e5", -18_000_000, 18_000_000),
        ]

    def __str__(self) -> str:
        return f"drive time {self.pk}"


class Drive(models.Model):
    """A drive of ours from one visit to the next, as the stamps of leaving and arriving tell it."""

    technician = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="drives")
    from_visit = models.ForeignKey("visits.Visit", models.CASCADE, related_name="+")
    to_visit = models.OneToOneField("visits.Visit", models.CASCADE, related_name="drive_to")
    began_at = models.DateTimeField()
    crow_m = models.PositiveIntegerField()
    model_s = models.PositiveIntegerField()
    actual_s = models.PositiveIntegerField()

    class Meta:
        constraints = [
            in_range("drive", "crow_m", 0, 4_000_000),
            in_range("drive", "model_s", 1, 86_400),
            in_range("drive", "actual_s", 1, 86_400),
        ]

    def __str__(self) -> str:
        return f"drive {self.pk}"


class RoadService(models.Model):
    """How the road service has been answering: after failures it is left alone for a while."""

    failures = models.PositiveSmallIntegerField(default=0)
    first_failed_at = models.DateTimeField(null=True)
    shut_until = models.DateTimeField(null=True)
    last_words = models.CharField(max_length=LINE, blank=True)

    class Meta:
        constraints = no_longer_than("road_service", last_words=LINE)

    def __str__(self) -> str:
        return "road service"
