"""Everything about some of the crew on some days, read once, and their days out of it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, NamedTuple

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
from drainservice.visits.queries.closed import closed_by, the_terms
from drainservice.visits.queries.hours import Span, cut, span_on
from drainservice.visits.queries.shift import CrewDay, CrewShift, Polygon


class _Away(NamedTuple):
    """A time away from work, in a sentence, and its reason by itself."""

    from_at: datetime
    until_at: datetime
    says: str
    because: str


@dataclass(frozen=True, slots=True)
class KnownCrew:
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
            return CrewDay(account, day, None, f"Closed: {self.closed[day]}.", is_off=True)
        rows = self.hours.get(account.pk, [])
        whole = span_on(rows, day, self.zone)
        if whole is None:
            why = f"No working hours on {WEEKDAYS[day.weekday()]}s."
            return CrewDay(account, day, None, why, is_off=True)
        away = self._away(account, day, whole)
        left = cut(whole, [(one.from_at, one.until_at) for one in away])
        why = " ".join(one.says for one in away)
        because = ", ".join(one.because for one in away if one.because)
        is_assumed = not any(row.valid_from <= day for row in rows)
        shift = self._shift(account, day, left, is_assumed) if left is not None else None
        return CrewDay(account, day, shift, why, because=because)

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
            base=base_of(member, self.first_base),
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

    def _away(self, account: Account, day: date, span: Span) -> list[_Away]:
        """What touches the shift or its overtime: absences, then the van."""
        latest = span.ends_at + timedelta(minutes=span.overtime_minutes)
        told: list[_Away] = []
        for row in self.absences.get(account.pk, []):
            because = f": {row.because}" if row.because else ""
            says = f"{account.person.name} is away{self._when(row, day, span)}{because}."
            told.append(_Away(row.from_at, row.until_at, says, row.because))
        member = self.members.get(account.pk)
        van = member.van if member is not None else None
        if van is not None and van.removed_at is None:
            for out in self.outs.get(van.pk, []):
                says = f"{van.name} is out{self._when(out, day, span)}: {out.because}."
                because = f"{van.name} is out: {out.because}"
                told.append(_Away(out.from_at, out.until_at, says, because))
        return [one for one in told if one.from_at < latest and one.until_at > span.starts_at]

    def _when(self, row: Absence | VanOut, day: date, span: Span) -> str:
        """The day, with the hours where some of the shift is left: on Thursday 13 May from 14."""
        said = f" on {day:%A} {day.day} {day:%B}"
        if row.from_at > span.starts_at:
            said += f" from {_clock(row.from_at, self.zone)}"
        if row.until_at < span.ends_at:
            said += f" until {_clock(row.until_at, self.zone)}"
        return said


def read_crew(people: list[Account], days: list[date]) -> KnownCrew:
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
    return KnownCrew(
        zone=zone,
        closed=closed_by(the_terms(), closing.order_by("first_on", "pk"), first, last),
        hours=_by("account_id", begun.order_by("valid_from", "weekday")),
        members={row.account_id: row for row in members},
        skills=_by("account_id", Skill.objects.standing().filter(**own)),
        areas=_by("account_id", Area.objects.standing().filter(**own).order_by("pk")),
        absences=_by("account_id", absences),
        outs=_by("van_id", outs),
        first_base=first_base(),
    )


def _by(name: str, rows: Iterable[Any]) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        found[getattr(row, name)].append(row)
    return found


def first_base() -> HomeBase | None:
    """The firm's first base."""
    first: HomeBase | None = HomeBase.objects.standing().order_by("pk").first()
    return first


def base_of(member: CrewMember | None, first: HomeBase | None) -> HomeBase | None:
    """Their own base, else the firm's first."""
    own = member.base if member is not None else None
    return own if own is not None and own.removed_at is None else first


def _polygon(area: Area) -> Polygon:
    return tuple((float(lat), float(lon)) for lat, lon in area.corners)


def _clock(at: datetime, zone: str) -> str:
    here = wall.local(at, zone)
    return f"{here.hour}:{here:%M}" if here.minute else f"{here.hour}"
