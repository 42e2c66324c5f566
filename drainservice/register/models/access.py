"""The access point: the lid, how to find it, how to lift it."""

from django.db import models

from drainservice.accounts.models import Kept
from drainservice.bounds import LINE, no_longer_than
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
from drainservice.register.models.system import System


class Lid(models.TextChoices):
    """What closes the pit."""

    CONCRETE = "concrete", "concrete lid"
    PLASTIC = "plastic", "plastic lid"
    GRATE = "grate", "grate"
    CAST_IRON = "cast_iron", "cast iron lid"
    NONE = "none", "no access"


class Cover(models.TextChoices):
    """What lies on the lid."""

    NOTHING = "nothing", "nothing"
    PAVERS = "pavers", "pavers"
    SOIL = "soil", "soil or lawn"
    DECK = "deck", "a deck"
    OTHER = "other", "something else"


class AccessPoint(Kept):
    """The lid: how to find it, how to lift it, and what covers it."""

    system = models.OneToOneField(System, models.CASCADE, related_name="access_point")
    type = models.ForeignKey(EquipmentType, models.PROTECT, related_name="+", null=True, blank=True)
    kind = word(Lid)
    kind_how = how()
    size_m = metres()
    size_m_how = how()
    weight_kg = metres()
    weight_kg_how = how()
    lifting = models.CharField(max_length=LINE, blank=True, help_text="two people, or which tool")
    is_flush = yes_no()
    is_flush_how = how()
    covered_by = word(Cover)
    covered_by_how = how()
    is_locked = yes_no()
    is_locked_how = how()
    # Two house corners and the distances to the lid.
    corner_a = models.CharField(max_length=LINE, blank=True)
    corner_a_m = metres()
    corner_a_m_how = how()
    corner_b = models.CharField(max_length=LINE, blank=True)
    corner_b_m = metres()
    corner_b_m_how = how()

    class Meta:
        constraints = [
            *no_longer_than("access_point", lifting=LINE, corner_a=LINE, corner_b=LINE),
            *known_word("access_point", kind=Lid.values, covered_by=Cover.values),
            *known_yes_no("access_point", "is_flush", "is_locked"),
            *known_number(
                "access_point",
                size_m=(0.05, 3),
                weight_kg=(0.1, 500),
                corner_a_m=(0, 200),
                corner_b_m=(0, 200),
            ),
        ]

    def __str__(self) -> str:
        return f"access point {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.system.site_id
