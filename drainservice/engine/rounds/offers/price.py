"""What an offer costs, by part: first what any place of a shift costs, then the exact price.

All sixtieths of a unit, so that a second of driving is 1.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from drainservice.engine.rounds.facts import UNIT, people_units
from drainservice.engine.rounds.insert import added_drive_s, put_in
from drainservice.engine.rounds.offers.facts import Half, Offer, OfferQuestion, Parts
from drainservice.engine.rounds.offers.rules import Look
from drainservice.engine.rounds.tables import Tables


class DayWithoutRisk(ValueError):
    """The risks of waiting leave out a day that is looked at."""


@dataclass(frozen=True, slots=True)
class DayHours:
    """Seconds of all shifts of a day: booked (work and drives), and to be had (less breaks)."""

    booked_s: int
    paid_s: int


@dataclass(frozen=True, slots=True)
class ShiftPrice:
    """What is the same for all places of a shift: `parts` without driving, overtime, wish, tight
    and reserve; `wishes` for each window; `overtime_s` what it has already. `least` is the price
    of any place without driving, wish and reserve, at least: present overtime may be saved where
    drives do not keep the law of triangles."""

    parts: Parts
    wishes: tuple[int, ...]
    hours: DayHours
    overtime_s: int
    least: int


def price_shifts(
    question: OfferQuestion, looks: Sequence[Look], near: Sequence[int] | None = None
) -> dict[int, ShiftPrice]:
    """The price of each open shift, by its index. `near` are the sums of `near_s` of each table,
    where they are known. Raises DayWithoutRisk."""
    hours = count_hours([look.tables for look in looks])
    nearest = nearest_of(question)
    least = min(question.waiting.values(), default=0.0)
    return {
        look.index: _price_shift(
            question,
            look,
            hours[look.tables.shift.day],
            least,
            near_s(question, look.tables, nearest) if near is None else int(near[look.index]),
        )
        for look in looks
        if look.rule is None
    }


def _price_shift(
    question: OfferQuestion, look: Look, hours: DayHours, least: float, near_sum_s: int
) -> ShiftPrice:
    stop, shift, terms = question.candidate.stop, look.tables.shift, question.terms
    tariff, day = question.inputs.tariff, shift.day
    if question.waiting and day not in question.waiting:
        raise DayWithoutRisk(
            f"The risk of waiting until day {day} is missing; give one for each day, or for none."
        )
    minute = question.minute_price.get(question.week(day), 0.0)
    usual = 0 if stop.usual in (None, shift.technician) else tariff.not_usual
    is_outside = shift.technician in question.outside_area_of
    outside = tariff.outside_area if is_outside else 0
    liking = people_units(stop, shift.technician, tariff) - usual - outside
    near = min(UNIT * terms.near_most, terms.near_tenths * near_sum_s // 10)
    parts = Parts(
        waiting=round(UNIT * (question.waiting[day] - least)) if question.waiting else 0,
        week=round(minute * stop.work_s),
        not_usual=UNIT * usual,
        outside=UNIT * outside,
        liking=UNIT * liking,
        near=-near,
    )
    by_half = {half: UNIT * wish_units(question, day, half) for half in set(look.halves)}
    wishes = tuple(by_half[half] for half in look.halves)
    overtime_s = look.tables.overtime_s if look.tables.is_feasible else 0
    least_of_all = parts.total - tariff.overtime * overtime_s
    return ShiftPrice(parts, wishes, hours, overtime_s, least_of_all)


def count_hours(tables: Sequence[Tables]) -> dict[int, DayHours]:
    """Booked and paid seconds of each day, over all its shifts."""
    booked: dict[int, int] = defaultdict(int)
    paid: dict[int, int] = defaultdict(int)
    for one in tables:
        shift = one.shift
        booked[shift.day] += one.driving_s + sum(one.work_s)
        paid[shift.day] += shift.ends_s - shift.starts_s - one.pause_s
    return {day: DayHours(booked[day], paid[day]) for day in paid}


def wish_units(question: OfferQuestion, day: int, half: Half) -> int:
    """The household's liking and dislike of this half-day; each counts once."""
    tariff = question.inputs.tariff
    if not question.wishes:
        return 0
    met = {
        wish.is_liked
        for wish in question.wishes
        if (wish.weekdays is None or question.weekday(day) in wish.weekdays)
        and wish.half in (None, half)
    }
    return (tariff.preferred if True in met else 0) + (tariff.disliked if False in met else 0)


