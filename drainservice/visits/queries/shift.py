"""A technician's day: the shift, or why there is none."""

from dataclasses import dataclass
from datetime import date, datetime

from drainservice.accounts.models import Account
from drainservice.visits.models import HomeBase
from drainservice.visits.queries.hours import Pause

# Corners as (latitude, longitude) in degrees.
Polygon = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class CrewShift:
    """One technician's working day. `pause` is (earliest_at, latest_at, minutes) or None; back
    home at most `overtime_minutes` after `ends_at`; `is_assumed` where nobody has entered hours."""

    technician: Account
    day: date
    starts_at: datetime
    ends_at: datetime
    overtime_minutes: int
    pause: Pause | None
    skills: frozenset[str]
    base: HomeBase | None
    areas: tuple[Polygon, ...]
    is_assumed: bool = False


@dataclass(frozen=True, slots=True)
class CrewDay:
    """A technician and a day: the shift, if there is one, and the sentence that says why there is
    none, or why it is shorter than their hours. An absence's reason is for the office alone."""

    technician: Account
    day: date
    shift: CrewShift | None
    why: str
    # Closed, or a weekday without hours: nobody is missed.
    is_off: bool = False
    # What keeps them away, by itself: "fever", "The blue van is out: the clutch".
    because: str = ""
