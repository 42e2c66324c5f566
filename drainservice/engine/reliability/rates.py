"""Nominal failure rates of a small pump train and what each kind of test shows of them."""

from enum import StrEnum


class PumpClass(StrEnum):
    """The quality of the pump."""

    GOOD_SUBMERSIBLE = "good_submersible"
    BUDGET = "budget"
    CUSTOMER_SUPPLIED = "customer_supplied"
    PEDESTAL = "pedestal"
    UNKNOWN = "unknown"


class FloatKind(StrEnum):
    """How the pump is switched."""

    VERTICAL = "vertical"
    TETHERED = "tethered"
    UNKNOWN = "unknown"
