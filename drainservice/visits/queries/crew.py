"""Who can go on which days: shifts, and why there is none."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.models import Account
from drainservice.visits.models import (
    Absence,
    Area,
    ClosedDay,
    CrewMember,
    HomeBase,
    Skill,
    VanOut,
    WorkingHours,
)
from drainservice.visits.models.crew import WEEKDAYS
from drainservice.visits.queries.closed import (
    CalendarIsUnknown,
    closed_by,
    closed_days_between,
    the_terms,
    why_closed,
)
from drainservice.visits.queries.hours import Pause, Span, cut, span_on

__all__ = [
    "CalendarIsUnknown",
    "CrewDay",
    "CrewShift",
    "Pause",
    "Polygon",
    "closed_days_between",
    "crew_on",
    "home_base_of",
    "shifts_on",
    "the_terms",
    "why_closed",
    "why_no_shift",
]
# Corners as (latitude, longitude) in degrees.
Polygon = tuple[tuple[float, float], ...]
Away = tuple[datetime, datetime, str]


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


def shifts_on(
    days: Sequence[date], *, technicians: Iterable[Account] | None = None
) -> list[CrewShift]:
    """Every shift of the days, in order of day and handle; all technicians unless some are named.

    A fixed number of statements for any number of days and technicians. Hours, breaks and
    absences are the firm's wall time.
    """
    found = crew_on(days, technicians=technicians)
    return [one.shift for one in found if one.shift is not None]


def crew_on(days: Sequence[date], *, technicians: Iterable[Account] | None = None) -> list[CrewDay]:
    """Every technician on every day, in order of day and handle, with shift or reason."""
    wanted = sorted(set(days))
    crew = accounts.technicians()
    if technicians is not None:
        crew = crew.filter(pk__in=[account.pk for account in technicians])
    people = list(crew)
    if not wanted or not people:
        return []
    known = _read(people, wanted)
    return [known.on(account, day) for day in wanted for account in people]


def why_no_shift(technician: Account, day: date) -> str:
    """ "Andrea is away on Thursday 13 May: fever.", "Closed: Thanksgiving Day.", "No working hours
    on Sundays."; empty where they work that day. For the office: it tells an absence's reason."""
    found = crew_on([day], technicians=[technician])
    if not found:
        return f"{technician.person.name} does not go out any more; choose somebody else."
    return "" if found[0].shift else found[0].why


def home_base_of(technician: Account) -> HomeBase | None:
    """Where their rounds begin: their own base, else the firm's first, else none."""
    member = CrewMember.objects.standing().filter(account=technician)
    row = member.select_related("base").first()
    return _base(row, _first_base())


