"""Rows become what rounds are planned from: shifts, stops, places, and the rounds as they stand."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.db.models import Q

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.models import Account
from drainservice.engine.rounds import facts as engine
from drainservice.engine.rounds.facts import DAY_S, Gate, PlanInputs, Shift, Stop, Tariff, may_go
from drainservice.register.models import Site
from drainservice.visits.models import OPEN, PlanningTerms, Round, State, Visit
from drainservice.visits.queries.closed import terms_read_once
from drainservice.visits.queries.crew import CrewShift, shifts_on, the_terms
from drainservice.visits.queries.gathered_places import Places, drives_between
from drainservice.visits.queries.gathered_shifts import (
    is_settled,
    make_shift,
    settled_by_technician,
)
from drainservice.visits.queries.gathered_stops import (
    StopFacts,
    areas_of,
    is_placed,
    is_promised,
    make_stop,
    usual_technicians,
)
from drainservice.visits.queries.worth import wanted_of, worth_of

DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Clock:
    """Instants as the engine's seconds: from local midnight of `day0`, a day as 86,400 of them."""

    day0: date
    zone: str

    def seconds_of(self, instant: datetime) -> int:
        """Whole seconds by the wall clock of the zone."""
        here = wall.local(instant, self.zone)
        midnight = datetime.combine(self.day0, time(0))
        return int((here.replace(tzinfo=None) - midnight).total_seconds())

    def instant_of(self, seconds: int) -> datetime:
        """The moment at which the clock of the zone shows it."""
        days, rest = divmod(seconds, DAY_S)
        at = time(rest // 3600, rest // 60 % 60, rest % 60)
        return wall.instant(self.day0 + timedelta(days=days), at, self.zone)

    def day_of(self, seconds: int) -> date:
        """The day on which it falls."""
        return self.day0 + timedelta(days=seconds // DAY_S)


@dataclass(frozen=True, slots=True)
class Gathered:
    """Inputs of a plan, and the rows they were made from.

    `shifts[i]` and `visits[i]` are the rows of `inputs.shifts[i]` and `inputs.stops[i]`;
    `versions` those of the rounds by technician and day, 0 where there is no row yet; `notes`
    sentences about what is missing or cannot be. Shifts of which nothing is left today are left
    out, and so are visits that are made or under way: their technician's day begins there.
    """

    inputs: PlanInputs
    clock: Clock
    shifts: list[CrewShift]
    visits: list[Visit]
    versions: dict[tuple[int, date], int]
    notes: list[str]
    # The number of each site's place in `inputs.drives`.
    places: dict[int, int]

    @property
    def day0(self) -> date:
        """The first day."""
        return self.clock.day0

    @property
    def zone(self) -> str:
        """The zone of the engine's clock."""
        return self.clock.zone

    def seconds_of(self, instant: datetime) -> int:
        """An instant in the engine's seconds."""
        return self.clock.seconds_of(instant)

    def instant_of(self, seconds: int) -> datetime:
        """The engine's seconds as an instant."""
        return self.clock.instant_of(seconds)


@terms_read_once()
def gather_rounds(
    *,
    at: datetime,
    days: Sequence[date],
    technicians: Iterable[Account] | None = None,
    also: Sequence[Visit] = (),
    without: Visit | None = None,
    sites: Sequence[Site] = (),
    zone: str | None = None,
    with_unplaced: bool = True,
    for_repair: bool = False,
    for_room: bool = False,
) -> Gathered:
    """The rounds of these days, from today on, in a fixed number of statements.

    `also` are visits to be placed beside those of the days; without `with_unplaced` no others are
    brought that have no time yet. `without` is left out wherever it stands; `sites` have their
    places numbered, too. `for_repair` puts a price on moving what was told; `for_room` leaves out
    who usually goes where, since only driving and hours count where the technician is chosen.
    """
    zone = zone or accounts.the_firm().zone
    today = wall.today_in(zone, at)
    ahead = sorted({day for day in days if day >= today}) or [today]
    clock = Clock(ahead[0], zone)
    crew = shifts_on(ahead, technicians=technicians)
    found = _visits(clock, ahead, at, technicians, with_unplaced)
    if without is not None:
        found = [visit for visit in found if visit.pk != without.pk]
    also = [visit for visit in also if visit.pk is None or visit.pk not in {v.pk for v in found}]
    planned = [*found, *also]
    places = Places(
        (shift.base for shift in crew if shift.base is not None),
        [*(visit.site for visit in planned), *sites],
    )
    rounds = _rounds(ahead, technicians)
    shifts, of_shift = _shifts(crew, planned, places, clock, today, at, rounds)
    usual = {} if for_room else usual_technicians(visit.site_id for visit in planned)
    facts = _facts(planned, shifts, of_shift, clock, at, usual, for_repair)
    notes = list(places.notes)
    visits, stops = _stops(planned, places, facts, today, notes)
    inputs = PlanInputs(
        drives=drives_between(places.points),
        shifts=tuple(shifts),
        stops=tuple(stops),
        present=present_rounds(visits, stops, shifts, clock, at),
        tariff=tariff_of(facts.terms),
    )
    notes += _notes(inputs, visits)
    versions = {(shift.technician.pk, shift.day): _version(rounds, shift) for shift in of_shift}
    numbers = {
        pk: places.of_site(pk) for pk in (*(v.site_id for v in planned), *(s.pk for s in sites))
    }
    return Gathered(inputs, clock, of_shift, visits, versions, notes, numbers)


def tariff_of(terms: PlanningTerms) -> Tariff:
    """What things cost by the firm's terms."""
    return Tariff(
        overtime=terms.overtime_units,
        not_usual=terms.not_usual_units,
        outside_area=terms.outside_area_units,
        move_offer=terms.move_offer_units,
        move_promise=terms.move_promise_units,
    )


def _visits(
    clock: Clock,
    days: Sequence[date],
    at: datetime,
    technicians: Iterable[Account] | None,
    with_unplaced: bool,
) -> list[Visit]:
    """What stands in the days' rounds, what was done there, and what may be placed in them."""
    first = wall.instant(days[0], time(0), clock.zone)
    end = wall.instant(days[-1] + DAY, time(0), clock.zone)
    here = Q(slot_starts_at__gte=first, slot_starts_at__lt=end)
    if technicians is not None:
        here &= Q(technician__in=[account.pk for account in technicians])
    wanted = here & Q(state__in=[*OPEN, State.MADE, State.NOT_REACHED])
    if with_unplaced:
        is_soon = Q(meant_for__isnull=True) | Q(meant_for__lte=days[-1])
        wanted |= Q(state=State.PLANNED, slot_starts_at__isnull=True) & is_soon
        wanted |= Q(state=State.HELD, held_until__lte=at)
    rows = Visit.objects.standing().filter(wanted).select_related("site")
    allowed = set(days)
    found = []
    for visit in rows.order_by("slot_starts_at", "pk"):
        if is_placed(visit, at) or visit.state not in OPEN:
            day = clock.day_of(clock.seconds_of(visit.slot_starts_at))
            if day not in allowed:
                continue
        elif not with_unplaced:
            continue
        found.append(visit)
    return found


def _rounds(
    days: Sequence[date], technicians: Iterable[Account] | None
) -> dict[tuple[int, date], Round]:
    rows = Round.objects.filter(day__in=days)
    if technicians is not None:
        rows = rows.filter(technician__in=[account.pk for account in technicians])
    return {(row.technician_id, row.day): row for row in rows}


def _version(rounds: Mapping[tuple[int, date], Round], shift: CrewShift) -> int:
    row = rounds.get((shift.technician.pk, shift.day))
    return 0 if row is None else row.version


def _shifts(
    crew: Sequence[CrewShift],
    visits: Sequence[Visit],
    places: Places,
    clock: Clock,
    today: date,
    at: datetime,
    rounds: Mapping[tuple[int, date], Round],
) -> tuple[list[Shift], list[CrewShift]]:
    settled = settled_by_technician(visits, today, places.of_site)
    shifts, rows = [], []
    for row in crew:
        is_today = row.day == today
        shift = make_shift(
            row,
            day0=clock.day0,
            base=places.of_base(row.base),
            seconds_of=clock.seconds_of,
            at=at,
            settled=settled.get(row.technician.pk, ()) if is_today else (),
            round_=rounds.get((row.technician.pk, row.day)),
        )
        if shift is not None:
            shifts.append(shift)
            rows.append(row)
    return shifts, rows


def _facts(
    visits: Sequence[Visit],
    shifts: Sequence[Shift],
    crew: Sequence[CrewShift],
    clock: Clock,
    at: datetime,
    usual: Mapping[int, int],
    for_repair: bool,
) -> StopFacts:
    unpromised = [v for v in visits if v.state in OPEN and not is_promised(v, at)]
    today = wall.today_in(clock.zone, at)
    wanted = wanted_of(unpromised, today) if unpromised else {}
    return StopFacts(
        day0=clock.day0,
        at=at,
        seconds_of=clock.seconds_of,
        spans=spans_of(shifts),
        terms=the_terms(),
        usual=usual,
        areas=areas_of(crew),
        wanted=wanted,
        worth=worth_of(unpromised, wanted, today) if unpromised else {},
        for_repair=for_repair,
    )


def spans_of(shifts: Iterable[Shift]) -> dict[int, tuple[int, int]]:
    """From the first start to the last end of each day's shifts."""
    found: dict[int, tuple[int, int]] = {}
    for shift in shifts:
        from_s, to_s = found.get(shift.day, (shift.starts_s, shift.closes_s))
        found[shift.day] = (min(from_s, shift.starts_s), max(to_s, shift.closes_s))
    return found


def _stops(
    visits: Sequence[Visit], places: Places, facts: StopFacts, today: date, notes: list[str]
) -> tuple[list[Visit], list[Stop]]:
    rows, stops = [], []
    for visit in visits:
        if visit.state not in OPEN or is_settled(visit, today):
            continue
        if is_promised(visit, facts.at) and is_over(visit, facts.at):
            notes.append(
                f"The window of {visit.site.address} is over and nobody says that the visit was "
                "made; say so on its page, or give it another time."
            )
            continue
        place = places.of_site(visit.site_id)
        stop = make_stop(visit, place, places.points[place], facts)
        if stop is not None:
            rows.append(visit)
            stops.append(stop)
    return rows, stops


def is_over(visit: Visit, at: datetime) -> bool:
    """Whether its promised window has closed."""
    return visit.window_ends_at is not None and visit.window_ends_at < at


def present_rounds(
    visits: Sequence[Visit],
    stops: Sequence[Stop],
    shifts: Sequence[Shift],
    clock: Clock,
    at: datetime,
) -> tuple[engine.Round, ...]:
    """The rounds as they stand: each shift's gates in order of their planned starts."""
    numbers = {(shift.technician, shift.day): number for number, shift in enumerate(shifts)}
    gates: dict[int, list[tuple[int, int, Gate]]] = {}
    for number, (visit, stop) in enumerate(zip(visits, stops, strict=True)):
        if not is_placed(visit, at) or visit.slot_starts_at is None:
            continue
        start_s = clock.seconds_of(visit.slot_starts_at)
        shift = numbers.get((visit.technician_id or 0, start_s // DAY_S))
        if shift is not None:
            window = next(
                (n for n, w in enumerate(stop.windows) if w.from_s <= start_s <= w.to_s), 0
            )
            gates.setdefault(shift, []).append((start_s, number, Gate(number, window)))
    return tuple(
        engine.Round(shift, tuple(gate for _, _, gate in sorted(gates[shift], key=lambda g: g[:2])))
        for shift in sorted(gates)
    )


def _notes(inputs: PlanInputs, visits: Sequence[Visit]) -> list[str]:
    longest_s = max((shift.closes_s - shift.starts_s for shift in inputs.shifts), default=0)
    held = frozenset().union(*(shift.skills for shift in inputs.shifts))
    notes = []
    for stop, visit in zip(inputs.stops, visits, strict=True):
        who = visit.site.address
        if inputs.shifts and stop.work_s > longest_s:
            notes.append(
                f"The visit to {who} takes {visit.minutes} min, longer than anybody works on these "
                "days; shorten it or share it between two visits."
            )
        elif stop.skills - held:
            lacking = ", ".join(sorted(stop.skills - held))
            notes.append(
                f"Nobody who works on these days has what {who} needs: {lacking}; enter the skill "
                "on the page of the crew or choose other days."
            )
        elif stop.must and not any(may_go(stop, shift) for shift in inputs.shifts):
            notes.append(
                f"{who} is promised, and nobody whom it is left to works on these days; lift its "
                "lock or give it another time."
            )
    return notes
