"""Visits as they are booked: planned, offered, answered, moved, made, by the office's own acts."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from drainservice.accounts.models import Account, Person
from drainservice.inspections.models.record import InspectionRecord
from drainservice.register.models import System
from drainservice.visits import actions as visits
from drainservice.visits.models import Visit
from drainservice.visits.queries import Window, visit_for
from drainservice.web.demo.county import County
from drainservice.web.demo.days import Days, Diary, as_account, as_household, machine
from drainservice.web.demo.homes import Home
from drainservice.web.demo.looks import kinds_for
from drainservice.web.demo.places import Place

YEARLY = "yearly look"
MOST_TRIES = 10
# Further back, visits were agreed while the household was on the line.
BY_TELEPHONE_DAYS = 45


@dataclass(slots=True)
class Office:
    """The dispatcher's desk: the firm, the calendar, and which windows are taken."""

    county: County
    days: Days
    diary: Diary
    # Old inspections, written down together when the office began to book with this server.
    told: list[tuple[System, InspectionRecord]] = field(default_factory=list)

    def plan(
        self,
        places: list[Place],
        *,
        at: datetime,
        on: date,
        purpose: str = YEARLY,
        looks: list[str] | None = None,
        minutes: int = 0,
        is_digging: bool = False,
        skills: Sequence[str] = (),
    ) -> Visit:
        """Mean to come in the week of that day."""
        return visits.plan_visit(
            places[0].home.site,
            asker=as_account(self.county.dispatcher, at),
            purpose=purpose,
            systems={p.system: looks or kinds_for(p, on) for p in places},
            meant_for=on - timedelta(days=on.weekday()),
            minutes=minutes or 25 + 20 * len(places),
            is_digging=is_digging,
            skills=skills,
        )

    def offer(self, visit: Visit, to: Window, technician: Account, at: datetime) -> Visit:
        """Offer a time by message; where the round has no room then, the next window that has."""
        asker = as_account(self.county.dispatcher, at)

        def offer(window: Window) -> Visit:
            return visits.offer_visit(visit, to=window, technician=technician, asker=asker)

        return self._first_that_fits(offer, to, technician)

    def _agree_at_once(self, visit: Visit, to: Window, technician: Account, at: datetime) -> Visit:
        asker = as_account(self.county.dispatcher, at)

        def agree(window: Window) -> Visit:
            return visits.agree_visit(visit, kept=(window, technician), asker=asker)

        return self._first_that_fits(agree, to, technician)

    def _first_that_fits(
        self, act: Callable[[Window], Visit], to: Window, technician: Account
    ) -> Visit:
        """The act in that window, or the technician's next free one in which it can be done."""
        for _ in range(MOST_TRIES):
            try:
                return act(to)
            except visits.NoTimeFree:
                to = self.diary.take(technician, to.day, step=1)
        return act(to)

    def answer(self, visit: Visit, home: Home, word: str, at: datetime, *, note: str = "") -> Visit:
        """The household's answer, by its link or on the telephone."""
        return self.answer_of(visit, home, home.person, word, at, note=note)

    def answer_of(
        self, visit: Visit, home: Home, person: Person, word: str, at: datetime, *, note: str = ""
    ) -> Visit:
        """One person's answer."""
        by = home.answers_by()
        asker = as_household(person, home.household, at)
        if by == "telephone":
            asker = as_account(self.county.dispatcher, at)
        visits.answer_visit(
            visit,
            asker=asker,
            word=word,
            by=by,
            person=person,
            sequence=visit.sequence,
            note=note,
        )
        return self.again(visit, at)

    def move(self, visit: Visit, to: Window, at: datetime) -> Visit:
        """Give another time."""
        return visits.move_visit(visit, to=to, asker=as_account(self.county.dispatcher, at))

    def call_off(self, visit: Visit, at: datetime, *, by: str, because: str) -> Visit:
        """End it before it was made."""
        asker = as_account(self.county.dispatcher, at)
        return visits.call_off_visit(visit, asker=asker, by=by, because=because)

    def agreed(
        self,
        places: list[Place],
        to: Window,
        *,
        told_days: int,
        purpose: str = YEARLY,
        looks: list[str] | None = None,
        minutes: int = 0,
    ) -> Visit:
        """Planned, offered so many days ahead, and answered yes two days later; what lies long back
        was agreed on the telephone at once."""
        home, days = places[0].home, self.days
        offered_on = to.day - timedelta(days=told_days)
        # What is needed by tomorrow is arranged at the end of the day.
        at = days.at(offered_on, 17 if told_days == 1 else 10)
        visit = self.plan(places, at=at, on=to.day, purpose=purpose, looks=looks, minutes=minutes)
        if (days.today - to.day).days > BY_TELEPHONE_DAYS:
            return self._agree_at_once(visit, to, home.technician, at + timedelta(minutes=2))
        visit = self.offer(visit, to, home.technician, at + timedelta(minutes=2))
        answered_on = offered_on + timedelta(days=min(2, max(0, told_days - 1)))
        return self.answer(visit, home, "yes", days.at(answered_on, 18))

    def window(self, home: Home, wanted: date, *, step: int, windows: int = 1) -> Window:
        """A free window of the home's technician near a day."""
        return self.diary.take(home.technician, wanted, step=step, windows=windows)

    def again(self, visit: Visit, at: datetime) -> Visit:
        """The visit as it stands now."""
        return visit_for(machine(at), visit.pk)

    def reach(self, visit: Visit) -> tuple[Visit, datetime]:
        """The technician arrives five minutes into the window."""
        assert visit.day is not None
        assert visit.window_from is not None
        assert visit.technician is not None
        arrived = self.moment(visit.day, visit.window_from, 5)
        asker = as_account(visit.technician, arrived)
        return visits.arrive(visit, asker=asker), arrived

    def moment(self, day: date, at: time, minutes: int = 0) -> datetime:
        """So many minutes after a time on the wall."""
        return self.days.at(day, at.hour, at.minute) + timedelta(minutes=minutes)
