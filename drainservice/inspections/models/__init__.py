"""What was found, what is wrong, and what is due."""

from drainservice.inspections.models.defect import (
    Defect,
    Down,
    Recommendation,
    SelfCheck,
    SelfCheckAnswer,
)
from drainservice.inspections.models.due import Due, FleetPrior, Reckoning
from drainservice.inspections.models.inspection import (
    Inspection,
    Look,
    LookKind,
    Origin,
    Outcome,
    Reading,
    Result,
    Verdict,
    WhyNot,
)

__all__ = [
    "Defect",
    "Down",
    "Due",
    "FleetPrior",
    "Inspection",
    "Look",
    "LookKind",
    "Origin",
    "Outcome",
    "Reading",
    "Reckoning",
    "Recommendation",
    "Result",
    "SelfCheck",
    "SelfCheckAnswer",
    "Verdict",
    "WhyNot",
]
