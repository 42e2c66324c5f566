"""One system in the ground, and what it protects."""

from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint

from drainservice.accounts.models import Kept
from drainservice.bounds import LINE, NOTE, no_longer_than, one_of
from drainservice.register.models.asbuilt import how, known_number, metres
from drainservice.register.models.site import Agreement, Site

# Where a sheet names no place: said on pages, left out of letters.
NO_PLACE = "place not told"


class Consequence(models.TextChoices):
    """The worst a dead pump would do there."""

    YARD = "yard", "yard only"
    NEAR_STRUCTURE = "near_structure", "near a structure or patio"
    LIVING_SPACE = "living_space", "living space below grade"
    FLOODED_BEFORE = "flooded_before", "has flooded before"


class Status(models.TextChoices):
    """Whether the system is looked after."""

    IN_USE = "in_use", "in use"
    OUT_OF_USE = "out_of_use", "out of use"
    DUG_OUT = "dug_out", "dug out"


class Span(models.TextChoices):
    """How wide a vague date is."""

    DAY = "day", "day"
    MONTH = "month", "month"
    SEASON = "season", "season"
    YEAR = "year", "year"


class Origin(models.TextChoices):
    """Who built it: ours are handed over, others' are adopted."""

    OURS = "ours", "built by us"
    ADOPTED = "adopted", "built by others"


class System(Kept):
    """One pit with what belongs to it; a site may have several."""

    site = models.ForeignKey(Site, models.PROTECT, related_name="systems")
    agreement = models.ForeignKey(
        Agreement, models.PROTECT, related_name="systems", null=True, blank=True
    )
    lid_code = models.CharField(max_length=6, unique=True)
    place = models.CharField(max_length=LINE, help_text="such as: by the driveway")
    installed_on = models.DateField(null=True, blank=True)
    installed_span = models.CharField(max_length=10, choices=Span, blank=True)
    installed_by = models.CharField(max_length=LINE, blank=True)
    origin = models.CharField(max_length=10, choices=Origin, default=Origin.OURS)
    entered_on = models.DateField()
    # Empty: nobody has said, and the firm's middle target is used, named as assumed.
    consequence = models.CharField(max_length=20, choices=Consequence, blank=True)
    harm_rain_m = metres()
    harm_rain_m_how = how()
    overflow_path = models.CharField(max_length=LINE, blank=True)
    status = models.CharField(max_length=12, choices=Status, default=Status.IN_USE)
    status_since = models.DateField()
    note = models.TextField(blank=True)

    class Meta:
        constraints = [
            *no_longer_than(
                "system",
                lid_code=6,
                place=LINE,
                installed_by=LINE,
                overflow_path=LINE,
                note=NOTE,
            ),
            *known_number("system", harm_rain_m=(0.001, 2)),
            one_of("system", "consequence", ["", *Consequence.values]),
            one_of("system", "status", Status.values),
            one_of("system", "origin", Origin.values),
            one_of("system", "installed_span", ["", *Span.values]),
            CheckConstraint(
                condition=Q(installed_on__isnull=True, installed_span="")
                | (Q(installed_on__isnull=False) & ~Q(installed_span="")),
                name="a_day_of_installation_says_how_precise_it_is",
            ),
        ]
        indexes = [models.Index(fields=["status", "id"], name="system_by_status")]

    def __str__(self) -> str:
        return f"system {self.pk}"

    @property
    def code(self) -> str:
        """The lid code as it is shown: K7Q-4MD."""
        return f"{self.lid_code[:3]}-{self.lid_code[3:]}"


class Downspout(Kept):
    """A downspout, the roof it drains, and where it enters the pit."""

    system = models.ForeignKey(System, models.CASCADE, related_name="downspouts")
    name = models.CharField(max_length=LINE)
    roof_area_m2 = metres()
    roof_area_m2_how = how()
    inlet_diameter_m = metres()
    inlet_diameter_m_how = how()
    # Below grade.
    invert_depth_m = metres()
    invert_depth_m_how = how()
    has_leaf_trap = models.BooleanField(null=True, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("downspout", name=LINE),
            *known_number(
                "downspout",
                roof_area_m2=(0.5, 5000),
                inlet_diameter_m=(0.02, 1),
                invert_depth_m=(0, 6),
            ),
            UniqueConstraint(
                fields=["system", "name"],
                condition=Q(removed_at__isnull=True),
                name="a_downspout_has_a_name_once",
            ),
        ]

    def __str__(self) -> str:
        return f"downspout {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.system.site_id
