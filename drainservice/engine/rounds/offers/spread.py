"""Three times that differ: cheap ones, no two in one half-day, kept apart by days and weekdays."""

from collections.abc import Callable, Iterable, Iterator, Sequence

from drainservice.engine.rounds.facts import UNIT
from drainservice.engine.rounds.offers.facts import Half, Offer, OfferTerms

HalfDay = int


class Choice:
    """Chooses offers one after another. Each half-day hands out its own offers, cheapest first;
    `least` is what the cheapest of a half-day costs at least, so that few need an exact price."""

    def __init__(
        self,
        streams: dict[HalfDay, tuple[int, Iterator[Offer]]],
        terms: OfferTerms,
    ) -> None:
        self.terms = terms
        self.chosen: list[Offer] = []
        self._streams = streams
        self._heads: dict[HalfDay, Offer | None] = {}

    def choose(self, may: Callable[[HalfDay], bool]) -> Offer | None:
        """The offer of least price and nearness to those chosen, of the half-days that may be."""
        best: tuple[tuple[object, ...], HalfDay, Offer] | None = None
        bounds = sorted(
            (least + UNIT * self._nearness(half_day), half_day)
            for half_day, (least, _) in self._streams.items()
            if may(half_day)
        )
        for bound, half_day in bounds:
            if best is not None and bound > best[2].price + UNIT * self._nearness(best[1]):
                break
            offer = self._head(half_day)
            if offer is None:
                continue
            rank = (offer.price + UNIT * self._nearness(half_day), *offer.rank[1:])
            if best is None or rank < best[0]:
                best = (rank, half_day, offer)
        if best is None:
            return None
        self.chosen.append(best[2])
        self._heads.pop(best[1])
        return best[2]

    def _head(self, half_day: HalfDay) -> Offer | None:
        """The half-day's cheapest offer whose window is not chosen yet."""
        taken = {(offer.day, offer.window) for offer in self.chosen}
        offer = self._heads.get(half_day)
        while half_day not in self._heads or (
            offer is not None and (offer.day, offer.window) in taken
        ):
            offer = next(self._streams[half_day][1], None)
            self._heads[half_day] = offer
        return offer

    def _nearness(self, half_day: HalfDay) -> int:
        """Units for being like an offer chosen before; the likest counts."""
        day, half = divmod(half_day, 2)
        most = 0
        for offer in self.chosen:
            other_day, other_half = divmod(half_day_of(offer), 2)
            if (other_day, other_half) == (day, half):
                most = max(most, self.terms.same_half_day)
            elif other_day == day:
                most = max(most, self.terms.same_day)
            elif other_half == half and (other_day - day) % 7 == 0:
                most = max(most, self.terms.same_weekday_and_half)
        return most


def half_day_of(offer: Offer) -> HalfDay:
    """Twice the day, and one more in the afternoon."""
    return 2 * offer.day + (offer.half == Half.AFTERNOON)


def three_that_differ(
    choice: Choice, half_days: Sequence[HalfDay], wished: Iterable[HalfDay], count: int = 3
) -> tuple[Offer, ...]:
    """The best, then the best of those unlike it; the last meets the wish if none did and any can.

    A day has two half-days, so that none is there more than twice.
    """
    open_half_days, liked = set(half_days), set(wished)
    for number in range(count):
        used = {half_day_of(offer) for offer in choice.chosen}
        left = open_half_days - used
        is_last = number == count - 1
        if is_last and liked and not any(offer.meets_wish for offer in choice.chosen):
            left = left & liked or left
        if choice.choose(left.__contains__) is None:
            break
    return tuple(choice.chosen)


def more_times(choice: Choice, count: int) -> tuple[Offer, ...]:
    """What comes after the three: other half-days first, other windows of the same ones later."""
    before = len(choice.chosen)
    while len(choice.chosen) < before + count:
        if choice.choose(lambda _: True) is None:
            break
    return tuple(choice.chosen[before:])
