"""The demonstration's calendar: days counted back from the day it is loaded, and who acts then."""

from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from drainservice.accounts import asker as askers
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker
from drainservice.accounts.models import Account, Household, Person
from drainservice.visits.queries import Window, shifts_on

DOOR = "load_demo"
WINDOWS = [
    (time(8), time(10)),
    (time(10), time(12)),
    (time(13), time(15)),
    (time(15), time(17)),
]


@dataclass(frozen=True, slots=True)
class Days:
    """Today, and instants by the firm's wall clock."""

    today: date
    now: datetime
    zone: str

    def ago(self, days: float) -> date:
        """So many days before today; negative lies ahead."""
        return self.today - timedelta(days=round(days))

    def at(self, day: date, hour: int = 9, minute: int = 0) -> datetime:
        """A moment of a day, never after now."""
        return min(wall.instant(day, time(hour, minute), self.zone), self.now)


def machine(at: datetime) -> Asker:
    """The keeper of the machine, who loads."""
    return askers.command(at, door=DOOR)


def as_account(account: Account, at: datetime) -> Asker:
    """Somebody of the firm."""
    return Asker(
        at=at,
        kind="account",
        account_id=account.pk,
        person_id=account.person_id,
        role=account.role,
        door=DOOR,
    )


def as_household(person: Person, household: Household, at: datetime) -> Asker:
    """Somebody who came by the link in a mail."""
    return Asker(at=at, kind="household", person_id=person.pk, household_id=household.pk, door=DOOR)


@dataclass(slots=True)
class Diary:
    """Which windows of a technician are taken, so that past and coming visits find room."""

    _taken: set[tuple[int, date, int]] = field(default_factory=set)
    _squeezed: dict[tuple[int, date], int] = field(default_factory=dict)
    # Who works on which days, month by month.
    _worked: dict[date, set[tuple[int, date]]] = field(default_factory=dict)

    def take(
        self, technician: Account, wanted: date, *, step: int, windows: int = 1, most: int = 4
    ) -> Window:
        """The first free window from the wanted day on, by `step` days; none on days on which
        they do not work."""
        day = wanted
        while True:
            is_worked = self._works(technician, day)
            free = self._free(technician.pk, day, windows, most) if is_worked else None
            if free is not None:
                return Window(day, *WINDOWS[free])
            day += timedelta(days=step)

    def squeeze(self, technician: Account, day: date) -> Window:
        """A window of that very day, whatever the weekday; when all are taken, the last again."""
        number = self._free(technician.pk, day, 1, len(WINDOWS))
        self._squeezed[technician.pk, day] = self.booked(technician, day) + 1
        return Window(day, *WINDOWS[-1 if number is None else number])

    def booked(self, technician: Account, day: date) -> int:
        """How many were squeezed into that day."""
        return self._squeezed.get((technician.pk, day), 0)

    def _works(self, technician: Account, day: date) -> bool:
        month = day.replace(day=1)
        if month not in self._worked:
            days = [month + timedelta(days=n) for n in range(31)]
            shifts = shifts_on([one for one in days if one.month == month.month])
            self._worked[month] = {(shift.technician.pk, shift.day) for shift in shifts}
        return (technician.pk, day) in self._worked[month]

    def _free(self, technician: int, day: date, windows: int, most: int) -> int | None:
        for first in range(most + 1 - windows):
            wanted = {(technician, day, first + n) for n in range(windows)}
            if not wanted & self._taken:
                self._taken |= wanted
                return first
        return None