@dataclass(frozen=True, slots=True)
class _Known:
    """Everything about some people on some days, read once."""

    zone: str
    closed: Mapping[date, str]
    hours: Mapping[int, list[WorkingHours]]
    members: Mapping[int, CrewMember]
    skills: Mapping[int, list[Skill]]
    areas: Mapping[int, list[Area]]
    absences: Mapping[int, list[Absence]]
    outs: Mapping[int, list[VanOut]]
    first_base: HomeBase | None

    def on(self, account: Account, day: date) -> CrewDay:
        """One technician on one day."""
        if day in self.closed:
            return CrewDay(account, day, None, f"Closed: {self.closed[day]}.")
        rows = self.hours.get(account.pk, [])
        whole = span_on(rows, day, self.zone)
        if whole is None:
            return CrewDay(account, day, None, f"No working hours on {WEEKDAYS[day.weekday()]}s.")
        away = self._away(account, day, whole)
        left = cut(whole, [(from_at, until_at) for from_at, until_at, _ in away])
        why = " ".join(sentence for _, _, sentence in away)
        if left is None:
            return CrewDay(account, day, None, why)
        is_assumed = not any(row.valid_from <= day for row in rows)
        return CrewDay(account, day, self._shift(account, day, left, is_assumed), why)

    def _shift(self, account: Account, day: date, span: Span, is_assumed: bool) -> CrewShift:
        member = self.members.get(account.pk)
        return CrewShift(
            technician=account,
            day=day,
            starts_at=span.starts_at,
            ends_at=span.ends_at,
            overtime_minutes=span.overtime_minutes,
            pause=span.pause,
            skills=self._skills(account, member, day),
            base=_base(member, self.first_base),
            areas=tuple(_polygon(area) for area in self.areas.get(account.pk, [])),
            is_assumed=is_assumed,
        )

    def _skills(self, account: Account, member: CrewMember | None, day: date) -> frozenset[str]:
        held = self.skills.get(account.pk, [])
        words = {s.word for s in held if s.valid_until is None or s.valid_until >= day}
        van = member.van if member is not None else None
        if van is not None and van.removed_at is None:
            words.update(van.carries)
        return frozenset(words)

    def _away(self, account: Account, day: date, span: Span) -> list[Away]:
        """What touches the shift or its overtime: absences, then the van."""
        latest = span.ends_at + timedelta(minutes=span.overtime_minutes)
        told: list[Away] = []
        for row in self.absences.get(account.pk, []):
            because = f": {row.because}" if row.because else ""
            says = f"{account.person.name} is away{self._when(row, day, span)}{because}."
            told.append((row.from_at, row.until_at, says))
        member = self.members.get(account.pk)
        van = member.van if member is not None else None
        if van is not None and van.removed_at is None:
            for out in self.outs.get(van.pk, []):
                says = f"{van.name} is out{self._when(out, day, span)}: {out.because}."
                told.append((out.from_at, out.until_at, says))
        return [one for one in told if one[0] < latest and one[1] > span.starts_at]

    def _when(self, row: Absence | VanOut, day: date, span: Span) -> str:
        """ " on Thursday 13 May", with the hours where it leaves some of the shift."""
        said = f" on {day:%A} {day.day} {day:%B}"
        if row.from_at > span.starts_at:
            said += f" from {_clock(row.from_at, self.zone)}"
        if row.until_at < span.ends_at:
            said += f" until {_clock(row.until_at, self.zone)}"
        return said


def _read(people: list[Account], days: list[date]) -> _Known:
    """Ten statements, however many people and days."""
    zone = accounts.the_firm().zone
    first, last = days[0], days[-1]
    starts_at = wall.instant(first, time(0), zone)
    # Overtime of the last day may run past midnight.
    ends_at = wall.instant(last, time(0), zone) + timedelta(days=2)
    within = {"from_at__lt": ends_at, "until_at__gt": starts_at}
    own = {"account__in": people}
    members = CrewMember.objects.standing().filter(**own).select_related("base", "van")
    closing = ClosedDay.objects.standing().filter(first_on__lte=last, last_on__gte=first)
    begun = WorkingHours.objects.standing().filter(valid_from__lte=last, **own)
    absences = Absence.objects.standing().filter(**own, **within).order_by("from_at", "pk")
    outs = VanOut.objects.standing().filter(**within).order_by("from_at", "pk")
    return _Known(
        zone=zone,
        closed=closed_by(the_terms(), closing.order_by("first_on", "pk"), first, last),
        hours=_by("account_id", begun.order_by("valid_from", "weekday")),
        members={row.account_id: row for row in members},
        skills=_by("account_id", Skill.objects.standing().filter(**own)),
        areas=_by("account_id", Area.objects.standing().filter(**own).order_by("pk")),
        absences=_by("account_id", absences),
        outs=_by("van_id", outs),
        first_base=_first_base(),
    )


def _by(name: str, rows: Iterable[Any]) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        found[getattr(row, name)].append(row)
    return found


def _first_base() -> HomeBase | None:
    first: HomeBase | None = HomeBase.objects.standing().order_by("pk").first()
    return first


def _base(member: CrewMember | None, first: HomeBase | None) -> HomeBase | None:
    own = member.base if member is not None else None
    return own if own is not None and own.removed_at is None else first


def _polygon(area: Area) -> Polygon:
    return tuple((float(lat), float(lon)) for lat, lon in area.corners)


def _clock(at: datetime, zone: str) -> str:
    here = wall.local(at, zone)
    return f"{here.hour}:{here:%M}" if here.minute else f"{here.hour}"
