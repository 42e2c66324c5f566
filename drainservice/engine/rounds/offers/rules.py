"""Which shifts may be asked, how many each rule shuts out, and questions without an answer."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from drainservice.engine.rounds.facts import Stop, Window
from drainservice.engine.rounds.insert import fits_in, has_room_for, room_at
from drainservice.engine.rounds.offers.facts import Counted, Half, OfferQuestion, Rule
from drainservice.engine.rounds.offers.windows import bounds_in, half_of, windows_on
from drainservice.engine.rounds.tables import Tables, tables_of

Cut = tuple[tuple[Window, ...], tuple[tuple[int, int], ...], tuple[Half, ...]]
Alike = tuple[object, ...]


class OfferImpossible(ValueError):
    """No free time can exist, whatever the rounds hold; the text says what to change."""


class NoShiftReachesWindow(OfferImpossible):
    """No shift lies in the windows of the visit."""


class VisitLongerThanAnyDay(OfferImpossible):
    """The visit with its drives and the break does not fit into any empty shift."""


class NobodyHasTheSkill(OfferImpossible):
    """No technician with a shift has every skill the visit needs."""


class NobodyIsLeft(OfferImpossible):
    """The visit is left to technicians who have no shift."""


class DrivesDoNotMatch(OfferImpossible):
    """The drives of the visit speak of other places than the plan."""


@dataclass(frozen=True, slots=True)
class Look:
    """One shift as the question finds it: shut by a rule, or open with these windows.

    `index` counts the question's tables. `bounds_s[k]` is when a start may be planned for
    `windows[k]`, `halves[k]` the half of the day it opens in.
    """

    index: int
    tables: Tables
    rule: Rule | None = None
    skill: str = ""
    windows: tuple[Window, ...] = ()
    bounds_s: tuple[tuple[int, int], ...] = ()
    halves: tuple[Half, ...] = ()


def look_at_shifts(question: OfferQuestion) -> list[Look]:
    """Every shift of the question, shut or open. Raises DrivesDoNotMatch."""
    places = len(question.inputs.drives)
    candidate = question.candidate
    for ways in (candidate.ways_in_s, candidate.ways_on_s):
        if len(ways) != places:
            raise DrivesDoNotMatch(
                f"Visit {candidate.stop.key} has drives to {len(ways)} places and the plan has "
                f"{places}; count its drives again."
            )
    cuts: dict[tuple[int, int], Cut] = {}
    looks = []
    for index, tables in enumerate(question.tables):
        rule, skill = _shut_by(tables, candidate.stop)
        if rule is not None:
            looks.append(Look(index, tables, rule, skill))
            continue
        hours = (tables.shift.starts_s, tables.shift.ends_s)
        if hours not in cuts:
            cuts[hours] = _cut(question, tables)
        rule = None if cuts[hours][0] else Rule.NO_WINDOW
        looks.append(Look(index, tables, rule, "", *cuts[hours]))
    return looks


def _shut_by(tables: Tables, stop: Stop) -> tuple[Rule | None, str]:
    """The rule that shuts the shift whatever its hours, and the first skill it lacks."""
    shift = tables.shift
    if stop.only is not None and shift.technician not in stop.only:
        return Rule.LEFT_TO_OTHERS, ""
    if not stop.skills <= shift.skills:
        return Rule.SKILL, min(stop.skills - shift.skills)
    return (None, "") if has_room_for(tables, stop) else (Rule.VAN_FULL, "")


def _cut(question: OfferQuestion, tables: Tables) -> Cut:
    """The windows of shifts with these hours, and when a start may be planned for each."""
    stop, terms = question.candidate.stop, question.terms
    windows = tuple(windows_on(stop, tables.shift, terms))
    bounds_s = tuple(bounds_in(stop, window, terms) for window in windows)
    return windows, bounds_s, tuple(half_of(window) for window in windows)


def shut_the_rest(
    question: OfferQuestion, looks: Sequence[Look], offering: frozenset[int]
) -> list[Look]:
    """The looks again, where open shifts that offer nothing are told apart: too short or full."""
    alone: dict[Alike, bool] = {}
    told = []
    for look in looks:
        if look.rule is not None or look.index in offering:
            told.append(look)
            continue
        alike = _alike(look)
        if alike not in alone:
            alone[alike] = _fits_alone(question, look.tables, look.bounds_s)
        rule = Rule.FULL if alone[alike] else Rule.TOO_SHORT
        cut = (look.windows, look.bounds_s, look.halves)
        told.append(Look(look.index, look.tables, rule, "", *cut))
    return told


def _alike(look: Look) -> Alike:
    """What decides whether a visit fits into an empty shift; alike on other days, less the day."""
    shift, tables = look.tables.shift, look.tables
    start_s = shift.starts_s
    bounds_s = tuple((from_s - start_s, to_s - start_s) for from_s, to_s in look.bounds_s)
    hours = (shift.closes_s - start_s, shift.leaves_from, shift.returns_to, tables.pause_s)
    pause = shift.pause
    rest = None if pause is None else (pause.earliest_s - start_s, pause.latest_s - start_s)
    return hours, rest, bounds_s


def _fits_alone(
    question: OfferQuestion, tables: Tables, bounds_s: Sequence[tuple[int, int]]
) -> bool:
    """Whether the visit would fit into the shift if it had no gates."""
    shift, candidate = tables.shift, question.candidate
    places = [shift.leaves_from, shift.returns_to]
    leg_s = question.inputs.drives[shift.leaves_from][shift.returns_to]
    empty = tables_of(tables.number, shift, (), places, [], [], [leg_s])
    way_in_s = candidate.ways_in_s[shift.leaves_from]
    way_on_s = candidate.ways_on_s[shift.returns_to]
    room = room_at(empty, 0, way_in_s, way_on_s, candidate.stop.work_s)
    return any(fits_in(room, *bounds) for bounds in bounds_s)


def count_rules(looks: Sequence[Look]) -> tuple[Counted, ...]:
    """How many technicians and rounds each rule shut out, in the order of the rules."""
    groups: dict[tuple[Rule, str], list[int]] = defaultdict(list)
    for look in looks:
        if look.rule is not None:
            groups[look.rule, look.skill].append(look.tables.shift.technician)
    order = list(Rule)
    return tuple(
        Counted(rule, len(set(technicians)), len(technicians), skill)
        for (rule, skill), technicians in sorted(
            groups.items(), key=lambda item: (order.index(item[0][0]), item[0][1])
        )
    )


def refuse_impossible(question: OfferQuestion, looks: Sequence[Look]) -> None:
    """Raise where no round, however empty, could take the visit; `looks` tell all shut shifts."""
    stop = question.candidate.stop
    name = f"Visit {stop.key}"
    if not looks:
        raise NoShiftReachesWindow(
            f"{name}: no technician has a shift on the days asked about; ask about other days, or "
            "enter a shift."
        )
    left = [look for look in looks if look.rule != Rule.LEFT_TO_OTHERS]
    if not left:
        raise NobodyIsLeft(
            f"{name} is left to technicians who have no shift on these days; take the lock off, or "
            "ask about other days."
        )
    skilled = [look for look in left if look.rule != Rule.SKILL]
    if not skilled:
        skills = ", ".join(sorted({look.skill for look in left}))
        raise NobodyHasTheSkill(
            f"{name} needs a skill ({skills}) that nobody who may go has on these days; ask about "
            "other days, or enter the skill with a technician or a van."
        )
    if any(look.rule not in (Rule.NO_WINDOW, Rule.TOO_SHORT) for look in skilled):
        return
    if any(_is_too_long(question, look) for look in skilled if look.rule == Rule.TOO_SHORT):
        raise VisitLongerThanAnyDay(
            f"{name} takes {stop.work_s // 60} min; with its drives and the break that is longer "
            "than any shift that may take it; part it in two visits, or let a shift end later."
        )
    raise NoShiftReachesWindow(
        f"{name}: no shift lies in its windows, or can reach it in time; widen the windows, or ask "
        "about other days."
    )


def _is_too_long(question: OfferQuestion, look: Look) -> bool:
    """Whether the visit fits at no hour of the shift, either."""
    shift = look.tables.shift
    return not _fits_alone(question, look.tables, [(shift.starts_s, shift.closes_s)])
