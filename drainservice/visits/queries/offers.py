"""Good times for a visit while somebody waits on the telephone, or looks for another day."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any, cast

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.models import Account
from drainservice.engine.rounds.facts import UNIT, Place, PlanInputs, Stop
from drainservice.engine.rounds.facts import Window as EngineWindow
from drainservice.engine.rounds.insert import Candidate
from drainservice.engine.rounds.offer_facts import (
    Half,
    Offer,
    OfferQuestion,
    Offers,
    OfferTerms,
    Wish,
)
from drainservice.engine.rounds.offer_rules import OfferImpossible
from drainservice.engine.rounds.offer_words import say_offer, say_why_not_more
from drainservice.engine.rounds.offers import find_offers
from drainservice.engine.rounds.speech import Speech
from drainservice.engine.rounds.travel import drives_between
from drainservice.engine.rounds.travel_terms import TravelTerms
from drainservice.register.models import Site, System
from drainservice.visits.models import (
    Lock,
    Plan,
    PlanKind,
    PlanState,
    State,
    Visit,
)
from drainservice.visits.queries.closed import the_terms
from drainservice.visits.queries.drives import travel_terms
from drainservice.visits.queries.gathered import Clock, tariff_of
from drainservice.visits.queries.gathered_places import UNKNOWN_S, Places
from drainservice.visits.queries.gathered_stops import apart_of, areas_of, usual_technicians
from drainservice.visits.queries.said import say_first_name
from drainservice.visits.queries.shelf import (
    EPOCH,
    NEAR,
    OLD,
    OWN,
    SHELF,
    Assembled,
    Shelf,
    ShelfQuestion,
    take_rounds,
)
from drainservice.visits.queries.some_drives import drives_of_pairs, ways_of
from drainservice.visits.queries.window import Window
from drainservice.visits.queries.worth import waiting_of

DAYS = 20
# Nobody is offered a time that begins in less than this; judgement, no source.
SOONEST = timedelta(hours=1)
# Visits that wait within so many degrees and weeks draw an offer near; judgement.
NEAR_LAT, NEAR_LON, NEAR_WEEKS, NEAR_MOST = 0.15, 0.2, 6, 200


@dataclass(frozen=True, slots=True)
class Wanted:
    """A visit that looks for a time. `without` is the visit itself where it has one already."""

    site: Site
    minutes: int
    skills: frozenset[str] = frozenset()
    likes: tuple[str, ...] = ()
    wanted_by: date | None = None
    systems: tuple[System, ...] = ()
    without: Visit | None = None


@dataclass(frozen=True, slots=True)
class GoodTime:
    """A window that can be promised by now, who would come and when, and why it is good.

    `window` is wall time at the site; `reason` a clause without its full stop; `parts` the units of
    each part of the price.
    """

    window: Window
    technician: Account
    starts_at: datetime
    added_drive_min: int
    reason: str
    parts: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class GoodTimes:
    """The times, best first; why there are fewer than asked; what is missing on record; and the
    last day that was looked at."""

    times: list[GoodTime]
    why_fewer: list[str]
    notes: list[str]
    last_day: date


def wanted_of_visit(visit: Visit) -> Wanted:
    """What a visit on record needs."""
    wanted = visit.visit_systems.filter(removed_at__isnull=True).select_related("system__site")
    return Wanted(
        site=visit.site,
        minutes=visit.minutes,
        skills=frozenset(visit.skills_wanted),
        likes=tuple(str(like) for like in visit.likes),
        wanted_by=visit.wanted_by,
        systems=tuple(row.system for row in wanted),
        without=visit,
    )


def good_times(
    wanted: Wanted,
    *,
    at: datetime,
    from_day: date | None = None,
    most: int = 3,
    days: int = DAYS,
    for_household: bool = False,
    shelf: Shelf = SHELF,
) -> GoodTimes:
    """The best windows of these days, the first three unlike each other, in a fixed number of
    statements. Reasons and what is missing are for the office: a household gets none."""
    zone = accounts.the_firm().zone
    terms = the_terms()
    today = wall.today_in(zone, at)
    # A household chooses from tomorrow on: today's rounds are on the road. Judgement.
    first = today + timedelta(days=1) if for_household else today
    asked = _days(wanted, first, from_day, days)
    with shelf.lock:
        travel = _travel(shelf, at)
        asking = ShelfQuestion(at, zone, asked, terms, travel, wanted.without, _only(wanted))
        rounds = take_rounds(asking, shelf)
        points = list(shelf.numbers.points)
    point, notes = _point_of(wanted.site, rounds)
    question = _question(wanted, rounds, points, point, asking)
    try:
        found = find_offers(question, rounds.arrays, more_count=max(0, most - 3))
    except OfferImpossible as refusal:
        said = [] if for_household else [_of_this_visit(refusal, question)]
        return GoodTimes([], said, [] if for_household else notes, asked[-1])
    clock = Clock(EPOCH, zone)
    people = {shift.technician.pk: shift.technician for shift in rounds.crew}
    offers = [*found.three, *found.more][:most]
    times = [_good_time(offer, wanted.site, people, clock) for offer in offers]
    if for_household:
        return GoodTimes(times, [], [], asked[-1])
    speech = _speech(rounds, wanted, people)
    reasons = [say_offer(question, offer, speech) for offer in offers]
    times = [
        replace(time, reason=reason.partition(": ")[2].rstrip("."))
        for time, reason in zip(times, reasons, strict=True)
    ]
    return GoodTimes(times, _why_fewer(question, found, speech), notes, asked[-1])


def _days(wanted: Wanted, earliest: date, from_day: date | None, days: int) -> list[date]:
    visit = wanted.without
    if visit is not None and visit.lock in {Lock.DAY, Lock.START} and visit.day is not None:
        return [max(visit.day, earliest)]
    first = max(from_day or earliest, earliest)
    return [first + timedelta(days=number) for number in range(days)]


def _only(wanted: Wanted) -> frozenset[int] | None:
    """Whom a promise or a lock leaves it to."""
    visit = wanted.without
    if visit is None or visit.technician_id is None:
        return None
    is_bound = visit.is_named or visit.lock != Lock.NONE
    return frozenset({visit.technician_id}) if is_bound else None


def _travel(shelf: Shelf, at: datetime) -> TravelTerms:
    kept = shelf.travel
    if kept is None or not kept[0] <= at < kept[0] + OLD:
        kept = (at, travel_terms())
        shelf.travel = kept
    return kept[1]


def _point_of(site: Site, rounds: Assembled) -> tuple[Place | None, list[str]]:
    places = Places((one.base for one in rounds.crew if one.base is not None), [site])
    return places.points[places.of_site(site.pk)], places.notes


def _question(
    wanted: Wanted,
    rounds: Assembled,
    points: list[Place | None],
    point: Place | None,
    asking: ShelfQuestion,
) -> OfferQuestion:
    clock, terms = Clock(EPOCH, asking.zone), asking.terms
    nearby = _lend_near(wanted, points, point, clock.day0, asking)
    ways_in_s, ways_on_s = ways_of(point, points, asking.travel)
    ways_in_s[OWN] = ways_on_s[OWN] = 0
    areas = areas_of(rounds.crew)
    apart = apart_of(point, areas, terms.outside_area_units)
    last_s = ((asking.days[-1] - EPOCH).days + 1) * 86_400
    stop = Stop(
        key=wanted.without.pk if wanted.without is not None else 0,
        place=OWN,
        work_s=wanted.minutes * 60,
        windows=(EngineWindow(clock.seconds_of(asking.at + SOONEST), last_s),),
        must=True,
        skills=wanted.skills,
        only=None if asking.technicians is None else frozenset(asking.technicians),
        usual=usual_technicians([wanted.site.pk]).get(wanted.site.pk),
        apart=apart,
    )
    drives = cast(Any, _Drives(rounds, points, nearby, asking.travel))
    today = wall.today_in(asking.zone, asking.at)
    waiting = waiting_of(wanted.systems, today, asking.days)
    return OfferQuestion(
        inputs=PlanInputs(drives, rounds.shifts, rounds.stops, tariff=tariff_of(terms)),
        candidate=Candidate(stop, tuple(ways_in_s), tuple(ways_on_s)),
        tables=rounds.tables,
        terms=OfferTerms(
            window_s=terms.window_minutes * 60,
            step_s=terms.grid_minutes * 60,
            reserve_percent=terms.reserve_percent,
        ),
        first_weekday=EPOCH.weekday(),
        waiting={(day - EPOCH).days: units for day, units in waiting.items()},
        minute_price=_minute_prices(asking.days),
        wishes=wishes_of(wanted.likes),
        outside_area_of=frozenset(technician for technician, _ in apart),
        nearby=tuple(nearby),
        due_day=None if wanted.wanted_by is None else (wanted.wanted_by - EPOCH).days,
    )


def wishes_of(likes: Iterable[str]) -> tuple[Wish, ...]:
    """Weekdays and a half of the day, both together where both are liked; both halves are none."""
    told = {str(like) for like in likes}
    weekdays = frozenset(int(like) for like in told if like.isdigit() and int(like) < 7)
    halves = [half for half in Half if half.value in told]
    half = halves[0] if len(halves) == 1 else None
    if not weekdays and half is None:
        return ()
    return (Wish(True, weekdays or None, half),)


def _lend_near(
    wanted: Wanted,
    points: list[Place | None],
    point: Place | None,
    day0: date,
    asking: ShelfQuestion,
) -> list[int]:
    """Lend the first numbers to the visits nearest by that wait for a time."""
    if point is None:
        return []
    until = wall.today_in(asking.zone, asking.at) + timedelta(weeks=NEAR_WEEKS)
    rows = Visit.objects.standing().filter(
        state=State.PLANNED,
        slot_starts_at__isnull=True,
        meant_for__lte=until,
        site__latitude__range=(point.lat - NEAR_LAT, point.lat + NEAR_LAT),
        site__longitude__range=(point.lon - NEAR_LON, point.lon + NEAR_LON),
    )
    if wanted.without is not None:
        rows = rows.exclude(pk=wanted.without.pk)
    found = {
        Place(lat, lon)
        for lat, lon in rows.order_by("pk").values_list("site__latitude", "site__longitude")[
            :NEAR_MOST
        ]
    } - {point}
    nearest = sorted(
        found, key=lambda p: ((p.lat - point.lat) ** 2 + (p.lon - point.lon) ** 2, p.lat, p.lon)
    )[: len(NEAR)]
    lent = list(NEAR)[: len(nearest)]
    for number, place in zip(lent, nearest, strict=True):
        points[number] = place
    return lent


class _Drives(dict[int, "_Row"]):
    """Drives between numbered points: those to the visits nearby are reckoned at once, the few
    others when they are asked for."""

    def __init__(
        self, rounds: Assembled, points: Sequence[Place | None], lent: list[int], terms: TravelTerms
    ) -> None:
        super().__init__()
        self.points, self.terms = points, terms
        nodes = rounds.places if lent else []
        ends = [cast(Place, points[number]) for number in lent]
        known = [number for number in nodes if points[number] is not None]
        table = drives_between([cast(Place, points[n]) for n in known], ends, terms).tolist()
        for number in nodes:
            self[number] = _Row(self, number, dict.fromkeys(lent, UNKNOWN_S))
        for number, row in zip(known, table, strict=True):
            self[number] = _Row(self, number, zip(lent, row, strict=True))

    def __len__(self) -> int:
        return len(self.points)

    def __missing__(self, start: int) -> "_Row":
        row = self[start] = _Row(self, start, {})
        return row


class _Row(dict[int, int]):
    def __init__(self, of: _Drives, start: int, known: Any) -> None:
        super().__init__(known)
        self._of, self._start = of, start

    def __missing__(self, end: int) -> int:
        points = self._of.points
        s = self[end] = drives_of_pairs([(points[self._start], points[end])], self._of.terms)[0]
        return s


def _minute_prices(days: Sequence[date]) -> dict[int, float]:
    """What a minute costs in each full week, by the newest season plan that was adopted."""
    adopted = Plan.objects.standing().filter(
        kind=PlanKind.SEASON,
        state=PlanState.ADOPTED,
        first_on__lte=days[-1],
        last_on__gte=days[0],
    )
    levels = adopted.order_by("-pk").values_list("proposal__levels", flat=True).first()
    prices = {}
    for level in levels or []:
        monday = date.fromisoformat(level["starts_on"])
        prices[(monday - EPOCH).days // 7] = float(level["price"])
    return prices


def _speech(rounds: Assembled, wanted: Wanted, people: Mapping[int, Account]) -> Speech:
    return Speech(
        stops={**rounds.names, wanted.without.pk if wanted.without else 0: wanted.site.address},
        people={number: say_first_name(account) for number, account in people.items()},
        say_day=lambda day: f"{EPOCH + timedelta(days=day):%A} {(EPOCH + timedelta(days=day)).day}",
        say_clock=lambda at_s: (
            f"{at_s // 3600}:{at_s // 60 % 60:02d}" if at_s // 60 % 60 else f"{at_s // 3600}"
        ),
    )


def _good_time(offer: Offer, site: Site, people: Mapping[int, Account], clock: Clock) -> GoodTime:
    opens, closes = (
        wall.local(clock.instant_of(seconds), site.zone)
        for seconds in (offer.window.from_s, offer.window.to_s)
    )
    return GoodTime(
        window=Window(opens.date(), opens.time(), closes.time()),
        technician=people[offer.technician],
        starts_at=clock.instant_of(offer.starts_s),
        added_drive_min=-(-offer.added_drive_s // 60),
        reason="",
        parts={name: round(cost / UNIT) for name, cost in asdict(offer.parts).items() if cost},
    )


def _why_fewer(question: OfferQuestion, found: Offers, speech: Speech) -> list[str]:
    return say_why_not_more(question, found, speech)


def _of_this_visit(refusal: OfferImpossible, question: OfferQuestion) -> str:
    return str(refusal).replace(f"Visit {question.candidate.stop.key}", "This visit", 1)
