"""A day's round in order: where, how to get in, what for, and the next act."""

from datetime import date
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.safestring import mark_safe

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker, NotFound
from drainservice.accounts.codes import unseal
from drainservice.accounts.models import Account, ChannelKind
from drainservice.accounts.queries import the_firm
from drainservice.doors.door import door
from drainservice.engine.drawings.round_facts import RoundCannotBeDrawn, RoundFacts, say_slack
from drainservice.engine.drawings.round_line import draw_round_line
from drainservice.engine.drawings.sheet import Width
from drainservice.inspections.models import LookKind, WhyNot
from drainservice.register import queries as register
from drainservice.register.models import System
from drainservice.visits import queries as visits
from drainservice.visits.models import State, Visit, VisitSystem
from drainservice.web.round_pictures import clock_style, round_facts_of

OVER = {State.MADE, State.NOT_REACHED}
LOOKS = {kind.value: kind.label for kind in LookKind} | {
    "mend": "mend what was found",
    "access": "make the lid reachable",
}


@door(to="technician")
def today(request: Any) -> HttpResponse:
    """The signed-in person's round of today."""
    day = wall.today_in(the_firm().zone, request.asker.at)
    return show_round(request, request.user, day)


@door(to="technician")
def technician_round(request: Any, day: str, handle: str) -> HttpResponse:
    """A round by its day and handle: the office sees all, a technician their own."""
    technician = accounts.account_for(request.asker, handle)
    try:
        wanted = date.fromisoformat(day)
    except ValueError:
        raise NotFound from None
    return show_round(request, technician, wanted)


def show_round(
    request: Any, technician: Account, day: date, *, status: int = 200, refusal: str = ""
) -> HttpResponse:
    """The page of a round; `refusal` says why an act on it was not done."""
    round_ = visits.round_of(request.asker, technician, day)
    facts = round_facts_of(round_)
    open_ones = [visit for visit in round_ if visit.state not in OVER]
    context = {
        "here": "today",
        "technician": technician,
        "is_own": technician.pk == request.asker.account_id,
        "day": day,
        "stops": _stops(request.asker, round_, facts),
        "is_over": bool(round_) and not open_ones,
        "next": open_ones[0] if open_ones else None,
        "next_system": _next_system(open_ones[0]) if open_ones else None,
        "left": len(open_ones),
        "drawing": _draw(facts),
        "whys": [(why.value, why.label) for why in WhyNot if why != WhyNot.CALLED_OFF],
        "refusal": refusal,
    }
    return render(request, "technician/today.html", context, status=status)


def _stops(asker: Asker, round_: list[Visit], facts: RoundFacts | None) -> list[dict[str, Any]]:
    drawn = [visit.pk for visit in round_ if visit.slot_starts_at]
    gates = dict(zip(drawn, facts.visits, strict=True)) if facts else {}
    return [
        {
            "number": number,
            "visit": visit,
            "slack": say_slack(gates[visit.pk]) if visit.pk in gates else "",
            "breaks": visit.pk in gates and gates[visit.pk].breaks,
            "way_in": _way_in(asker, visit),
            "systems": [_wanted(row) for row in visit.wanted],  # type: ignore[attr-defined]
            "is_over": visit.state in OVER,
            "is_there": visit.state == State.AT_PIT,
            "can_set_out": visit.state == State.AGREED and visit.set_out_at is None,
            "can_arrive": visit.state == State.AGREED,
            "can_miss": visit.state in {State.AGREED, State.AT_PIT},
        }
        for number, visit in enumerate(round_, 1)
    ]


def _next_system(visit: Visit) -> System | None:
    """Of a visit whose technician is at the pit: the first system not recorded yet."""
    if visit.state != State.AT_PIT:
        return None
    rows: list[VisitSystem] = visit.wanted  # type: ignore[attr-defined]
    return next((row.system for row in rows if row.inspection_id is None), None)


def _wanted(row: Any) -> dict[str, Any]:
    looks = [LOOKS.get(kind, kind) for kind in row.looks_wanted]
    return {"system": row.system, "looks": ", ".join(looks), "inspection": row.inspection_id}


def _way_in(asker: Asker, visit: Visit) -> dict[str, Any] | None:
    """Notes, codes and whom to ring, only while this asker may see them."""
    site = visit.site
    if not register.may_see_contacts(asker, site):
        return None
    people = register.people_asked(site, visit.day or asker.at.date())
    return {
        "note": site.access_note,
        "dog": site.dog_note,
        "codes": unseal(site.codes),
        "confirmed_on": site.access_confirmed_on,
        "people": [
            {
                "name": person.name,
                "telephones": [
                    channel.address
                    for channel in accounts.channels_of(person)
                    if channel.kind in {ChannelKind.TELEPHONE, ChannelKind.TEXT}
                ],
            }
            for person in people
        ],
    }


def _draw(facts: RoundFacts | None) -> str:
    if facts is None:
        return ""
    units, clock = clock_style()
    try:
        return mark_safe(draw_round_line(facts, Width.PHONE, units, clock, "round"))
    except RoundCannotBeDrawn:
        return ""
