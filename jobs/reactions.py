"""The table of the house: which fact makes whom act, and how messages of a kind are sent."""

from collections.abc import Callable, Mapping
from datetime import timedelta
from typing import Any

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.actions import forget_old_tries
from drainservice.accounts.asker import Asker
from drainservice.accounts.asker import clock as asking_clock
from drainservice.inspections import actions as inspections
from drainservice.inspections.models import SelfCheck
from drainservice.reminders import actions as reminders
from drainservice.visits import actions as visits
from drainservice.visits.models import Visit
from jobs import queries, queue, running
from jobs.clocks import boot_s, clock
from jobs.due import LONG
from jobs.outcome import MessageKind
from jobs.turn import Reaction

DONE_KEPT = timedelta(days=400)


def judge_system(*, asker: Asker, system_id: int, **_: Any) -> None:
    """A system entered or changed: its build is checked, then its dates are counted."""
    inspections.check_as_built(asker=asker, system_id=system_id)
    inspections.refresh_due(asker=asker, system_id=system_id)


def follow_inspection(*, asker: Asker, inspection_id: str, **found: Any) -> None:
    """Dates, downs and defects change; the household gets the report."""
    inspections.after_inspection(asker=asker, inspection_id=inspection_id, **found)
    reminders.send_report(asker=asker, inspection_id=inspection_id)


def follow_self_check(*, asker: Asker, self_check_id: int, **_: Any) -> None:
    """A bucket test: dates and downs."""
    inspections.after_self_check(asker=asker, self_check_id=self_check_id)
    system_id = SelfCheck.objects.get(pk=self_check_id).system_id
    inspections.refresh_due(asker=asker, system_id=system_id)


def begin_day(*, asker: Asker, **_: Any) -> None:
    """All dates are counted anew, what is past is flagged, visits of which nobody says a word are
    put before a person, road times are asked for, a few households are asked for their bucket
    test, what is old is cleared out."""
    inspections.find_due(asker=asker)
    visits.pass_on_overdue(asker=asker)
    visits.count_look_minutes(asker=asker)
    _want_drive_times(asker)
    visits.want_seasons(asker=asker)
    reminders.plan_bucket_tests(asker=asker)
    reminders.empty_old(asker=asker)
    forget_old_tries(at=asker.at)
    queue.clear_out(before=asker.at - DONE_KEPT)


def _want_drive_times(asker: Asker) -> None:
    firm = accounts.firm()
    if firm is not None:
        visits.want_drive_times(asker=asker, on=wall.today_in(firm.zone, asker.at))


def fetch_drive_times(*, asker: Asker, on: str, again: int = 0, **_: Any) -> None:
    """Road times are asked of the road service, where one is set."""
    visits.refresh_drive_times(asker=asker, on=on, again=again)


def think(*, asker: Asker, plan_id: int, **_: Any) -> None:
    """A plan is worked out; its search holds no transaction."""
    visits.work_out(plan_id, asker=asker, clocks=visits.Clocks(clock, boot_s))


def ask_seasons(*, asker: Asker, **_: Any) -> None:
    """Seasons that are near are planned anew; a person adopts."""
    visits.ask_seasons_near(asker=asker)


def end_hold(*, asker: Asker, visit_id: int, **_: Any) -> None:
    """A time that was kept free is free again, unless it is kept longer by now."""
    visit = Visit.objects.get(pk=visit_id)
    if visit.held_until is not None and visit.held_until <= asker.at:
        visits.let_hold_go(visit, asker=asker)


def miss(*, asker: Asker, visit_id: int, **details: Any) -> None:
    """The lid was not reached: the household is told, and what was to be looked at stays due."""
    reminders.say_not_reached(asker=asker, visit_id=visit_id, **details)
    for system in Visit.objects.get(pk=visit_id).systems.all():
        inspections.refresh_due(asker=asker, system_id=system.pk)


REACTIONS: Mapping[str, Reaction] = {
    "system.entered": judge_system,
    "system.changed": judge_system,
    "inspection.closed": follow_inspection,
    "self_check.given": follow_self_check,
    "day.begun": begin_day,
    "drives.wanted": fetch_drive_times,
    "hold.expired": end_hold,
    "plan.wanted": think,
    "seasons.wanted": ask_seasons,
    "visit.offered": reminders.send_offer,
    "visit.agreed": reminders.invite,
    "visit.moved": reminders.send_update,
    "visit.called_off": reminders.send_cancellation,
    "visit.set_out": reminders.say_set_out,
    "visit.not_reached": miss,
    "answer.given": reminders.confirm_answer,
}
MESSAGES: Mapping[str, MessageKind] = {reminders.WANTED: reminders.Mail()}
# Counting every system's dates would hold SQLite's one writer for long, and so would waiting for
# another machine; these commit by batches.
IN_PARTS = frozenset({"day.begun", "plan.wanted", "drives.wanted"})
INVITING = frozenset({"visit.agreed", "visit.moved", "visit.called_off"})


def run_due(
    *,
    only: frozenset[str] = frozenset(),
    long: bool = False,
    budget_s: float = 20.0,
    should_stop: Callable[[], bool] = lambda: False,
) -> int:
    """One bounded turn at the queue. Answers how many jobs were run."""
    begin_day_once()
    if long:
        visits.retake_silent(at=clock())
    return running.run_all(
        REACTIONS,
        MESSAGES,
        budget_s=budget_s,
        long=long,
        only=only,
        in_parts=IN_PARTS,
        should_stop=should_stop,
    )


def begin_day_once() -> None:
    """The first to look on a day, by the firm's zone, leaves the day's work in the queue."""
    firm = accounts.firm()
    if firm is None:
        return
    at = clock()
    today = wall.today_in(firm.zone, at).isoformat()
    if not queries.is_known("day.begun", today):
        queue.put("day.begun", key=today, at=at, lane=LONG)


def flag_overdue() -> int:
    """Flag what is past now. Answers how many stand flagged."""
    if accounts.firm() is None:
        return 0
    return sum(inspections.flag_overdue(asker=asking_clock(clock(), door="task:flag_overdue")))
