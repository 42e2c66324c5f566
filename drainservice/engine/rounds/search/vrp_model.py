"""The problem as a general vehicle routing solver may be asked it: without breaks, in plain lists.

A break is left out of the paid hours, for the solver knows none; the rounds are mended afterwards.
Who may not serve a stop is charged more for it than for leaving it out, so that the search stays
smooth; such a stop is taken out again when the rounds are mended.
"""

from dataclasses import dataclass

from drainservice.engine.rounds.facts import UNIT, Shift, Stop, may_go, people_units
from drainservice.engine.rounds.search.figures import MISSING, Figures

# Units x 60 for a stop on a shift that may not serve it, at least: dearer than leaving it out.
FORBIDDEN = 60_000
# A prize is at most so many times the dearest way there and back, yet 100 units where all is near:
# judgement.
PRIZE_CAP, LEAST_CAP = 5, 6_000
# Windows are drawn together where what lies between them is a small part of the shifts: judgement.
GAP_SHARE = 0.15
# The solver keeps two tables of 8 bytes a cell for each profile: up to 400 MB of them.
MOST_CELLS = 25_000_000


@dataclass(frozen=True, slots=True)
class Client:
    """A stop in one or more of its options, as one question to the solver.

    `group` numbers alternatives, of which one is served; `prize` is what leaving it out costs.
    """

    stop: int
    options: tuple[int, ...]
    early_s: int
    late_s: int
    required: bool
    prize: int
    group: int | None


@dataclass(frozen=True, slots=True)
class Kind:
    """Shifts that are alike in all the solver sees. `profile` numbers what stops cost on them."""

    shifts: tuple[int, ...]
    profile: int


@dataclass(frozen=True, slots=True)
class VrpModel:
    """Clients, groups, kinds of shift, and what each client costs extra in each profile."""

    clients: tuple[Client, ...]
    must_of_group: tuple[bool, ...]
    kinds: tuple[Kind, ...]
    extra: tuple[tuple[int, ...], ...]

    @property
    def is_too_large(self) -> bool:
        """Whether the solver would need more memory than it is given."""
        return len(self.extra) * len(self.clients) ** 2 > MOST_CELLS


def make_model(f: Figures) -> VrpModel:
    """What the solver is asked. In large plans it hears of skills alone, not of who usually comes
    and to whom a stop is promised: technicians share their tables, and mending minds the rest."""
    cap = max(LEAST_CAP, 2 * PRIZE_CAP * max((max(row) for row in f.drives), default=0))
    clients: list[Client] = []
    musts: list[bool] = []
    for stop in range(len(f.skip)):
        runs = _options_together(f, stop)
        if not runs or not f.shifts_of[stop]:
            continue
        is_must = f.skip[stop] >= MISSING
        group = len(musts) if len(runs) > 1 else None
        if group is not None:
            musts.append(is_must)
        for run in runs:
            early, late = min(f.early_s[o] for o in run), max(f.late_s[o] for o in run)
            prize = 0 if is_must else min(f.skip[stop], cap)
            clients.append(Client(stop, run, early, late, is_must and group is None, prize, group))
    forbidden = max(FORBIDDEN, 2 * cap)
    extra, profile_of = _extras(f, clients, forbidden, by_skills=False)
    if len(extra) * len(clients) ** 2 > MOST_CELLS:
        extra, profile_of = _extras(f, clients, forbidden, by_skills=True)
    lifted, costs = _lift(clients, extra)
    return VrpModel(tuple(lifted), tuple(musts), _kinds(f, profile_of), costs)


def _options_together(f: Figures, stop: int) -> list[tuple[int, ...]]:
    """The options of a stop in runs, each of which can be asked as one window."""
    options = [
        option
        for option in range(f.first_option[stop], f.first_option[stop + 1])
        if f.early_s[option] <= f.late_s[option]
        and any(option in f.own[shift] for shift in f.shifts_of[stop])
    ]
    runs: list[tuple[int, ...]] = []
    for option in sorted(options, key=lambda o: (f.early_s[o], f.late_s[o])):
        if runs and _may_join(f, stop, runs[-1], option):
            runs[-1] = (*runs[-1], option)
        else:
            runs.append((option,))
    return runs


def _may_join(f: Figures, stop: int, run: tuple[int, ...], option: int) -> bool:
    """Whether hardly any paid time lies between them, and moving costs nothing."""
    if f.inputs.stops[stop].move_units:
        return False
    gap_from, gap_to = max(f.late_s[o] for o in run), f.early_s[option]
    first_s, last_s = f.early_s[run[0]], f.late_s[option]
    lost = paid = 0
    for shift in f.shifts_of[stop]:
        starts, ends = f.starts_s[shift], f.ends_s[shift]
        if starts <= last_s and ends >= first_s:
            paid += ends - starts
            lost += max(0, min(gap_to, ends) - max(gap_from, starts))
    return lost <= GAP_SHARE * paid


def _extras(
    f: Figures, clients: list[Client], forbidden: int, *, by_skills: bool
) -> tuple[list[list[int]], list[int]]:
    """What each client costs in each profile, and the profile of each shift; a technician has one
    profile for all days, and technicians who cost the same share it."""
    profiles: dict[tuple[int, ...], int] = {}
    known: dict[tuple[int, frozenset[str]], int] = {}
    profile_of = []
    for shift in f.inputs.shifts:
        key = (-1 if by_skills else shift.technician, shift.skills)
        if key not in known:
            row = tuple(
                _skills_extra(f.inputs.stops[client.stop], shift, forbidden)
                if by_skills
                else _extra(f, client, shift, forbidden)
                for client in clients
            )
            known[key] = profiles.setdefault(row, len(profiles))
        profile_of.append(known[key])
    return [list(row) for row in profiles], profile_of


def _skills_extra(stop: Stop, shift: Shift, forbidden: int) -> int:
    return 0 if stop.skills <= shift.skills else forbidden


def _extra(f: Figures, client: Client, shift: Shift, forbidden: int) -> int:
    """What a client costs with a technician, whichever day it is."""
    stop = f.inputs.stops[client.stop]
    if not may_go(stop, shift):
        return forbidden
    if not stop.move_units:
        return UNIT * people_units(stop, shift.technician, f.inputs.tariff)
    costs = [
        f.own[number][option]
        for number in f.shifts_of[client.stop]
        for option in client.options
        if f.inputs.shifts[number].technician == shift.technician and option in f.own[number]
    ]
    return min(costs, default=forbidden)


def _lift(
    clients: list[Client], extra: list[list[int]]
) -> tuple[list[Client], tuple[tuple[int, ...], ...]]:
    """No cost may be negative: a preference is told as a larger prize and dearer others."""
    out = []
    for number, client in enumerate(clients):
        least = min(0, min(row[number] for row in extra))
        for row in extra:
            row[number] -= least
        prize = client.prize - least if client.prize else 0
        out.append(
            Client(
                client.stop,
                client.options,
                client.early_s,
                client.late_s,
                client.required,
                prize,
                client.group,
            )
        )
    return out, tuple(tuple(row) for row in extra)


def _kinds(f: Figures, profile_of: list[int]) -> tuple[Kind, ...]:
    alike: dict[tuple[object, ...], list[int]] = {}
    for number, shift in enumerate(f.inputs.shifts):
        key = (
            shift.starts_s,
            shift.ends_s,
            shift.overtime_s,
            shift.pause,
            shift.leaves_from,
            shift.returns_to,
            shift.room,
            profile_of[number],
        )
        alike.setdefault(key, []).append(number)
    return tuple(Kind(tuple(shifts), profile_of[shifts[0]]) for shifts in alike.values())
