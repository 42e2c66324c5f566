"""Which households are to be asked for a bucket test now."""

from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.inspections.models import Down, Look, SelfCheck
from drainservice.register.models import Pump, System
from drainservice.register.queries import systems_in_use
from drainservice.reminders.models import Reminder, Use
from drainservice.visits.models import State, VisitSystem

# We come so soon anyway that nobody is asked to test before.
WE_COME_SOON = timedelta(days=21)


def systems_to_test(*, at: datetime, most: int) -> list[System]:
    """Systems whose pump nobody saw run or was asked about for a test's interval.

    Not where a visit comes soon or the pump is down. Those longest with us come first.
    """
    firm = accounts.the_firm()
    today = wall.today_in(firm.zone, at)
    since = today - timedelta(days=firm.bucket_test_days)
    pump = Pump.objects.standing().filter(system=OuterRef("pk"), until_on__isnull=True)
    down = Down.objects.standing().filter(pump__system=OuterRef("pk"), proven_at__isnull=True)
    tested = Look.objects.standing().filter(
        inspection__system=OuterRef("pk"), kind="pump", passed=True, inspection__on__gt=since
    )
    checked = SelfCheck.objects.standing().filter(system=OuterRef("pk"), on__gt=since)
    coming = VisitSystem.objects.standing().filter(
        system=OuterRef("pk"),
        visit__state__in=[State.OFFERED, State.AGREED, State.AT_PIT],
        visit__day__lte=today + WE_COME_SOON,
    )
    found = (
        systems_in_use()
        .filter(Exists(pump), entered_on__lte=since)
        .filter(~Exists(down), ~Exists(tested), ~Exists(checked), ~Exists(coming))
        .exclude(pk__in=_asked_after(at - timedelta(days=firm.bucket_test_days)))
    )
    return list(found.select_related("site").order_by("entered_on", "pk")[:most])


def _asked_after(moment: datetime) -> list[int]:
    """Systems whose households were asked after that moment."""
    about = Reminder.objects.filter(use=Use.BUCKET_TEST, job__made_at__gt=moment)
    return [told["system_id"] for told in about.values_list("about", flat=True)]
