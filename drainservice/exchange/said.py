"""A fact's value as a person of the firm reads it: 4 ft, 1/2 hp as 0.5 hp, yes or no, a list."""

from typing import Any

from drainservice.engine.units import UnitSystem, show
from drainservice.exchange.columns import BY_NAME

_QUANTITIES = {
    "time": "hours",
    "power": "power",
    "flow": "flow",
    "area": "area",
    "volume": "volume",
    "current": "current",
}
# Below so much a length is read in inches or millimetres; judgement.
SMALL_M = 0.3


def say_value(name: str, value: Any, units: str) -> str:
    """The value of a fact in the firm's units."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(str(each) for each in value)
    fact = BY_NAME.get(name)
    if isinstance(value, int | float) and fact is not None and fact.dimension:
        return _say_quantity(float(value), fact.dimension, UnitSystem(units))
    return str(value).replace("_", " ")


def _say_quantity(value: float, dimension: str, units: UnitSystem) -> str:
    if dimension == "length":
        return show(value, "small_length" if 0 < abs(value) < SMALL_M else "length", units)
    if dimension in _QUANTITIES:
        return show(value, _QUANTITIES[dimension], units)
    return f"{value:.4g}{' V' if dimension == 'voltage' else ''}"
