"""What rounds are planned from, and what a plan of them is.

Times are whole seconds from local midnight of the plan's day 0; a day has 86,400 s, for nobody
drives at night. Costs are whole sixtieths of a unit, and one unit is one technician-minute: a
second of driving costs 1. Places, shifts and stops are named by their index in `PlanInputs`.
"""

from dataclasses import dataclass, field

DAY_S = 86_400
UNIT = 60


@dataclass(frozen=True, slots=True)
class Place:
    """A point on the ground in degrees, north and east positive."""

    lat: float
    lon: float


@dataclass(frozen=True, slots=True, order=True)
class Window:
    """From when to when a visit may start; both ends are allowed."""

    from_s: int
    to_s: int


@dataclass(frozen=True, slots=True)
class Break:
    """A break that must start between two moments; it has no place and may fall within a drive."""

    earliest_s: int
    latest_s: int
    length_s: int


@dataclass(frozen=True, slots=True)
class Shift:
    """One technician's working day. `leaves_from` is home, or where they stand by now.

    `ends_s` is the paid end; back home at most `overtime_s` later.
    """

    technician: int
    day: int
    starts_s: int
    ends_s: int
    leaves_from: int
    returns_to: int
    overtime_s: int = 0
    pause: Break | None = None
    skills: frozenset[str] = frozenset()
    # How much the van takes along, in the unit of `Stop.load`; None: nothing runs short.
    room: int | None = None

    @property
    def closes_s(self) -> int:
        """The latest return."""
        return self.ends_s + self.overtime_s


@dataclass(frozen=True, slots=True)
class Stop:
    """One visit: where, how long, when it may start, and what it costs to leave it out.

    `windows` are alternatives, one of which the start must keep: one of a visit that is promised,
    several days of one that is not. `must` is never left out. `worth` (units) is the risk of
    leaving out a stop that is not `must`. `only` names the technicians to whom a lock or a promise
    leaves it. `usual` costs others `Tariff.not_usual`; `apart` adds units for single technicians
    (outside their area, disliked; negative where preferred). `fixed_s` locks the start.
    """

    key: int
    place: int
    work_s: int
    windows: tuple[Window, ...]
    must: bool = False
    worth: int = 0
    skills: frozenset[str] = frozenset()
    only: frozenset[int] | None = None
    usual: int | None = None
    apart: tuple[tuple[int, int], ...] = ()
    fixed_s: int | None = None
    # What leaving its present window or technician costs, in units: an offer, or in a repair a
    # promise. None: nobody was told, so moving is free.
    move_units: int | None = None
    # What the visit takes from the van's room: stone, pipe, silt carried away.
    load: int = 0


@dataclass(frozen=True, slots=True)
class Gate:
    """A stop within a round, and which of its windows the round keeps."""

    stop: int
    window: int = 0


@dataclass(frozen=True, slots=True)
class Round:
    """The gates of one shift, in order."""

    shift: int
    gates: tuple[Gate, ...] = ()


@dataclass(frozen=True, slots=True)
class Tariff:
    """What things cost, in units; settings of the firm, all judgement."""

    overtime: int = 2
    not_usual: int = 15
    outside_area: int = 30
    disliked: int = 40
    preferred: int = -20
    move_offer: int = 100
    move_promise: int = 240
    moved_before: int = 60
    # Two rounds of a day whose hours differ by more are evened out if that costs less than so many
    # units; with 0 units never.
    uneven_s: int = 90 * 60
    even_units: int = 10


@dataclass(frozen=True, slots=True)
class PlanInputs:
    """All that a planner may know. `drives[a][b]` are the seconds from place a to place b.

    `present` are the rounds as they stand: one for each shift that has gates.
    """

    drives: tuple[tuple[int, ...], ...]
    shifts: tuple[Shift, ...]
    stops: tuple[Stop, ...]
    present: tuple[Round, ...] = ()
    tariff: Tariff = field(default_factory=Tariff)


@dataclass(frozen=True, slots=True)
class Plan:
    """Rounds, and the stops that are in none of them."""

    rounds: tuple[Round, ...]
    left_out: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Cost:
    """What a plan costs, by part, in sixtieths of a unit."""

    driving: int = 0
    overtime: int = 0
    people: int = 0
    moved: int = 0
    left_out: int = 0

    @property
    def total(self) -> int:
        """All parts together."""
        return self.driving + self.overtime + self.people + self.moved + self.left_out


def people_units(stop: Stop, technician: int, tariff: Tariff) -> int:
    """What it costs that this technician comes, in units."""
    usual = 0 if stop.usual in (None, technician) else tariff.not_usual
    return usual + sum(units for who, units in stop.apart if who == technician)


def may_go(stop: Stop, shift: Shift) -> bool:
    """Whether a lock, a named technician and the skills leave the stop to this shift."""
    is_open = stop.only is None or shift.technician in stop.only
    return is_open and stop.skills <= shift.skills
