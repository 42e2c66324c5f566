"""The crew as it stands: each with hours, skills, areas, base, van and absences ahead."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.db.models import QuerySet

from drainservice.accounts import queries as accounts
from drainservice.accounts.models import Account, Kept
from drainservice.visits.models import (
    Absence,
    Area,
    ClosedDay,
    CrewMember,
    HomeBase,
    Skill,
    Van,
    VanOut,
    WorkingHours,
)
from drainservice.visits.queries.hours import pattern_on


@dataclass(frozen=True, slots=True)
class Person:
    """One of the crew. `later` are patterns that have not begun, by their first day."""

    account: Account
    hours: list[WorkingHours]
    is_assumed: bool
    later: dict[date, list[WorkingHours]]
    skills: list[Skill]
    areas: list[Area]
    absences: list[Absence]
    member: CrewMember | None
    base: HomeBase | None
    van: Van | None


@dataclass(slots=True)
class VanNow:
    """A van, whose it is, and when it is out from now on."""

    van: Van
    crew: list[Account] = field(default_factory=list)
    outs: list[VanOut] = field(default_factory=list)


def roster(at: datetime, *, handle: str = "") -> list[Person]:
    """Everyone who goes out, or the one of this handle; a fixed number of statements."""
    crew = accounts.technicians()
    people = list(crew.filter(handle=handle) if handle else crew)
    today = accounts.today_of_firm(at)
    own = {"account__in": people}
    hours = _by(WorkingHours.objects.standing().filter(**own))
    skills = _by(Skill.objects.standing().filter(**own).order_by("word"))
    areas = _by(Area.objects.standing().filter(**own).order_by("name", "pk"))
    ahead = Absence.objects.standing().filter(until_at__gt=at, **own)
    absences = _by(ahead.order_by("from_at", "pk"))
    rows = CrewMember.objects.standing().filter(**own).select_related("base", "van")
    members = {row.account_id: row for row in rows}
    return [
        Person(
            account=account,
            hours=pattern_on(hours[account.pk], today),
            is_assumed=not any(row.valid_from <= today for row in hours[account.pk]),
            later=_later(hours[account.pk], today),
            skills=skills[account.pk],
            areas=areas[account.pk],
            absences=absences[account.pk],
            member=members.get(account.pk),
            base=_standing(members.get(account.pk), "base"),
            van=_standing(members.get(account.pk), "van"),
        )
        for account in people
    ]


def vans_now(at: datetime) -> list[VanNow]:
    """The firm's vans by name; a fixed number of statements."""
    found = {van.pk: VanNow(van) for van in Van.objects.standing().order_by("name", "pk")}
    members = CrewMember.objects.standing().filter(van__in=found, account__is_active=True)
    for member in members.select_related("account__person").order_by("account__handle"):
        found[member.van_id].crew.append(member.account)
    outs = VanOut.objects.standing().filter(van__in=found, until_at__gt=at)
    for out in outs.order_by("from_at", "pk"):
        found[out.van_id].outs.append(out)
    return list(found.values())


def crew_rows(model: type[Kept], *also: str) -> QuerySet[Any]:
    """Standing rows of one of the crew's tables, in the order they were entered, for its forms."""
    rows: QuerySet[Any] = model.objects.standing().order_by("pk")
    return rows.select_related(*also) if also else rows


def home_bases() -> list[HomeBase]:
    """Where rounds begin; who has no base of their own begins at the first."""
    return list(HomeBase.objects.standing().order_by("pk"))


def own_closed_days(first: date) -> list[ClosedDay]:
    """Rows of the firm's own that are not over, public holidays that are worked among them."""
    ahead = ClosedDay.objects.standing().filter(last_on__gte=first)
    return list(ahead.order_by("first_on", "pk"))


def _later(rows: list[WorkingHours], today: date) -> dict[date, list[WorkingHours]]:
    begin = sorted({row.valid_from for row in rows if row.valid_from > today})
    return {day: pattern_on(rows, day) for day in begin}


def _standing(member: CrewMember | None, name: str) -> Any:
    row = getattr(member, name) if member is not None else None
    return row if row is not None and row.removed_at is None else None


def _by(rows: Iterable[Any]) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        found[row.account_id].append(row)
    return found
