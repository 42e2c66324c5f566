"""The pit: hole, stone, fabric, insert, and what was measured of it."""

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


class Shape(models.TextChoices):
    """Plan of the hole."""

    BOX = "box", "square or oblong"
    ROUND = "round", "round"


class Stone(models.TextChoices):
    """The fill."""

    LARGE_CLEAN = "large_clean", "large clean stone"
    SMALL = "small", "small stone"
    GRADED = "graded", "graded stone with fines"


class Fabric(models.TextChoices):
    """What lines the hole."""

    NON_WOVEN = "non_woven", "non-woven geotextile"
    LANDSCAPE = "landscape", "landscaping fabric"
    WOVEN = "woven", "woven geotextile"
    NONE = "none", "none"


class Base(models.TextChoices):
    """What the pump stands on."""

    FLAT_SOLID = "flat_solid", "a flat solid base"
    LOOSE_STONE = "loose_stone", "loose stone"
    TUB = "tub", "a solid tub under the insert"


class Pit(Kept):
    """One pit. Depths are below finished grade, levels above the bottom of the hole."""

    system = models.OneToOneField(System, models.CASCADE, related_name="pit")
    type = models.ForeignKey(EquipmentType, models.PROTECT, related_name="+", null=True, blank=True)
    shape = word(Shape)
    shape_how = how()
    length_m = metres()
    length_m_how = how()
    width_m = metres()
    width_m_how = how()
    depth_m = metres()
    depth_m_how = how()
    insert_diameter_m = metres()
    insert_diameter_m_how = how()
    insert_height_m = metres()
    insert_height_m_how = how()
    insert_is_supported = yes_no()
    insert_is_supported_how = how()
    stone = word(Stone)
    stone_how = how()
    stone_size_m = metres()
    stone_size_m_how = how()
    stone_depth_m = metres()
    stone_depth_m_how = how()
    void_ratio = metres()
    void_ratio_how = how()
    fabric = word(Fabric)
    fabric_how = how()
    top_layer = models.CharField(max_length=LINE, blank=True)
    plan_area_m2 = metres()
    plan_area_m2_how = how()
    water_to_start_m3 = metres()
    water_to_start_m3_how = how()
    # Depth of the sump below the lowest inlet.
    sump_depth_m = metres()
    sump_depth_m_how = how()
    soil = models.CharField(max_length=LINE, blank=True)
    design_rate_ms = metres()
    design_rate_ms_how = how()

    class Meta:
        constraints = [
            *no_longer_than("pit", top_layer=LINE, soil=LINE),
            *known_word("pit", shape=Shape.values, stone=Stone.values, fabric=Fabric.values),
            *known_yes_no("pit", "insert_is_supported"),
            *known_number(
                "pit",
                length_m=(0.2, 20),
                width_m=(0.2, 20),
                depth_m=(0.2, 6),
                insert_diameter_m=(0.1, 3),
                insert_height_m=(0.1, 6),
                stone_size_m=(0.001, 0.3),
                stone_depth_m=(0, 6),
                void_ratio=(0.05, 1),
                plan_area_m2=(0.02, 200),
                water_to_start_m3=(0.001, 50),
                sump_depth_m=(0, 3),
                design_rate_ms=(1e-9, 1e-2),
            ),
        ]

    def __str__(self) -> str:
        return f"pit {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.system.site_id