def reserve_price(question: OfferQuestion, hours: DayHours, more_s: int) -> int:
    """What it costs to book into the part of a day that is kept for what is urgent."""
    terms = question.terms
    over = 100 * (hours.booked_s + more_s) - (100 - terms.reserve_percent) * hours.paid_s
    if over <= 0:
        return 0
    return UNIT * terms.per_five_percent * over // (5 * max(1, hours.paid_s))


def nearest_of(question: OfferQuestion) -> list[int]:
    """The places of other due visits nearest to the candidate, ties by number."""
    ways_s = question.candidate.ways_on_s
    order = sorted(question.nearby, key=lambda place: (ways_s[place], place))
    return order[: question.terms.near_count]


def near_s(question: OfferQuestion, tables: Tables, nearest: Sequence[int]) -> int:
    """By how many seconds the round comes nearer to other due visits, if it goes to this one."""
    ways_s, drives = question.candidate.ways_on_s, question.inputs.drives
    return sum(
        max(0, min(drives[place][other] for place in tables.places) - ways_s[other])
        for other in nearest
    )


def least_price(
    question: OfferQuestion, price: ShiftPrice, window: int, before: int, tables: Tables
) -> int:
    """What a place costs at least: all but overtime and tightness."""
    drive_s = added_drive_s(tables, before, question.candidate)
    booked = reserve_price(question, price.hours, question.candidate.stop.work_s + drive_s)
    return price.least + price.wishes[window] + drive_s + booked


def price_offer(
    question: OfferQuestion, look: Look, price: ShiftPrice, window: int, before: int
) -> Offer:
    """The exact price of one place and window, from the tables of the round with the visit."""
    tables, inputs, candidate = look.tables, question.inputs, question.candidate
    shift = tables.shift
    new = put_in(inputs.tariff, tables, candidate, before, bounds_s=look.bounds_s[window])
    planned = new.planned
    drive_s = added_drive_s(tables, before, candidate)
    late_s = new.overtime_s - price.overtime_s
    slack_s = planned.slack_s
    promised = [
        slack_s[gate if gate < before else gate + 1]
        for gate, one in enumerate(tables.gates)
        if _is_promised(question, one.stop)
    ]
    wanted_s = question.terms.slack_wanted_s
    same = price.parts
    parts = Parts(
        driving=drive_s,
        overtime=inputs.tariff.overtime * late_s,
        waiting=same.waiting,
        week=same.week,
        not_usual=same.not_usual,
        outside=same.outside,
        liking=same.liking,
        wish=price.wishes[window],
        tight=max(0, wanted_s - min(promised, default=wanted_s)),
        reserve=reserve_price(question, price.hours, candidate.stop.work_s + drive_s),
        near=same.near,
    )
    at = look.windows[window]
    return Offer(
        shift=tables.number,
        technician=shift.technician,
        day=shift.day,
        weekday=question.weekday(shift.day),
        half=look.halves[window],
        window=at,
        before=before,
        starts_s=planned.starts_s[before],
        added_drive_s=drive_s,
        added_overtime_s=late_s,
        next_slack_s=slack_s[before + 1] if before < len(tables.gates) else None,
        home_slack_s=shift.closes_s - planned.home_s,
        meets_wish=price.wishes[window] < 0,
        days_before_due=None if question.due_day is None else question.due_day - shift.day,
        parts=parts,
    )


def _is_promised(question: OfferQuestion, number: int) -> bool:
    """One window, and never left out: somebody was told."""
    stop = question.inputs.stops[number]
    return stop.must and len(stop.windows) == 1
