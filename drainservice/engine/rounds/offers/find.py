"""Three good times while the caller waits: every place tried, few priced exactly, none guessed."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from heapq import heappop, heappush
from itertools import islice

from drainservice.engine.rounds.facts import PlanInputs, Round, Window
from drainservice.engine.rounds.offers.arrays import Arrays
from drainservice.engine.rounds.offers.facts import (
    NearMiss,
    Offer,
    OfferQuestion,
    Offers,
    Rule,
)
from drainservice.engine.rounds.offers.price import ShiftPrice, price_offer
from drainservice.engine.rounds.offers.refusal import Breaks, Refusal, why_not
from drainservice.engine.rounds.offers.rules import (
    Look,
    count_rules,
    look_at_shifts,
    refuse_impossible,
    shut_the_rest,
)
from drainservice.engine.rounds.offers.scan import Found, half_days_of, scan_by_arrays, scan_by_loop
from drainservice.engine.rounds.offers.spread import Choice, more_times, three_that_differ
from drainservice.engine.rounds.tables import Tables, make_tables

MISSES_TOLD = 12


def tables_of_present(inputs: PlanInputs) -> tuple[Tables, ...]:
    """The tables of every shift as it stands, those without visits too, in the shifts' order."""
    present = {round_.shift: round_ for round_ in inputs.present}
    return tuple(
        make_tables(inputs, present.get(number, Round(number)))
        for number in range(len(inputs.shifts))
    )


def find_offers(
    question: OfferQuestion,
    arrays: Arrays | None = None,
    *,
    best_count: int = 12,
    more_count: int = 3,
) -> Offers:
    """The best times, three that differ, and why not more. `arrays` are those of the question's
    tables; without them the loop finds the same. Raises OfferImpossible and DayWithoutRisk."""
    looks = look_at_shifts(question)
    if arrays is None:
        found, prices = scan_by_loop(question, looks)
    else:
        found, prices = scan_by_arrays(question, looks, arrays)
    looks = shut_the_rest(question, looks, frozenset(row.look for row in found))
    if not found:
        refuse_impossible(question, looks)
    pricing = _Pricing(question, looks, prices, found)
    best = tuple(islice(pricing.cheapest(found), best_count))
    streams = pricing.streams()
    choice = Choice(streams, question.terms)
    three = three_that_differ(choice, list(streams), pricing.wished())
    more = more_times(choice, more_count)
    misses = near_misses(question, looks) if len(three) < 3 else ()
    return Offers(best, three, more, count_rules(looks), misses)


class _Pricing:
    """Exact prices of the places found, each reckoned once, and only when asked for."""

    def __init__(
        self,
        question: OfferQuestion,
        looks: Sequence[Look],
        prices: Mapping[int, ShiftPrice],
        found: Sequence[Found],
    ) -> None:
        self._question = question
        self._looks = looks
        self._prices = prices
        self._offers: dict[Found, Offer] = {}
        self.found = found
        self.by_half_day: dict[int, list[Found]] = defaultdict(list)
        half_days = half_days_of(looks)
        for row in found:
            self.by_half_day[half_days[row.look][row.window]].append(row)

    def offer(self, row: Found) -> Offer:
        """The offer of one row of what was found."""
        if row not in self._offers:
            look, price = self._looks[row.look], self._prices[row.look]
            offer = price_offer(self._question, look, price, row.window, row.before)
            self._offers[row] = offer
        return self._offers[row]

    def cheapest(self, rows: Sequence[Found]) -> Iterator[Offer]:
        """The offers of these rows in exact order of rank, one for each round and window.

        An exact price is never below its bound: once a priced offer ranks before the next bound,
        none that is not priced yet can come before it.
        """
        waiting: list[tuple[tuple[int, int, int, int, int], Found]] = []
        told: set[tuple[int, Window]] = set()
        for row in [*rows, None]:
            while waiting and (row is None or waiting[0][0] < row[:5]):
                offer = self.offer(heappop(waiting)[1])
                if (offer.shift, offer.window) not in told:
                    told.add((offer.shift, offer.window))
                    yield offer
            if row is not None:
                heappush(waiting, (self.offer(row).rank, row))

    def streams(self) -> dict[int, tuple[int, Iterator[Offer]]]:
        """For each half-day what it costs at least, and its offers, cheapest first."""
        return {
            half_day: (rows[0].least, self.cheapest(rows))
            for half_day, rows in sorted(self.by_half_day.items())
        }

    def wished(self) -> set[int]:
        """The half-days that meet a wish; wishes speak of half-days, so that one window tells."""
        return {
            half_day
            for half_day, rows in self.by_half_day.items()
            if self._prices[rows[0].look].wishes[rows[0].window] < 0
        }


def near_misses(
    question: OfferQuestion, looks: Sequence[Look] | None = None, count: int = MISSES_TOLD
) -> tuple[NearMiss, ...]:
    """What keeps the visit out of each full round, nearest first.

    `looks` may be those of one day, or of one technician; without them, of all open shifts.
    """
    if looks is None:
        looks = [one for one in look_at_shifts(question) if one.rule is None]
    found = []
    for look in looks:
        if look.rule not in (None, Rule.FULL):
            continue
        refusal = _least_refusal(question, look)
        if refusal is not None:
            shift = look.tables.shift
            found.append(NearMiss(look.tables.number, shift.technician, shift.day, refusal))
    found.sort(key=lambda miss: (_by_nearness(miss.refusal), miss.day, miss.technician))
    return tuple(found[:count])


def _least_refusal(question: OfferQuestion, look: Look) -> Refusal | None:
    tries = [
        why_not(look.tables, question.candidate, from_s, to_s) for from_s, to_s in look.bounds_s
    ]
    refusals = [one for one in tries if one is not None]
    if len(refusals) < len(tries):
        return None
    return min(refusals, key=_by_nearness)


def _by_nearness(refusal: Refusal) -> tuple[bool, int]:
    """The fewest seconds too late; what no seconds tell comes last."""
    return refusal.breaks in (Breaks.VAN, Breaks.ROUND), refusal.late_s
