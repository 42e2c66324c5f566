"""A visit's life in scenes: each acts as the office would and lets the queue run."""

from collections import Counter
from datetime import date, datetime, time, timedelta

from drainservice.accounts.asker import Asker
from drainservice.reminders.models import Reminder
from drainservice.visits import actions as visits
from drainservice.visits.models import Visit
from drainservice.visits.queries import Window
from jobs import reactions, running
from tests import makers

DAY = date(2027, 5, 25)
WINDOW = Window(DAY, time(8), time(10))
LATER_WINDOW = Window(date(2027, 5, 27), time(13), time(15))


class Play:
    """`now` goes on as the play says; the queue runs by it."""

    def __init__(self, person, household, site, system, office: Asker) -> None:
        self.person, self.household, self.site, self.system = person, household, site, system
        self.office = office
        self.now = makers.MONDAY
        self.technician = makers.make_account("anton")
        self.visit: Visit = visits.plan_visit(
            site,
            asker=self.asker,
            purpose="yearly look",
            systems={system: ["pump"]},
            meant_for=DAY,
        )

    @property
    def asker(self) -> Asker:
        return makers.as_account(self.office_account, self.now)

    @property
    def office_account(self):
        from drainservice.accounts.models import Account

        return Account.objects.get(pk=self.office.account_id)

    def run(self) -> None:
        """Let the queue do all that is due now."""
        running.run_all(reactions.REACTIONS, reactions.MESSAGES, clock=lambda: self.now)

    def go_to(self, at: datetime) -> None:
        """Some later moment, with all that falls due until then done at its time."""
        while True:
            ahead = Reminder.objects.filter(
                job__state__in=["waiting", "again"], job__due_at__gt=self.now, job__due_at__lte=at
            )
            next_one = ahead.order_by("job__due_at").first()
            if next_one is None:
                break
            self.now = next_one.job.due_at
            self.run()
        self.now = at
        self.run()

    def later(self, **span) -> None:
        self.go_to(self.now + timedelta(**span))

    def offer(self, window: Window = WINDOW) -> None:
        visits.offer_visit(self.visit, to=window, technician=self.technician, asker=self.asker)
        self.run()

    def agree(self) -> None:
        self.visit.refresh_from_db()
        visits.agree_visit(self.visit, asker=self.asker)
        self.run()

    def agreed(self) -> None:
        self.offer()
        self.agree()

    def move(self, window: Window = LATER_WINDOW) -> None:
        visits.move_visit(self.visit, to=window, asker=self.asker)
        self.run()

    def call_off(self) -> None:
        visits.call_off_visit(self.visit, asker=self.asker, by="the office", because="ill")
        self.run()

    def answer(self, word: str, *, sequence: int | None = None):
        number = self.visit.sequence if sequence is None else sequence
        asker = makers.as_household(self.person, self.household, self.now)
        answer = visits.answer_visit(
            self.visit, asker=asker, word=word, by="link", person=self.person, sequence=number
        )
        self.visit.refresh_from_db()
        self.run()
        return answer

    def messages(self, **only) -> list[Reminder]:
        rows = Reminder.objects.filter(**only).select_related("job", "channel", "person")
        return list(rows.order_by("job__made_at", "job_id"))

    def states(self, **only) -> dict[str, str]:
        """Use to state; only where each use stands once."""
        rows = self.messages(**only)
        assert max(Counter(row.use for row in rows).values(), default=0) <= 1
        return {row.use: row.job.state for row in rows}

    def message(self, use: str, **only) -> Reminder:
        (row,) = self.messages(use=use, **only)
        return row
