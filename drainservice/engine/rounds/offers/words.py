"""Free times and their reasons as sentences; the caller gives the names."""

from drainservice.engine.rounds.facts import UNIT
from drainservice.engine.rounds.offers.facts import (
    Counted,
    NearMiss,
    Offer,
    OfferQuestion,
    Offers,
    Rule,
)
from drainservice.engine.rounds.offers.refusal_words import say_refusal
from drainservice.engine.rounds.speech import Speech, say_minutes
from drainservice.engine.rounds.tables import Tables

MINUTE_S = 60


def say_offer(question: OfferQuestion, offer: Offer, speech: Speech) -> str:
    """Tue 9 am to 11 am with Ana: 7 min more driving, between Elm Road and Mill Lane; the next gate
    keeps 35 min; 12 days before it is due."""
    when = f"{speech.say_day(offer.day)} {speech.window(offer.window)}"
    tables = _tables_of(question, offer.shift)
    where = f"{_driving(offer)}, {_between(question, tables, offer, speech)}"
    clauses = [
        where,
        *_round_clauses(offer),
        *_people_clauses(offer, speech),
        *_time_clauses(offer),
    ]
    return f"{when} with {speech.person(offer.technician)}: {'; '.join(clauses)}."


def _tables_of(question: OfferQuestion, shift: int) -> Tables:
    return next(one for one in question.tables if one.number == shift)


def _driving(offer: Offer) -> str:
    if offer.added_drive_s == 0:
        return "no more driving"
    more = "more" if offer.added_drive_s > 0 else "less"
    return f"{say_minutes(offer.added_drive_s)} {more} driving"


def _between(question: OfferQuestion, tables: Tables, offer: Offer, speech: Speech) -> str:
    names = [speech.stop(question.inputs.stops[gate.stop]) for gate in tables.gates]
    if not names:
        return "the only visit of the round"
    if offer.before == 0:
        return f"first, before {names[0]}"
    if offer.before == len(names):
        return f"last, after {names[-1]}"
    return f"between {names[offer.before - 1]} and {names[offer.before]}"


def _round_clauses(offer: Offer) -> list[str]:
    """What the round pays or keeps."""
    parts, said = offer.parts, []
    if offer.added_overtime_s > 0:
        said.append(f"{say_minutes(offer.added_overtime_s)} of overtime")
    if offer.added_overtime_s < 0:
        said.append(f"{say_minutes(offer.added_overtime_s)} less overtime")
    if offer.next_slack_s is not None:
        said.append(f"the next gate keeps {_whole_minutes(offer.next_slack_s)}")
    else:
        said.append(f"{_whole_minutes(offer.home_slack_s)} are left before the latest return")
    if parts.tight:
        said.append(f"a promise on the round gets tight, which counts as {_weight(parts.tight)}")
    if parts.reserve:
        said.append(f"it takes {_weight(parts.reserve)} from what is kept for urgent visits")
    if parts.near:
        said.append(f"it brings the round near others that are due, worth {_weight(parts.near)}")
    return said


def _people_clauses(offer: Offer, speech: Speech) -> list[str]:
    parts, said = offer.parts, []
    if parts.not_usual:
        said.append("not the usual technician")
    if parts.outside:
        said.append(f"outside the area of {speech.person(offer.technician)}")
    if parts.liking:
        said.append("a technician they " + _liked(parts.liking))
    if parts.wish:
        said.append("a time they " + _liked(parts.wish))
    return said


def _liked(price: int) -> str:
    return "like" if price < 0 else "would rather not have"


def _time_clauses(offer: Offer) -> list[str]:
    parts, said = offer.parts, []
    if parts.waiting:
        said.append(f"waiting until then counts as {_weight(parts.waiting)}")
    if parts.week:
        said.append(f"the full week counts as {_weight(parts.week)}")
    days = offer.days_before_due
    if days == 0:
        said.append("on the day it is due")
    elif days is not None:
        count = "1 day" if abs(days) == 1 else f"{abs(days)} days"
        said.append(f"{count} {'before it is due' if days > 0 else 'after it was due'}")
    return said


def _whole_minutes(seconds: int) -> str:
    """What is left, never more than there is."""
    return say_minutes(seconds // MINUTE_S * MINUTE_S)


def _weight(price: int) -> str:
    return f"{max(1, round(abs(price) / UNIT))} min"


def say_why_not_more(question: OfferQuestion, offers: Offers, speech: Speech) -> list[str]:
    """Why there are fewer than three, and what is nearest to fitting; empty where there are."""
    count = len(offers.three)
    if count >= 3:
        return []
    head = {0: "No time is free", 1: "Only one time is free", 2: "Only two times are free"}[count]
    reasons = "; ".join(_say_counted(one, speech) for one in offers.counted)
    said = [f"{head}: {reasons}." if reasons else f"{head}."]
    return said + [say_near_miss(question, miss, speech) for miss in offers.near_misses[:1]]


def _say_counted(counted: Counted, speech: Speech) -> str:
    """11 technicians lack the electric licence; 4 rounds are full."""
    who, rounds = counted.technicians, counted.rounds
    skill = speech.skills.get(counted.skill, f"skill “{counted.skill}”")
    return {
        Rule.LEFT_TO_OTHERS: f"{_count(who, 'technician')} may not go, for it is left to others",
        Rule.SKILL: f"{_count(who, 'technician')} {_verb(who, 'lack')} the {skill}",
        Rule.VAN_FULL: f"on {_count(rounds, 'round')} the van has no room left",
        Rule.NO_WINDOW: f"{_count(rounds, 'round')} {_verb(rounds, 'lie')} outside its windows",
        Rule.TOO_SHORT: f"{_count(rounds, 'shift')} {_verb(rounds, 'be')} too short for it",
        Rule.FULL: f"{_count(rounds, 'round')} {_verb(rounds, 'be')} full",
    }[counted.rule]


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _verb(number: int, verb: str) -> str:
    if verb == "be":
        return "is" if number == 1 else "are"
    return f"{verb}s" if number == 1 else verb


def say_near_miss(question: OfferQuestion, miss: NearMiss, speech: Speech) -> str:
    """Thursday with Ben would break “Mill Lane before 11 am” by 14 min."""
    where = f"{speech.say_day(miss.day)} with {speech.person(miss.technician)}"
    name = speech.stop(question.candidate.stop)
    gate, promise = miss.refusal.gate, ""
    if gate is not None:
        tables = _tables_of(question, miss.shift)
        stop = question.inputs.stops[tables.gates[gate].stop]
        promise = f"{speech.stop(stop)} before {speech.clock(tables.to_s[gate + 1])}"
    return say_refusal(miss.refusal, where[:1].upper() + where[1:], name, promise)
