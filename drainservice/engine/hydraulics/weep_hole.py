"""What the weep hole gives back to the pit: never to be booked as wear of the pump."""

import math
from typing import Final

from drainservice.engine.hydraulics.amounts import require_not_negative, require_share
from drainservice.engine.units import GRAVITY_MS2

# A sharp-edged hole; HEC-22, ISO 5167 theory.
SHARP_EDGE_CD: Final = 0.61


def weep_loss(hole_diameter_m: float, head_m: float, cd: float = SHARP_EDGE_CD) -> float:
    """Flow through the hole, m3/s: Q = Cd (pi d^2/4) sqrt(2 g h), h the head inside the riser.

    Zero for no hole. Raises ImpossibleAmount.
    """
    require_not_negative("weep hole", hole_diameter_m)
    require_not_negative("head at the weep hole", head_m)
    require_share("discharge coefficient", cd)
    return cd * math.pi * hole_diameter_m**2 / 4 * math.sqrt(2 * GRAVITY_MS2 * head_m)


def delivered_flow(
    pump_flow_m3s: float, hole_diameter_m: float, head_m: float, cd: float = SHARP_EDGE_CD
) -> float:
    """What leaves the pit of what the pump's wheel moves, m3/s: Q_pump - Q_weep.

    The hole sprays back into the pit, so the fall of the level shows this flow, not Q_pump.
    Raises ImpossibleAmount.
    """
    require_not_negative("flow of the pump", pump_flow_m3s)
    return max(pump_flow_m3s - weep_loss(hole_diameter_m, head_m, cd), 0.0)
