"""A broken day as a planner sees it: what is left of the shifts, and each promise at its price.

No promise is beyond price here, or nothing could be proposed; but the prices lie so far apart that
a planned stop gives way before an offer, an offer before a promise, and a promise that may be
asked before one that may not. Within its rank a stop is the dearer the worse it is to wait.
"""

from dataclasses import replace

from drainservice.engine.rounds.facts import PlanInputs, Stop, Tariff
from drainservice.engine.rounds.repair.broken import (
    Broken,
    Facts,
    StopFacts,
    Told,
    facts_of,
    shifts_after,
    why_never_asked,
)

# Units that set the ranks apart: judgement.
OFFER, PROMISE, NEVER_ASKED = 10_000, 1_000_000, 10_000_000


def price_day(inputs: PlanInputs, broken: Broken, facts: Facts) -> PlanInputs:
    """The inputs after the break. Stops that neither stand in a round, nor had a technician, nor
    were told to anybody, nor are urgent, are nobody's: a repair adds no work."""
    shifts = shifts_after(inputs, broken)
    here = {shift.technician for shift in shifts if shift.starts_s < shift.closes_s}
    placed = {gate.stop for round_ in inputs.present for gate in round_.gates}
    stops = []
    for number, stop in enumerate(inputs.stops):
        known = facts_of(facts, stop)
        is_urgent = number in broken.urgent
        is_of_day = number in placed or known.technician is not None or stop.must
        if not (is_of_day or known.told != Told.NOBODY or is_urgent):
            stop = replace(stop, only=frozenset())
        elif stop.only is not None and not (known.is_named or stop.only & here):
            # A lock of ours cannot outlive whom it names.
            stop = replace(stop, only=None)
        worth = price_of(stop, known, broken.now_s, inputs.tariff, is_urgent=is_urgent)
        stops.append(replace(stop, must=False, worth=worth, move_units=None))
    return replace(inputs, shifts=shifts, stops=tuple(stops))


def price_of(
    stop: Stop, known: StopFacts, now_s: int, tariff: Tariff, *, is_urgent: bool = False
) -> int:
    """What leaving the stop out costs in a repair, in units, its rank included."""
    if is_urgent:
        return NEVER_ASKED + min(stop.worth, PROMISE)
    if known.told == Told.AGREED:
        rank = NEVER_ASKED if why_never_asked(stop, known, now_s) else PROMISE
        return rank + min(asking_units(stop, known, tariff), PROMISE)
    if known.told == Told.OFFERED:
        return OFFER + min(asking_units(stop, known, tariff), PROMISE - 2 * OFFER)
    if stop.must:
        return PROMISE + min(stop.worth, PROMISE)
    return min(stop.worth, OFFER - 1)


def asking_units(stop: Stop, known: StopFacts, tariff: Tariff) -> int:
    """What disturbing the household costs, and that the visit waits, in units."""
    if known.told == Told.OFFERED:
        return tariff.move_offer + stop.worth
    return tariff.move_promise + tariff.moved_before * known.moved_before + stop.worth
