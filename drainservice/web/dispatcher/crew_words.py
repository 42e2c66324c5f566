"""The crew as it is said: hours as sentences, who can go this week and who cannot."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from itertools import groupby
from math import ceil

from django.urls import NoReverseMatch, reverse

from drainservice.accounts import wall
from drainservice.engine.rounds.minutes import LOOK_TIMES, WORDS
from drainservice.visits.models import ClosedDay, LookMinutes, Visit, WorkingHours
from drainservice.visits.models.crew import WEEKDAYS
from drainservice.visits.queries import CrewDay
from drainservice.web.words import day, hour

INSTANT = timedelta(microseconds=1)


def say_hours(rows: Sequence[WorkingHours]) -> str:
    """Monday to Friday 8 to 17, break 30 min between 11:30 and 13:30, at most 60 min over."""
    ordered = sorted(rows, key=lambda row: row.weekday)
    groups: dict[str, list[int]] = {}
    for row in ordered:
        groups.setdefault(_say_one(row), []).append(row.weekday)
    return "; ".join(f"{_say_weekdays(days)} {said}" for said, days in groups.items())


def say_week(days: Sequence[CrewDay]) -> list[str]:
    """Who can go on these days, and who cannot, in sentences; the first answers for all."""
    if not days:
        return ["Nobody goes out yet: enter a technician among the people of the firm."]
    crew = [list(own) for _, own in groupby(sorted(days, key=_order), key=_handle)]
    told = [f"In the seven days from {_long(days[0].day)} {_who_goes(crew)}."]
    for own in crew:
        told += _missed(own, "Not" if len(crew) == 1 else f"{_name(own)} cannot go")
    told += [d.why for d in days if d.shift and d.why]
    return told + list(dict.fromkeys(_closed(d) for d in days if d.why.startswith("Closed")))


def _who_goes(crew: list[list[CrewDay]]) -> str:
    can = [own for own in crew if any(d.shift for d in own)]
    whole = [own for own in can if all(d.is_off or (d.shift and not d.why) for d in own)]
    if not can:
        return "nobody can go"
    if len(whole) == len(crew) > 1:
        return f"everybody can go: {join([_name(own) for own in whole])}"
    if whole:
        return f"{join([_name(own) for own in whole])} can go on all their days"
    return f"{join([_name(own) for own in can])} can go, but not always"


def _missed(own: list[CrewDay], cannot: str) -> list[str]:
    """Days on which somebody would work and cannot, by reason; or that they never work then."""
    if all(d.is_off and not d.why.startswith("Closed") for d in own):
        return [f"{_name(own)} has no working hours then."]
    lost = [d for d in own if not d.shift and not d.is_off]
    told = []
    for because, some in groupby(lost, key=lambda d: d.because):
        on, why = join([day(d.day) for d in some]), f": {because}" if because else ""
        told.append(f"{cannot} on {on}{why}.")
    return told


def say_span(from_at: datetime, until_at: datetime, zone: str) -> str:
    """Thu 13 May; Thu 13 May from 14; Thu 13 May to Fri 14 May; with hours where they are not
    midnight."""
    first, last = wall.local(from_at, zone), wall.local(until_at, zone)
    ends_on = wall.local(until_at - INSTANT, zone).date()
    said = day(first.date())
    starts_within = (first.hour, first.minute) != (0, 0)
    ends_within = (last.hour, last.minute) != (0, 0)
    if starts_within:
        said += f" from {hour(first)}"
    if ends_on != first.date():
        said += f" to {day(ends_on)}"
        return f"{said}, {hour(last)}" if ends_within else said
    return f"{said} to {hour(last)}" if ends_within else said


def say_closed(row: ClosedDay) -> str:
    """Thu 25 Nov to Fri 26 Nov: Stock taking."""
    said = day(row.first_on)
    if row.last_on != row.first_on:
        said += f" to {day(row.last_on)}"
    worked = "; we work then, though it is a public holiday" if row.is_worked else ""
    return f"{said}: {row.name}{worked}"


def say_look_times(learned: Mapping[str, LookMinutes]) -> list[str]:
    """How long each kind of look takes: by our judgement, or as the firm's own visits taught."""
    told = []
    for kind, judged in LOOK_TIMES.items():
        row = learned.get(kind)
        if row is None:
            told.append(f"{WORDS.get(kind, kind)}: {judged.minutes} min, by our judgement")
        else:
            middle, high = (ceil(s / 60) for s in (row.middle_s, row.high_s))
            told.append(
                f"{WORDS.get(kind, kind)}: {middle} min in the middle of {row.records} of your "
                f"own, four of five within {high}"
            )
    return told


def repair_days(visits: Sequence[Visit]) -> list[tuple[str, str, int]]:
    """Day, where it is put right, and how many promises break there."""
    found = []
    for on, broken in groupby(visits, key=lambda visit: visit.day):
        rows = list(broken)
        if on is not None:
            found.append((day(on), _repair_address(on, rows[0]), len(rows)))
    return found


def join(words: Sequence[str]) -> str:
    """A, B and C."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _repair_address(on: date, visit: Visit) -> str:
    try:
        return reverse("repair", kwargs={"day": on.isoformat()})
    except NoReverseMatch:
        handle = visit.technician.handle if visit.technician is not None else ""
        return reverse("technician-round", args=[on.isoformat(), handle])


def _say_one(row: WorkingHours) -> str:
    said = f"{hour(row.starts)} to {hour(row.ends)}"
    if row.break_minutes:
        between = f"between {hour(row.break_earliest)} and {hour(row.break_latest)}"
        said += f", break {row.break_minutes} min {between}"
    else:
        said += ", no break"
    over = row.overtime_minutes
    return f"{said}, at most {over} min over" if over else f"{said}, never over"


def _say_weekdays(days: Sequence[int]) -> str:
    runs: list[list[int]] = []
    for weekday in days:
        if runs and weekday == runs[-1][-1] + 1:
            runs[-1].append(weekday)
        else:
            runs.append([weekday])
    words = []
    for run in runs:
        names = [WEEKDAYS[weekday] for weekday in run]
        words += [f"{names[0]} to {names[-1]}"] if len(run) > 2 else names
    return join(words)


def _closed(one: CrewDay) -> str:
    return f"{_long(one.day)} is closed: {one.why.removeprefix('Closed: ')}"


def _long(on: date) -> str:
    return f"{on:%A} {on.day} {on:%B}"


def _order(one: CrewDay) -> tuple[str, date]:
    return one.technician.handle, one.day


def _handle(one: CrewDay) -> str:
    return one.technician.handle


def _name(own: list[CrewDay]) -> str:
    return str(own[0].technician.person.name)
