"""How drives are reckoned, as the crew's page and the rounds of a day say it."""

from collections.abc import Sequence

from drainservice.engine.rounds.roads.learning import FROM_KM, Factor, Factors
from drainservice.engine.rounds.roads.terms import TravelTerms
from drainservice.engine.units import UnitSystem, show
from drainservice.visits.queries import DayRound, estimated_drives, roads_in_words, without_road


def say_drives(detour: float, factors: Factors, system: UnitSystem) -> str:
    """The straight way times 1.3, slower at first than later, and what the firm's drives taught."""
    park_s = TravelTerms().park_and_walk_s
    told = (
        f"A drive is estimated as {detour:g} times the straight way, slower at first than farther "
        f"out, and {round(park_s / 60)} min to park and walk."
    )
    learned = [one for one in factors.found if one.hour_band is None]
    if not learned:
        return f"{told} Thirty drives of your own to near sites, or to far ones, will correct it."
    said = "; ".join(_say_factor(one, system) for one in learned)
    return f"{told} Your own drives correct it: {said}."


def say_day_roads(rounds: Sequence[DayRound]) -> list[str]:
    """What is known of a day's drives; nothing where no road service is set."""
    words = roads_in_words()
    if not words:
        return []
    estimated, number = estimated_drives(rounds)
    if not estimated:
        return [words]
    of_day = f"{estimated} of the {number} drives" if number > 1 else "The one drive"
    told = f"{words} {of_day} of this day {'are' if estimated > 1 else 'is'} estimated."
    return [told, *without_road(rounds)]


def _say_factor(one: Factor, system: UnitSystem) -> str:
    near, *farther = FROM_KM[one.distance_band : one.distance_band + 2]
    begins = show(near * 1000, "distance", system)
    way = f"{begins} and more"
    for end in farther:
        ends = show(end * 1000, "distance", system)
        way = f"{begins} to {ends}" if near else f"up to {ends}"
    more = round(100 * (one.value - 1))
    longer = "as long as estimated"
    if more:
        longer = f"{abs(more)} % {'longer' if more > 0 else 'shorter'}"
    return f"{way}, {longer} ({one.drives} drives)"
