"""Pumps, their check valves and back-ups: dated, never overwritten."""

from django.db import models
from django.db.models import CheckConstraint, F, Q, UniqueConstraint

from drainservice.accounts.models import Kept
from drainservice.bounds import LINE, NOTE, in_range, no_longer_than, not_before, one_of
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
from drainservice.register.models.pit import Base
from drainservice.register.models.system import Span, System


class Float(models.TextChoices):
    """What switches the pump."""

    VERTICAL = "vertical", "vertical float"
    TETHERED = "tethered", "tethered float"
    ELECTRONIC = "electronic", "electronic switch"
    MANUAL = "manual", "by hand"


class SuppliedBy(models.TextChoices):
    """Who bought the pump."""

    FIRM = "firm", "us"
    CUSTOMER = "customer", "the household"
    OTHER = "other", "someone else"


class Pump(Kept):
    """One pump in its position, from the day it went in to the day it came out.

    Levels are above the bottom of the hole. A pump changed by others is dated between two looks.
    """

    PRIVATE = ("serial",)

    system = models.ForeignKey(System, models.PROTECT, related_name="pumps")
    type = models.ForeignKey(
        EquipmentType, models.PROTECT, related_name="pumps", null=True, blank=True
    )
    position = models.PositiveSmallIntegerField(default=1)
    from_on = models.DateField(null=True, blank=True)
    from_span = models.CharField(max_length=10, choices=Span, blank=True)
    until_on = models.DateField(null=True, blank=True)
    until_because = models.CharField(max_length=LINE, blank=True)
    power_w = metres()
    power_w_how = how()
    float_type = word(Float)
    float_type_how = how()
    on_level_m = metres()
    on_level_m_how = how()
    off_level_m = metres()
    off_level_m_how = how()
    alarm_level_m = metres()
    alarm_level_m_how = how()
    intake_level_m = metres()
    intake_level_m_how = how()
    base = word(Base)
    base_how = how()
    serial = models.CharField(max_length=80, blank=True)
    supplied_by = word(SuppliedBy)
    supplied_by_how = how()
    feed = models.CharField(max_length=LINE, blank=True, help_text="where the wire goes")
    has_gfci = yes_no()
    has_gfci_how = how()
    has_alarm = yes_no()
    has_alarm_how = how()
    warranty_giver = models.CharField(max_length=LINE, blank=True)
    warranty_until = models.DateField(null=True, blank=True)
    warranty_claim = models.CharField(max_length=LINE, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        constraints = [
            *no_longer_than(
                "pump",
                until_because=LINE,
                serial=80,
                feed=LINE,
                warranty_giver=LINE,
                warranty_claim=LINE,
                note=NOTE,
            ),
            *known_word(
                "pump",
                float_type=Float.values,
                base=Base.values,
                supplied_by=SuppliedBy.values,
            ),
            *known_yes_no("pump", "has_gfci", "has_alarm"),
            *known_number(
                "pump",
                power_w=(10, 20000),
                on_level_m=(0, 6),
                off_level_m=(0, 6),
                alarm_level_m=(0, 6),
                intake_level_m=(0, 6),
            ),
            in_range("pump", "position", 1, 9),
            one_of("pump", "from_span", ["", *Span.values]),
            not_before("pump", "until_on", "from_on"),
            CheckConstraint(
                condition=Q(off_level_m__isnull=True)
                | Q(on_level_m__isnull=True)
                | Q(off_level_m__lt=F("on_level_m")),
                name="a_pump_stops_below_the_level_it_starts_at",
            ),
            CheckConstraint(
                condition=Q(on_level_m__isnull=True)
                | Q(alarm_level_m__isnull=True)
                | Q(on_level_m__lt=F("alarm_level_m")),
                name="the_alarm_stands_above_the_level_the_pump_starts_at",
            ),
            UniqueConstraint(
                fields=["system", "position"],
                condition=Q(until_on__isnull=True, removed_at__isnull=True),
                name="one_pump_at_a_position_at_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"pump {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.system.site_id


class CurvePoint(Kept):
    """One point of a pump's curve as told by its maker or measured."""

    pump = models.ForeignKey(Pump, models.CASCADE, related_name="curve_points")
    flow_m3s = models.FloatField()
    head_m = models.FloatField()

    class Meta:
        constraints = [
            in_range("curve_point", "flow_m3s", 0, 0.2),
            in_range("curve_point", "head_m", 0, 100),
            UniqueConstraint(
                fields=["pump", "flow_m3s"],
                condition=Q(removed_at__isnull=True),
                name="a_curve_has_one_head_at_a_flow",
            ),
        ]

    def __str__(self) -> str:
        return f"curve point {self.pk}"


class Attitude(models.TextChoices):
    """How the check valve lies."""

    UPRIGHT = "upright", "upright"
    ON_ITS_SIDE = "on_its_side", "on its side"
    UPSIDE_DOWN = "upside_down", "upside down"


class Arrow(models.TextChoices):
    """Which way its arrow points."""

    WITH_FLOW = "with_flow", "with the flow"
    AGAINST_FLOW = "against_flow", "against the flow"


class ValvePlace(models.TextChoices):
    """Where it sits."""

    IN_PIT = "in_pit", "in the pit"
    BURIED = "buried", "buried in the line"


class ValveKind(models.TextChoices):
    """How it closes."""

    SWING = "swing", "swing check"
    LIFT = "lift", "lift check"
    SPRING = "spring", "spring check"


class CheckValve(Kept):
    """The check valve over one pump, or the knowledge that there is none; with the weep hole."""

    pump = models.ForeignKey(Pump, models.PROTECT, related_name="check_valves")
    type = models.ForeignKey(EquipmentType, models.PROTECT, related_name="+", null=True, blank=True)
    from_on = models.DateField(null=True, blank=True)
    until_on = models.DateField(null=True, blank=True)
    is_present = yes_no()
    is_present_how = how()
    kind = word(ValveKind)
    kind_how = how()
    size_m = metres()
    size_m_how = how()
    place = word(ValvePlace)
    place_how = how()
    attitude = word(Attitude)
    attitude_how = how()
    arrow = word(Arrow)
    arrow_how = how()
    height_m = metres()
    height_m_how = how()
    has_weep_hole = yes_no()
    has_weep_hole_how = how()
    weep_hole_m = metres()
    weep_hole_m_how = how()

    class Meta:
        constraints = [
            *known_yes_no("check_valve", "is_present", "has_weep_hole"),
            *known_word(
                "check_valve",
                kind=ValveKind.values,
                place=ValvePlace.values,
                attitude=Attitude.values,
                arrow=Arrow.values,
            ),
            *known_number(
                "check_valve", size_m=(0.01, 0.3), height_m=(0, 6), weep_hole_m=(0.0005, 0.05)
            ),
            not_before("check_valve", "until_on", "from_on"),
            UniqueConstraint(
                fields=["pump"],
                condition=Q(until_on__isnull=True, removed_at__isnull=True),
                name="one_check_valve_over_a_pump_at_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"check valve {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.pump.system.site_id


class BackupKind(models.TextChoices):
    """What runs the pump when the power is out."""

    BATTERY = "battery", "battery"
    GENERATOR = "generator", "generator"
    NONE = "none", "none"


class Backup(Kept):
    """A battery or generator, or the knowledge that there is none."""

    system = models.ForeignKey(System, models.PROTECT, related_name="backups")
    type = models.ForeignKey(EquipmentType, models.PROTECT, related_name="+", null=True, blank=True)
    position = models.PositiveSmallIntegerField(default=1)
    kind = word(BackupKind)
    kind_how = how()
    from_on = models.DateField(null=True, blank=True)
    until_on = models.DateField(null=True, blank=True)
    battery_class = models.CharField(max_length=LINE, blank=True)
    capacity_wh = metres()
    capacity_wh_how = how()
    hours = metres()
    hours_how = how()
    load_tested_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("backup", battery_class=LINE),
            *known_word("backup", kind=BackupKind.values),
            *known_number("backup", capacity_wh=(1, 100000), hours=(0, 1000)),
            in_range("backup", "position", 1, 9),
            not_before("backup", "until_on", "from_on"),
            UniqueConstraint(
                fields=["system", "position"],
                condition=Q(until_on__isnull=True, removed_at__isnull=True),
                name="one_backup_at_a_position_at_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"backup {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.system.site_id
