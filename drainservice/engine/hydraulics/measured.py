"""A number with its standard uncertainty, carried through a formula to first order."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from drainservice.engine.hydraulics.amounts import ImpossibleAmount


@dataclass(frozen=True, slots=True)
class Measured:
    """A value and its standard deviation, both in the same SI unit."""

    value: float
    sd: float = 0.0

    def __post_init__(self) -> None:
        if not math.isfinite(self.value) or not math.isfinite(self.sd) or self.sd < 0:
            raise ImpossibleAmount(
                f"{self.value:g} +- {self.sd:g} is no reading; an uncertainty is zero or more."
            )

    @property
    def relative_sd(self) -> float:
        """sd over value; the value must not be zero."""
        return self.sd / abs(self.value)


@dataclass(frozen=True, slots=True)
class Propagated:
    """A result with its sd, and the part of the sd that each input brings (same unit)."""

    value: float
    sd: float
    sd_by_input: dict[str, float]

    @property
    def measured(self) -> Measured:
        """The result alone, for the next formula."""
        return Measured(self.value, self.sd)

    @property
    def largest_cause(self) -> str:
        """Name of the input that brings most of the uncertainty."""
        return max(self.sd_by_input, key=lambda name: self.sd_by_input[name])


def propagate(
    formula: Callable[[Mapping[str, float]], float], inputs: Mapping[str, Measured]
) -> Propagated:
    """First-order uncertainty of formula(inputs) for independent inputs.

    Equation: u^2 = sum (df/dx_i u_i)^2 with central differences; an input that stands twice in
    the formula is moved in both places at once, so its own correlation is kept.
    Source: JCGM 100:2008 (GUM) 5.1.2.
    """
    centre = {name: measured.value for name, measured in inputs.items()}
    parts = {
        name: abs(_derivative(formula, centre, name)) * measured.sd if measured.sd else 0.0
        for name, measured in inputs.items()
    }
    return Propagated(formula(centre), math.hypot(*parts.values()), parts)


def _derivative(
    formula: Callable[[Mapping[str, float]], float], centre: Mapping[str, float], name: str
) -> float:
    step = 1e-5 * abs(centre[name]) or 1e-8
    above = formula({**centre, name: centre[name] + step})
    below = formula({**centre, name: centre[name] - step})
    return (above - below) / (2 * step)
