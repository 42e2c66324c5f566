"""When we go: visits and answers, the crew and its rounds, plans, and the roads between."""

from drainservice.visits.models.crew import (
    Absence,
    Area,
    Barrier,
    ClosedDay,
    CrewMember,
    HomeBase,
    PlanningTerms,
    Skill,
    Van,
    VanOut,
    WorkingHours,
)
from drainservice.visits.models.plan import Plan, PlanKind, PlanState
from drainservice.visits.models.roads import Drive, DriveTime, RoadService
from drainservice.visits.models.round import LookMinutes, Round
from drainservice.visits.models.visit import (
    BOOKED,
    OPEN,
    Answer,
    AnswerWord,
    Lock,
    State,
    Visit,
    VisitSystem,
)

__all__ = [
    "BOOKED",
    "OPEN",
    "Absence",
    "Answer",
    "AnswerWord",
    "Area",
    "Barrier",
    "ClosedDay",
    "CrewMember",
    "Drive",
    "DriveTime",
    "HomeBase",
    "Lock",
    "LookMinutes",
    "Plan",
    "PlanKind",
    "PlanState",
    "PlanningTerms",
    "RoadService",
    "Round",
    "Skill",
    "State",
    "Van",
    "VanOut",
    "Visit",
    "VisitSystem",
    "WorkingHours",
]
