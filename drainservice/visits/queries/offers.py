"""Good times for a visit while somebody waits on the telephone, or looks for another day."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime, timedelta

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.models import Account
from drainservice.engine.rounds.facts import UNIT, Place
from drainservice.engine.rounds.offers.facts import (
    Offer,
    OfferQuestion,
    Offers,
)
from drainservice.engine.rounds.offers.find import find_offers
from drainservice.engine.rounds.offers.rules import OfferImpossible
from drainservice.engine.rounds.offers.words import say_offer, say_why_not_more
from drainservice.engine.rounds.roads.terms import TravelTerms
from drainservice.engine.rounds.speech import Speech
from drainservice.register.models import Site
from drainservice.visits.models import (
    Lock,
    Visit,
)
from drainservice.visits.queries.closed import the_terms
from drainservice.visits.queries.drives import travel_terms
from drainservice.visits.queries.gathered import Clock
from drainservice.visits.queries.gathered_places import Places
from drainservice.visits.queries.offer_inputs import Wanted, make_question
from drainservice.visits.queries.said import say_first_name
from drainservice.visits.queries.shelf import (
    EPOCH,
    OLD,
    SHELF,
    Assembled,
    Shelf,
    ShelfQuestion,
    take_rounds,
)
from drainservice.visits.queries.window import Window

__all__ = ["GoodTime", "GoodTimes", "Wanted", "good_times", "wanted_of_visit"]
DAYS = 20
# Nobody is promised a day farther ahead than this; judgement.
FARTHEST = timedelta(days=3 * 366)


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
    question = make_question(wanted, rounds, points, point, asking)
    try:
        more = max(0, most - 3)
        found = find_offers(question, rounds.arrays, best_count=0, more_count=more)
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
    first = min(max(from_day or earliest, earliest), earliest + FARTHEST)
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
