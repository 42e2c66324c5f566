"""Flagging what is past: overdue pump tests and clogged pits, set-based."""

from collections import Counter, defaultdict
from datetime import date, timedelta

from django.db import transaction
from django.db.models import F, Max, Q, Window

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker
from drainservice.inspections.models import Due, Result
from drainservice.register.models import Status

CLOGGING_KINDS = ("percolation", "sediment")
COUNTS_FOR = timedelta(days=730)
AT_ONCE = 500


@transaction.atomic
def flag_overdue(*, asker: Asker) -> tuple[int, int]:
    """Flag pump tests that are past and pits that clog; take flags off what is no longer so.

    Set-based, and repeating it changes nothing. Answers how many of each stand flagged.
    """
    today = wall.today_in(accounts.the_firm().zone, asker.at)
    slow = _slow_now(since=today - COUNTS_FOR)
    # The rules are weighed here and not in SQL: as nested EXISTS they took a planner with old
    # statistics past its time limit.
    dues = Due.objects.current().filter(
        Q(due_on__lt=today) | Q(kind__in=CLOGGING_KINDS) | ~Q(flag="")
    )
    standing: Counter[str] = Counter()
    changed: dict[str, list[int]] = defaultdict(list)
    for pk, system_id, kind, due_on, governed_by, was, status, removed_at in dues.values_list(
        "pk", "system", "kind", "due_on", "governed_by", "flag",
        "system__status", "system__removed_at",
    ).iterator():  # fmt: skip
        flag = ""
        if status == Status.IN_USE and removed_at is None:
            is_past = due_on < today
            clogs = (system_id, kind) in slow or (is_past and governed_by == "trend")
            flag = _flag_of(kind, is_past=is_past, clogs=clogs)
        standing[flag] += 1
        if flag != was:
            changed[flag].append(pk)
    for flag, pks in changed.items():
        flagged_at = asker.at if flag else None
        for start in range(0, len(pks), AT_ONCE):
            some = Due.objects.filter(pk__in=pks[start : start + AT_ONCE])
            some.update(flag=flag, flagged_at=flagged_at)
    return standing["past_pump_test"], standing["clogged_pit"]


def _flag_of(kind: str, *, is_past: bool, clogs: bool) -> str:
    if clogs and kind in CLOGGING_KINDS:
        return "clogged_pit"
    if not is_past:
        return ""
    return "past_pump_test" if kind == "pump" else "past"


def _slow_now(*, since: date) -> set[tuple[int, str]]:
    """System and kind of look whose latest sum stands over its limit.

    What was corrected neither counts nor replaces; a sum that lacked something replaces nothing.
    """
    counted = (
        Result.objects.standing()
        .filter(
            look__inspection__corrected_by__isnull=True,
            look__inspection__removed_at__isnull=True,
            look__inspection__on__gte=since,
            what__in=["soakage", "silt"],
        )
        .exclude(verdict="")
    )
    latest_on = Window(
        Max("look__inspection__on"), partition_by=[F("look__inspection__system"), F("what")]
    )
    latest = counted.annotate(latest_on=latest_on).filter(look__inspection__on=F("latest_on"))
    slow = latest.filter(verdict="act")
    return set(slow.values_list("look__inspection__system", "look__kind"))
