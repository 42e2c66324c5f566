"""Every fact that any code announces has someone who reacts to it."""

import re
from datetime import date, time, timedelta

import pytest

from drainservice.visits import actions as visits
from drainservice.visits.queries import Window
from jobs import queries, reactions, tasks
from jobs.models import Job
from tests import makers

KIND = re.compile(
    r"""(?:\bput|new_row|announce)\(\s*["']([a-z_]+\.[a-z_]+)["']|^WANTED = "([a-z_.]+)\"""", re.M
)


def kinds_in_the_code(root) -> set[str]:
    found = set()
    for folder in ("drainservice", "jobs"):
        for path in (root / folder).rglob("*.py"):
            found |= {a or b for a, b in KIND.findall(path.read_text())}
    return found


def test_every_kind_that_is_put_is_in_a_table(root):
    kinds = kinds_in_the_code(root)

    assert len(kinds) >= 12
    assert kinds - set(reactions.REACTIONS) - set(reactions.MESSAGES) == set()


def test_every_kind_in_a_table_is_put_somewhere(root):
    tables = set(reactions.REACTIONS) | set(reactions.MESSAGES)

    assert tables - kinds_in_the_code(root) == set()


def test_the_first_look_of_a_day_begins_it_once(db):
    makers.make_firm()

    reactions.begin_day_once()
    reactions.begin_day_once()

    assert Job.objects.filter(kind="day.begun", lane="long").count() == 1


def test_without_a_firm_there_is_no_day_to_begin(db):
    reactions.begin_day_once()

    assert Job.objects.count() == 0


@pytest.mark.django_db
def test_a_hold_that_ran_out_frees_its_time_and_one_held_anew_stays(dispatcher, home):
    _, _, site, system = home
    window = Window(date(2027, 5, 25), time(8), time(10))
    visit = visits.plan_visit(
        site, asker=dispatcher, purpose="look", systems={system: []}, meant_for=None
    )
    visits.hold_visit(visit, to=window, technician=makers.make_account(), asker=dispatcher)
    held_until = visit.held_until

    reactions.end_hold(asker=makers.clock(held_until - timedelta(seconds=1)), visit_id=visit.pk)
    visit.refresh_from_db()
    before = visit.state
    reactions.end_hold(asker=makers.clock(held_until), visit_id=visit.pk)
    visit.refresh_from_db()

    assert (before, visit.state) == ("held", "planned")


@pytest.mark.django_db
def test_the_task_really_flags_what_is_overdue(home):
    """A system of 2021 that nobody ever looked at: its dates are past, and flagged."""
    from drainservice.inspections import actions as inspections
    from drainservice.inspections.models import Due

    _, _, _, system = home
    inspections.refresh_due(asker=makers.clock(), system_id=system.pk)
    past = makers.later(days=2000)
    Due.objects.update(flagged_at=None)

    flagged = sum(inspections.flag_overdue(asker=makers.clock(past)))

    assert flagged > 0
    assert Due.objects.filter(flagged_at__isnull=False).exists()
    assert tasks.flag_overdue.name == "jobs.tasks.flag_overdue"


@pytest.mark.django_db
def test_the_year_of_a_new_system_is_counted_by_the_queue(home):
    from drainservice.inspections.models import Due
    from jobs import running

    running.run_all(reactions.REACTIONS, reactions.MESSAGES, clock=lambda: makers.MONDAY)

    stuck = queries.failed_jobs()
    assert [(row.kind, row.last_error) for row in stuck] == []
    assert Due.objects.exists()


def test_long_work_has_a_line_and_a_limit_of_its_own():
    """Searching a plan ends by itself, well before its task is cut off, and that after its lease
    would be, too."""
    from drainservice.visits.actions.listening import LONGEST_S
    from jobs.celery import app
    from jobs.taking import LONG_LEASE

    def line_of(task):
        return app.amqp.router.route({}, task)["queue"].name

    assert line_of("jobs.tasks.run_long") == "long"
    assert line_of("jobs.tasks.run_due") == line_of("jobs.tasks.send_invitations") == "celery"
    assert LONGEST_S < tasks.run_long.soft_time_limit < tasks.run_long.time_limit
    assert tasks.run_long.time_limit <= LONG_LEASE.total_seconds()


def test_a_plan_whose_worker_is_silent_gets_a_job_anew_by_the_long_tick(db):
    from drainservice.visits.models import Plan

    makers.make_firm()
    plan = Plan.objects.create(
        kind="rounds",
        scope="some days",
        first_on=date(2020, 1, 6),
        last_on=date(2020, 1, 6),
        asked_at=makers.MONDAY,
        starts=1,
        heartbeat_at=makers.MONDAY - timedelta(days=3650),
    )

    reactions.run_due(only=frozenset({"none.such"}))
    before = Job.objects.filter(kind="plan.wanted").count()
    reactions.run_due(long=True, only=frozenset({"none.such"}))

    job = Job.objects.get(kind="plan.wanted")
    assert (before, job.key, job.lane) == (0, f"{plan.pk}:2", "long")
