"""The names by which plans are told: what the caller calls stops, people, days and times."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from drainservice.engine.rounds.facts import DAY_S, UNIT, Stop, Window

MINUTE_S = 60
DAYS_OF_WEEK = 7


@dataclass(frozen=True, slots=True)
class Speech:
    """Names of stops by key, of technicians by number, of skills by their word; how to say a day
    of the plan and a second of a day."""

    stops: Mapping[int, str]
    people: Mapping[int, str]
    say_day: Callable[[int], str]
    say_clock: Callable[[int], str]
    skills: Mapping[str, str] = field(default_factory=dict)

    def stop(self, stop: Stop) -> str:
        """Mill Lane"""
        return self.stops.get(stop.key, f"visit {stop.key}")

    def person(self, technician: int) -> str:
        """Ana"""
        return self.people.get(technician, f"technician {technician}")

    def skill(self, word: str) -> str:
        """electric licence"""
        return self.skills.get(word, word)

    def clock(self, at_s: int) -> str:
        """10:20 am, of whatever day."""
        return self.say_clock(at_s % DAY_S)

    def window(self, window: Window) -> str:
        """9 am to 11 am"""
        return f"{self.clock(window.from_s)} to {self.clock(window.to_s)}"


def say_minutes(seconds: int) -> str:
    """14 min, 1 h 5 min; what is begun counts whole, so that too late is never told as 0."""
    hours, minutes = divmod(-(-abs(seconds) // MINUTE_S), 60)
    if not hours:
        return f"{minutes} min"
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"


def say_units(cost: int) -> str:
    """A cost in sixtieths of a unit, told as the technician-minutes it is worth."""
    return f"{round(cost / UNIT)} min"


def say_wait(days: int | None) -> str:
    """can wait 3 weeks; can wait 1 day; must not wait; empty where nobody knows."""
    if days is None:
        return ""
    if days <= 0:
        return "must not wait"
    weeks = days // DAYS_OF_WEEK
    if weeks >= 2:
        return f"can wait {weeks} weeks"
    return "can wait 1 day" if days == 1 else f"can wait {days} days"


def say_list(parts: list[str]) -> str:
    """Ana, Ben and Cy"""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
