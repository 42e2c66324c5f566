"""Head lost along a straight pipe, by Hazen-Williams or by Darcy and Colebrook."""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from drainservice.engine.hydraulics.amounts import require_not_negative, require_positive
from drainservice.engine.hydraulics.water import VISCOSITY_M2S
from drainservice.engine.units import CUBIC_FOOT_M3, FOOT_M, GPM_M3S, GRAVITY_MS2, INCH_M

# Hazen-Williams C, from memory: new PVC, and a line some years in the ground.
C_NEW_PVC: Final = 150.0
C_AGED_LINE: Final = 140.0
# Below this Reynolds number the flow is laminar (Crane TP-410, from memory).
LAMINAR_BELOW: Final = 2000.0


class HazenWilliamsForm(StrEnum):
    """Which rounding of the formula: they differ by up to 1.5 %, so it is always named."""

    EPANET = "epanet"  # h = 4.727 L q^1.852 / (C^1.852 d^4.871); ft, ft3/s
    TRADE = "trade"  # h = 0.2083 (100/C)^1.852 q^1.852 / d^4.8655 per 100 ft; gpm, in
    SI = "si"  # h = 10.67 L q^1.852 / (C^1.852 d^4.8704); m, m3/s


@dataclass(frozen=True, slots=True)
class HazenWilliams:
    """Smoothness C of the pipe and the form of the formula in use."""

    c: float = C_NEW_PVC
    form: HazenWilliamsForm = HazenWilliamsForm.EPANET


@dataclass(frozen=True, slots=True)
class DarcyColebrook:
    """Absolute roughness of the wall and kinematic viscosity of the water."""

    roughness_m: float
    viscosity_m2s: float = VISCOSITY_M2S


Friction = HazenWilliams | DarcyColebrook


def pipe_area(inside_diameter_m: float) -> float:
    """Area of the bore, m2: pi d^2 / 4. Raises ImpossibleAmount."""
    require_positive("inside diameter", inside_diameter_m)
    return math.pi * inside_diameter_m**2 / 4


def pipe_velocity(flow_m3s: float, inside_diameter_m: float) -> float:
    """Mean velocity, m/s: v = Q / A. Raises ImpossibleAmount."""
    require_not_negative("flow", flow_m3s)
    return flow_m3s / pipe_area(inside_diameter_m)


def velocity_head(velocity_ms: float) -> float:
    """Velocity head, m: v^2 / 2g."""
    return velocity_ms**2 / (2 * GRAVITY_MS2)


def reynolds_number(
    flow_m3s: float, inside_diameter_m: float, viscosity_m2s: float = VISCOSITY_M2S
) -> float:
    """Reynolds number of a full pipe, dimensionless: v d / nu. Raises ImpossibleAmount."""
    require_positive("viscosity", viscosity_m2s)
    return pipe_velocity(flow_m3s, inside_diameter_m) * inside_diameter_m / viscosity_m2s


def friction_factor(reynolds: float, relative_roughness: float) -> float:
    """Darcy friction factor, dimensionless.

    Equation: 64/Re below Re 2000; above, Colebrook's
    1/sqrt(f) = -2 log10(e/3.7D + 2.51/(Re sqrt(f))), by Newton's method to 1e-14.
    Source: Colebrook (1939); Crane TP-410. Raises ImpossibleAmount.
    """
    require_positive("Reynolds number", reynolds)
    require_not_negative("relative roughness", relative_roughness)
    if reynolds < LAMINAR_BELOW:
        return 64 / reynolds
    rough, smooth = relative_roughness / 3.7, 2.51 / reynolds
    x = 8.0
    for _ in range(50):
        inside = rough + smooth * x
        slope = 1 + 2 * smooth / (inside * math.log(10))
        step = (x + 2 * math.log10(inside)) / slope
        x = max(x - step, 0.5)
        if abs(step) < 1e-14 * x:
            break
    return 1 / x**2


def turbulent_friction_factor(relative_roughness: float) -> float:
    """Darcy factor of fully rough flow: f = 0.25 / log10(3.7 D/e)^2. Raises ImpossibleAmount.

    Source: von Karman's limit of Colebrook's equation.
    """
    require_positive("relative roughness", relative_roughness)
    return 0.25 / math.log10(3.7 / relative_roughness) ** 2


def friction_loss(
    flow_m3s: float, length_m: float, inside_diameter_m: float, friction: Friction
) -> float:
    """Head lost along a full straight pipe, m, by the law that `friction` names.

    Raises ImpossibleAmount.
    """
    if isinstance(friction, DarcyColebrook):
        return darcy_loss(flow_m3s, length_m, inside_diameter_m, friction)
    return hazen_williams_loss(flow_m3s, length_m, inside_diameter_m, friction)


def darcy_loss(
    flow_m3s: float, length_m: float, inside_diameter_m: float, friction: DarcyColebrook
) -> float:
    """Darcy-Weisbach head loss, m: h = f (L/D) v^2/2g, f evaluated anew at this flow.

    Source: hydraulics handbooks. Raises ImpossibleAmount.
    """
    require_not_negative("length of pipe", length_m)
    require_not_negative("roughness", friction.roughness_m)
    reynolds = reynolds_number(flow_m3s, inside_diameter_m, friction.viscosity_m2s)
    if reynolds == 0:
        return 0.0
    factor = friction_factor(reynolds, friction.roughness_m / inside_diameter_m)
    speed_head_m = velocity_head(pipe_velocity(flow_m3s, inside_diameter_m))
    return factor * length_m / inside_diameter_m * speed_head_m


def hazen_williams_loss(
    flow_m3s: float, length_m: float, inside_diameter_m: float, friction: HazenWilliams
) -> float:
    """Hazen-Williams head loss, m, in the rounding that `friction.form` names.

    Source: EPANET 2.2 manual (4.727 form); trade handbooks (0.2083 form). Raises ImpossibleAmount.
    """
    require_not_negative("flow", flow_m3s)
    require_not_negative("length of pipe", length_m)
    require_positive("inside diameter", inside_diameter_m)
    require_positive("Hazen-Williams C", friction.c)
    if friction.form == HazenWilliamsForm.SI:
        drag = math.pow(flow_m3s / friction.c, 1.852)
        return 10.67 * length_m * drag / math.pow(inside_diameter_m, 4.8704)
    if friction.form == HazenWilliamsForm.TRADE:
        drag = math.pow(100 / friction.c * flow_m3s / GPM_M3S, 1.852)
        return length_m / 100 * 0.2083 * drag / math.pow(inside_diameter_m / INCH_M, 4.8655)
    drag = math.pow(flow_m3s / CUBIC_FOOT_M3 / friction.c, 1.852)
    return 4.727 * length_m * drag / math.pow(inside_diameter_m / FOOT_M, 4.871)
