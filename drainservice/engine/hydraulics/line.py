"""The discharge line as sections in a row: what it loses, and how much water it holds."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from drainservice.engine.hydraulics.amounts import require_not_negative, require_share
from drainservice.engine.hydraulics.fittings import Fitting, fitting_k
from drainservice.engine.hydraulics.friction import (
    Friction,
    HazenWilliams,
    friction_loss,
    pipe_area,
    pipe_velocity,
    velocity_head,
)

NEW_PVC: Final = HazenWilliams()


@dataclass(frozen=True, slots=True)
class Section:
    """One run of pipe of one bore, with its fittings; K on this section's own velocity.

    `extra_k` is a loss known as a number. `flow_share` is the part of the whole flow it carries:
    0.5 for the riser of each of two equal pumps.
    """

    length_m: float
    inside_diameter_m: float
    friction: Friction = NEW_PVC
    fittings: tuple[Fitting, ...] = ()
    extra_k: float = 0.0
    flow_share: float = 1.0


@dataclass(frozen=True, slots=True)
class SectionLoss:
    """What one section costs at one flow."""

    velocity_ms: float
    friction_m: float
    fittings_m: float

    @property
    def total_m(self) -> float:
        """Friction and fittings together."""
        return self.friction_m + self.fittings_m


def section_k(section: Section) -> float:
    """All fittings of the section as one K. Raises ImpossibleAmount."""
    require_not_negative("extra K", section.extra_k)
    return section.extra_k + sum(
        fitting_k(fitting, section.inside_diameter_m) for fitting in section.fittings
    )


def lose_in_section(section: Section, flow_m3s: float) -> SectionLoss:
    """Head lost at that flow of the whole line: h = h_f + K v^2/2g, m. Raises ImpossibleAmount."""
    require_share("share of the flow", section.flow_share)
    carried_m3s = flow_m3s * section.flow_share
    velocity_ms = pipe_velocity(carried_m3s, section.inside_diameter_m)
    return SectionLoss(
        velocity_ms=velocity_ms,
        friction_m=friction_loss(
            carried_m3s, section.length_m, section.inside_diameter_m, section.friction
        ),
        fittings_m=section_k(section) * velocity_head(velocity_ms),
    )


def line_loss(sections: Sequence[Section], flow_m3s: float) -> float:
    """Head lost in all sections in a row, m. Raises ImpossibleAmount."""
    return sum(lose_in_section(section, flow_m3s).total_m for section in sections)


def loss_factor(sections: Sequence[Section], at_flow_m3s: float) -> float:
    """K of h = K Q^2, s2/m5, frozen at one flow.

    Friction factors fall as flow grows, so a frozen K reads too high beyond that flow; use it
    only to compare with sources that freeze it. Raises ImpossibleAmount.
    """
    if at_flow_m3s <= 0:
        require_not_negative("flow", at_flow_m3s)
        return 0.0
    return line_loss(sections, at_flow_m3s) / at_flow_m3s**2


def water_held(sections: Sequence[Section]) -> float:
    """Water that fills the sections, m3: sum of L pi d^2/4. Raises ImpossibleAmount.

    For a back-flow test give only what can run back: from the valve to the first high point.
    """
    for section in sections:
        require_not_negative("length of pipe", section.length_m)
    return sum(section.length_m * pipe_area(section.inside_diameter_m) for section in sections)
