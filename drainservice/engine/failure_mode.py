"""The ways a pump train can lose its function, one word for as-built rules and failure rates."""

from enum import StrEnum


class FailureMode(StrEnum):
    """A function lost; each has its own rate and its own chance of being seen by a test."""

    POWER = "power"
    FLOAT = "float"
    PUMP = "pump"
    VALVE = "valve"
    AIR_LOCK = "air_lock"
    DISCHARGE = "discharge"
