"""Flagging what is past: overdue pump tests and clogged pits, set-based."""

from datetime import date, timedelta

from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker
from drainservice.inspections.models import Due, Result
from drainservice.register.models import Status


@transaction.atomic
def flag_overdue(*, asker: Asker) -> tuple[int, int]:
    """Flag pump tests that are past and pits that clog; take flags off what is no longer so.

    Set-based, and repeating it changes nothing. Answers how many of each stand flagged.
    """
    firm = accounts.the_firm()
    today = wall.today_in(firm.zone, asker.at)
    current = Due.objects.current()
    in_use = Q(system__status=Status.IN_USE, system__removed_at__isnull=True)
    is_past = Q(due_on__lt=today) & in_use
    clogged = Q(kind__in=["percolation", "sediment"]) & (
        Exists(_slow_now(since=today - timedelta(days=730))) | (is_past & Q(governed_by="trend"))
    )
    wanted = {
        "past_pump_test": is_past & Q(kind="pump"),
        "clogged_pit": clogged & in_use,
        "past": is_past & ~Q(kind="pump") & ~clogged,
    }
    counts = {}
    for flag, rule in wanted.items():
        ids = current.filter(rule).values("pk")
        current.filter(flag=flag).exclude(pk__in=ids).update(flag="", flagged_at=None)
        current.filter(pk__in=ids).exclude(flag=flag).update(flag=flag, flagged_at=asker.at)
        counts[flag] = current.filter(flag=flag).count()
    return counts["past_pump_test"], counts["clogged_pit"]


def _slow_now(*, since: date) -> QuerySet[Result]:
    """Of the due date's own kind, a result over its limit that nothing newer has replaced.

    What was corrected neither counts nor replaces; a sum that lacked something replaces nothing.
    """
    counted = Result.objects.standing().filter(
        look__inspection__corrected_by__isnull=True, look__inspection__removed_at__isnull=True
    )
    newer = counted.filter(
        what=OuterRef("what"),
        look__inspection__system=OuterRef("look__inspection__system"),
        look__inspection__on__gt=OuterRef("look__inspection__on"),
    ).exclude(verdict="")
    slow: QuerySet[Result] = counted.filter(
        ~Exists(newer),
        look__kind=OuterRef("kind"),
        what__in=["soakage", "silt"],
        verdict="act",
        look__inspection__system=OuterRef("system"),
        look__inspection__on__gte=since,
    )
    return slow
