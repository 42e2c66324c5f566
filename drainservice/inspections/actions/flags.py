"""Flagging what is past: overdue pump tests and clogged pits, set-based."""

from datetime import timedelta

from django.db import transaction
from django.db.models import Exists, OuterRef, Q

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
    in_use = Q(system__status=Status.IN_USE)
    is_past = Q(due_on__lt=today) & in_use
    slow = Result.objects.filter(
        what__in=["soakage", "silt"],
        verdict="act",
        look__inspection__system=OuterRef("system"),
        look__inspection__corrected_by__isnull=True,
        look__inspection__on__gte=today - timedelta(days=730),
    )
    newest = Result.objects.filter(
        what=OuterRef("what"),
        look__inspection__system=OuterRef("look__inspection__system"),
        look__inspection__on__gt=OuterRef("look__inspection__on"),
    )
    clogged = Q(kind__in=["percolation", "sediment"]) & (
        Exists(slow.filter(~Exists(newest))) | (is_past & Q(governed_by="trend"))
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
