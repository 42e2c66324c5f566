"""What a round is drawn from, and what is said of each of its gates."""

from dataclasses import dataclass

from drainservice.engine.drawings.dates import Clock, say_clock, say_span, say_window


class RoundCannotBeDrawn(ValueError):
    """A round's times must run forward."""


@dataclass(frozen=True, slots=True)
class RoundVisit:
    """One visit of a round, times in minutes after midnight, place in metres east and north.

    `name` is the street; `drive_min` the driving from the visit before it. Without a window nobody
    was promised anything, and there is no gate. `room_min` is by how much its start may slip before
    any promise of the round breaks, where that was counted. A candidate is a visit that is only
    being thought about; its line is dashed.
    """

    name: str
    drive_min: float
    arrive_min: float
    leave_min: float
    window_from_min: float | None
    window_to_min: float | None
    east_m: float
    north_m: float
    is_agreed: bool
    is_candidate: bool = False
    room_min: float | None = None

    @property
    def slack_min(self) -> float | None:
        """Minutes to spare: until a promise of the round breaks, where that was counted, else until
        its own window ends. Below zero its own promise breaks; None: nothing was promised."""
        if self.window_to_min is None:
            return self.room_min
        own_min = self.window_to_min - self.arrive_min
        return own_min if self.room_min is None or own_min < 0 else min(own_min, self.room_min)

    @property
    def breaks(self) -> bool:
        """Whether the promise would break, by a whole minute as it is said."""
        return self.window_to_min is not None and round(self.window_to_min - self.arrive_min) < 0


@dataclass(frozen=True, slots=True)
class RoundFacts:
    """A technician's day: from the yard, through the visits in order, home again.

    `pause_from_min` to `pause_to_min` is the break, where there is one.
    """

    starts_min: float
    ends_min: float
    drive_home_min: float
    yard_east_m: float
    yard_north_m: float
    visits: tuple[RoundVisit, ...]
    pause_from_min: float | None = None
    pause_to_min: float | None = None


def refuse_impossible_round(facts: RoundFacts) -> None:
    """Raise RoundCannotBeDrawn, saying which visit to mend, where time would run backward."""
    if not facts.visits:
        raise RoundCannotBeDrawn("This round has no visits yet; add one first.")
    before = facts.starts_min
    for visit in facts.visits:
        runs = before <= visit.arrive_min <= visit.leave_min
        opens, closes = visit.window_from_min, visit.window_to_min
        if not (runs and (opens is None or closes is None or opens < closes)):
            raise RoundCannotBeDrawn(
                f"The times at {visit.name} run backward; correct its order, arrival or window."
            )
        before = visit.leave_min


def say_slack(visit: RoundVisit) -> str:
    """2 min to spare; no time to spare; 12 min too late; empty where nothing is promised."""
    if visit.slack_min is None:
        return ""
    slack = round(visit.slack_min)
    if slack < 0:
        return f"{say_span(-slack)} too late"
    return f"{say_span(slack)} to spare" if slack else "no time to spare"


def say_promise(visit: RoundVisit, clock: Clock) -> str:
    """promised 8 to 10 am; not yet agreed, 8 to 10 am; only an idea, 8 to 10 am; nobody told"""
    if visit.window_from_min is None or visit.window_to_min is None:
        return "only an idea" if visit.is_candidate else "nobody has been told"
    window = say_window(visit.window_from_min, visit.window_to_min, clock)
    if visit.is_candidate:
        return f"only an idea, {window}"
    return f"promised {window}" if visit.is_agreed else f"not yet agreed, {window}"


def describe_round(facts: RoundFacts, clock: Clock) -> str:
    """The round in words, in order."""
    said = [
        f"{number}. {visit.name}: there {say_clock(visit.arrive_min, clock)}, "
        f"{say_promise(visit, clock)}{', ' if say_slack(visit) else ''}{say_slack(visit)}."
        for number, visit in enumerate(facts.visits, 1)
    ]
    start = f"Sets out {say_clock(facts.starts_min, clock)}."
    ends = [*filter(None, [say_pause(facts, clock)]), f"Back {say_clock(facts.ends_min, clock)}."]
    return " ".join([start, *said, *ends])


def say_pause(facts: RoundFacts, clock: Clock) -> str:
    """Break noon to 12:30 pm. Empty without one."""
    if facts.pause_from_min is None or facts.pause_to_min is None:
        return ""
    return f"Break {say_window(facts.pause_from_min, facts.pause_to_min, clock)}."
