"""The rounds that a repair changes, drawn as lines through gates before and after."""

from collections.abc import Iterable
from copy import copy
from dataclasses import dataclass, replace
from datetime import timedelta

from drainservice.accounts import wall
from drainservice.engine.rounds.check import drive_round
from drainservice.engine.rounds.facts import Plan, PlanInputs, Round
from drainservice.engine.rounds.speech import Speech
from drainservice.engine.rounds.tables import make_tables
from drainservice.visits.models import HomeBase, Visit
from drainservice.visits.queries import Gathered
from drainservice.web.dispatcher.drawing import Drawing
from drainservice.web.dispatcher.rounds_drawn import draw_visits
from drainservice.web.round_pictures import NOTHING, Known

# More are told in words alone: judgement.
MOST = 6


@dataclass(frozen=True, slots=True)
class Changed:
    """One technician's round before and after; None: there is none. `words` tell both."""

    words: str
    before: Drawing | None
    after: Drawing | None


def draw_changed(
    gathered: Gathered, asked: PlanInputs, plan: Plan, speech: Speech, name: str
) -> tuple[list[Changed], int]:
    """The rounds whose order or visits change, and how many more there are than are drawn."""
    before = _before(gathered)
    rounds = {asked.shifts[round_.shift].technician: round_ for round_ in plan.rounds}
    after = {who: _after(gathered, asked, round_) for who, round_ in rounds.items()}
    order = sorted({*before, *after}, key=lambda who: (who in after, speech.person(who), who))
    changed = [who for who in order if _keys(before.get(who, [])) != _keys(after.get(who, []))]
    bases = {shift.technician.pk: shift.base for shift in gathered.shifts}
    drawn = []
    for who in changed[:MOST]:
        was, now = before.get(who, []), after.get(who, [])
        known = _known(gathered, asked, rounds[who], bases.get(who)) if now else NOTHING
        drawn.append(
            Changed(
                _say(speech.person(who), len(was), len(now)),
                draw_visits(was, replace(NOTHING, base=bases.get(who)), f"{name}-b{who}"),
                draw_visits(now, known, f"{name}-a{who}"),
            )
        )
    return drawn, max(0, len(changed) - MOST)


def _known(gathered: Gathered, asked: PlanInputs, round_: Round, base: HomeBase | None) -> Known:
    """Where the round would begin, how far each visit might slip, and the break."""
    planned, pause = make_tables(asked, round_).planned, asked.shifts[round_.shift].pause
    rests_s = planned.break_starts_s
    return Known(
        base=base,
        rooms_min={
            gathered.visits[gate.stop].pk: slack_s / 60
            for gate, slack_s in zip(round_.gates, planned.slack_s, strict=True)
        },
        break_starts_at=None if rests_s is None else gathered.instant_of(rests_s),
        break_minutes=0 if pause is None else pause.length_s // 60,
    )


def _say(who: str, before: int, after: int) -> str:
    """Andrea: 6 visits as it stands, none as it would be"""
    many = f"{before or 'no'} {'visit' if before == 1 else 'visits'}"
    return f"{who}: {many} as it stands, {after or 'none'} as it would be"


def _keys(visits: Iterable[Visit]) -> list[int]:
    return [visit.pk for visit in visits]


def _before(gathered: Gathered) -> dict[int, list[Visit]]:
    """Each technician's visits as they stand, those of whoever is away among them."""
    found: dict[int, list[Visit]] = {}
    placed = [visit for visit in gathered.visits if visit.slot_starts_at is not None]
    for visit in sorted(placed, key=lambda visit: (visit.slot_starts_at, visit.pk)):
        if visit.technician_id is not None:
            found.setdefault(visit.technician_id, []).append(visit)
    return found


def _after(gathered: Gathered, asked: PlanInputs, round_: Round) -> list[Visit]:
    """The visits as they would stand. Copies, never saved."""
    driven, found = drive_round(asked, round_), []
    assert driven is not None  # the judge has driven it
    for gate, start_s in zip(round_.gates, driven.starts_s, strict=True):
        visit, stop = copy(gathered.visits[gate.stop]), asked.stops[gate.stop]
        window = stop.windows[gate.window]
        visit.slot_starts_at = gathered.instant_of(start_s)
        visit.slot_ends_at = visit.slot_starts_at + timedelta(minutes=visit.minutes)
        visit.window_starts_at = gathered.instant_of(window.from_s)
        visit.window_ends_at = gathered.instant_of(window.to_s)
        visit.day = wall.today_in(visit.site.zone, visit.slot_starts_at)
        found.append(visit)
    return found
