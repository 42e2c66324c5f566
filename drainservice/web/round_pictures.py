"""From the record to what a round is drawn from, and its drawing."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from drainservice.accounts import wall
from drainservice.accounts.queries import the_firm
from drainservice.engine.drawings.dates import Clock
from drainservice.engine.drawings.round_facts import RoundFacts, RoundVisit
from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import EARTH_KM
from drainservice.engine.rounds.roads.terms import TravelTerms
from drainservice.engine.rounds.roads.travel import drive_s
from drainservice.engine.units import UnitSystem
from drainservice.register.models import Site
from drainservice.visits.models import HomeBase, State, Visit
from drainservice.visits.queries import travel_terms
from drainservice.visits.queries.gathered_places import UNKNOWN_S

NOT_AGREED = {State.PLANNED, State.OFFERED, State.HELD}


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a round beside its visits: where it begins; by their numbers when visits
    would start by now, where that is not when they were planned, and by how many minutes each may
    slip; and the break's start and minutes."""

    base: HomeBase | None = None
    starts_at: Mapping[int, datetime] = field(default_factory=dict)
    rooms_min: Mapping[int, float] = field(default_factory=dict)
    break_starts_at: datetime | None = None
    break_minutes: int = 0


NOTHING = Known()


def clock_style() -> tuple[UnitSystem, Clock]:
    """The firm's units and clock."""
    units = UnitSystem(the_firm().units)
    return units, Clock.TWELVE if units == UnitSystem.TRADE else Clock.TWENTY_FOUR


def round_facts_of(visits: Sequence[Visit], known: Known = NOTHING) -> RoundFacts | None:
    """A day's visits that have a time as a line through gates; None where there is nothing to draw.

    Driving is reckoned as in planning. Without a base the round is drawn from and to the middle of
    its visits.
    """
    placed = [visit for visit in visits if visit.slot_starts_at and visit.slot_ends_at]
    if not placed:
        return None
    yard = _yard(placed, known.base)
    day = wall.today_in(placed[0].site.zone, _instant(placed[0].slot_starts_at))
    terms = travel_terms()
    before, drawn = yard, []
    for visit in placed:
        place = _place(visit.site)
        drawn.append(_gate(visit, day, yard, _drive_min(before, place, terms), known))
        before = place or before
    home_min = _drive_min(before, yard, terms)
    zone = placed[0].site.zone
    ends_min = drawn[-1].leave_min + home_min
    pause = known.break_starts_at
    if pause is not None and _minute(pause, day, zone) >= ends_min:
        pause = None  # after so short a round it is theirs
    return RoundFacts(
        starts_min=drawn[0].arrive_min - drawn[0].drive_min,
        ends_min=ends_min,
        drive_home_min=home_min,
        yard_east_m=0.0,
        yard_north_m=0.0,
        visits=tuple(drawn),
        pause_from_min=_minute(pause, day, zone) if pause else None,
        pause_to_min=(
            _minute(pause + timedelta(minutes=known.break_minutes), day, zone) if pause else None
        ),
    )


def _gate(
    visit: Visit, day: date, yard: Place | None, drive_min: float, known: Known
) -> RoundVisit:
    zone = visit.site.zone
    is_promised = visit.state != State.PLANNED and visit.window_starts_at is not None
    east_m, north_m = _metres(_place(visit.site), yard)
    planned_at, ends_at = _instant(visit.slot_starts_at), _instant(visit.slot_ends_at)
    starts_at = known.starts_at.get(visit.pk, planned_at)
    return RoundVisit(
        name=visit.site.address,
        drive_min=drive_min,
        arrive_min=_minute(starts_at, day, zone),
        leave_min=_minute(starts_at + (ends_at - planned_at), day, zone),
        window_from_min=(
            _minute(_instant(visit.window_starts_at), day, zone) if is_promised else None
        ),
        window_to_min=_minute(_instant(visit.window_ends_at), day, zone) if is_promised else None,
        east_m=east_m,
        north_m=north_m,
        is_agreed=visit.state not in NOT_AGREED,
        room_min=known.rooms_min.get(visit.pk),
    )


def _instant(at: datetime | None) -> datetime:
    assert at is not None  # a booked visit has its times: a constraint says so
    return at


def _minute(at: datetime, day: date, zone: str) -> float:
    here = wall.local(at, zone)
    return (here.date() - day).days * 1440.0 + here.hour * 60 + here.minute + here.second / 60


def _place(site: Site) -> Place | None:
    if site.latitude is None or site.longitude is None:
        return None
    return Place(site.latitude, site.longitude)


def _yard(visits: Sequence[Visit], base: HomeBase | None) -> Place | None:
    if base is not None:
        return Place(base.latitude, base.longitude)
    known = [place for visit in visits if (place := _place(visit.site)) is not None]
    if not known:
        return None
    return Place(
        sum(place.lat for place in known) / len(known),
        sum(place.lon for place in known) / len(known),
    )


def _metres(place: Place | None, yard: Place | None) -> tuple[float, float]:
    """East and north of the yard; a site without coordinates is drawn there."""
    if place is None or yard is None:
        return 0.0, 0.0
    degree_m = math.radians(1) * EARTH_KM * 1000
    east_m = (place.lon - yard.lon) * degree_m * math.cos(math.radians(yard.lat))
    return east_m, (place.lat - yard.lat) * degree_m


def _drive_min(start: Place | None, end: Place | None, terms: TravelTerms) -> float:
    if start is None or end is None:
        return UNKNOWN_S / 60
    return drive_s(start, end, terms) / 60
