"""The discharge line: sections, fittings, lift and where it ends; mains that are shared."""

from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint

from drainservice.accounts.models import Kept
from drainservice.bounds import LINE, in_range, no_longer_than, one_of
from drainservice.register.models.asbuilt import (
    how,
    known_number,
    known_word,
    known_yes_no,
    metres,
    word,
    yes_no,
)
from drainservice.register.models.equipment import EquipmentType
from drainservice.register.models.site import Site
from drainservice.register.models.system import System


class LineEnd(models.TextChoices):
    """Where the water leaves."""

    DAYLIGHT = "daylight", "daylight"
    POP_UP = "pop_up", "a pop-up"
    SHARED_MAIN = "shared_main", "a shared main"
    OTHER = "other", "somewhere else"


class Joint(models.TextChoices):
    """How it joins a main."""

    WYE = "wye", "wye"
    TEE = "tee", "tee"


class Material(models.TextChoices):
    """What the pipe is made of."""

    PVC = "pvc", "PVC"
    ABS = "abs", "ABS"
    POLYETHYLENE = "polyethylene", "polyethylene"
    CORRUGATED = "corrugated", "corrugated"
    OTHER = "other", "other"


class FittingKind(models.TextChoices):
    """Fittings with a loss."""

    ELBOW_90 = "elbow_90", "90 degree elbow"
    ELBOW_45 = "elbow_45", "45 degree elbow"
    TEE_RUN = "tee_run", "tee, straight through"
    TEE_BRANCH = "tee_branch", "tee, through the branch"
    GATE_VALVE = "gate_valve", "gate valve"
    UNION = "union", "union"
    EXIT = "exit", "exit"


class SharedMain(Kept):
    """One main that several lines join, recorded once, perhaps under several yards."""

    name = models.CharField(max_length=LINE)
    sites = models.ManyToManyField(Site, related_name="mains", blank=True)
    end = word(LineEnd)
    end_how = how()
    diameter_m = metres()
    diameter_m_how = how()
    slope = metres()
    slope_how = how()
    length_m = metres()
    length_m_how = how()
    surcharges = yes_no()
    surcharges_how = how()
    # Above the outlet of the joining lines, when it stands full.
    surcharge_head_m = metres()
    surcharge_head_m_how = how()

    class Meta:
        constraints = [
            *no_longer_than("shared_main", name=LINE),
            *known_word("shared_main", end=LineEnd.values),
            *known_yes_no("shared_main", "surcharges"),
            *known_number(
                "shared_main",
                diameter_m=(0.02, 2),
                slope=(0, 1),
                length_m=(0, 5000),
                surcharge_head_m=(0, 10),
            ),
        ]

    def __str__(self) -> str:
        return f"shared main {self.pk}"


class Line(Kept):
    """The discharge line of one system."""

    system = models.OneToOneField(System, models.CASCADE, related_name="line")
    type = models.ForeignKey(EquipmentType, models.PROTECT, related_name="+", null=True, blank=True)
    # From the bottom of the hole to where the water leaves or joins.
    lift_m = metres()
    lift_m_how = how()
    # Along the pipe from the check valve to the line's first high point.
    high_point_m = metres()
    high_point_m_how = how()
    end = word(LineEnd)
    end_how = how()
    end_place = models.CharField(max_length=LINE, blank=True, help_text="where, on whose land")
    main = models.ForeignKey(
        SharedMain, models.PROTECT, related_name="lines", null=True, blank=True
    )
    joint = word(Joint)
    joint_how = how()
    holds_water = yes_no()
    holds_water_how = how()

    class Meta:
        constraints = [
            *no_longer_than("line", end_place=LINE),
            *known_word("line", end=LineEnd.values, joint=Joint.values),
            *known_yes_no("line", "holds_water"),
            *known_number("line", lift_m=(0, 50), high_point_m=(0, 2000)),
            CheckConstraint(
                condition=Q(main__isnull=True) | Q(end=LineEnd.SHARED_MAIN),
                name="a_line_that_joins_a_main_ends_in_it",
            ),
        ]

    def __str__(self) -> str:
        return f"line {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.system.site_id


class Section(Kept):
    """One stretch of a line, in order from the pump."""

    line = models.ForeignKey(Line, models.CASCADE, related_name="sections")
    rank = models.PositiveSmallIntegerField()
    diameter_m = metres()
    diameter_m_how = how()
    length_m = metres()
    length_m_how = how()
    material = word(Material)
    material_how = how()

    class Meta:
        constraints = [
            *known_number("section", diameter_m=(0.01, 1), length_m=(0.01, 2000)),
            *known_word("section", material=Material.values),
            in_range("section", "rank", 1, 99),
            UniqueConstraint(
                fields=["line", "rank"],
                condition=Q(removed_at__isnull=True),
                name="sections_stand_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"section {self.pk}"


class Fitting(Kept):
    """So many fittings of a kind in a section."""

    section = models.ForeignKey(Section, models.CASCADE, related_name="fittings")
    kind = models.CharField(max_length=12, choices=FittingKind)
    count = models.PositiveSmallIntegerField(default=1)

    class Meta:
        constraints = [
            one_of("fitting", "kind", FittingKind.values),
            in_range("fitting", "count", 1, 99),
        ]

    def __str__(self) -> str:
        return f"fitting {self.pk}"
