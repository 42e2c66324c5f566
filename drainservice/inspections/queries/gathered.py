"""What a batch of systems has behind it: looks, readings, bucket tests, downs, defects."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from drainservice.inspections.models import Defect, Down, Look, Reading, SelfCheck


@dataclass(frozen=True, slots=True)
class Gathered:
    """What a batch of systems has behind it, by system."""

    looks: dict[int, list[Look]]
    readings: dict[int, list[Reading]]
    checks: dict[int, list[SelfCheck]]
    downs: dict[int, list[Down]]
    defects: dict[int, list[Defect]]


def gather(system_ids: list[int]) -> Gathered:
    """Looks, readings, bucket tests, downs and defects of a batch, each in one statement.

    An inspection that was corrected counts no more; its correction does.
    """
    looks = (
        Look.objects.standing()
        .filter(
            inspection__system__in=system_ids,
            inspection__removed_at__isnull=True,
            inspection__closed_at__isnull=False,
            inspection__corrected_by__isnull=True,
        )
        .select_related("inspection", "pump")
        .order_by("inspection__on", "pk")
    )
    kept = list(looks)
    readings = Reading.objects.standing().filter(look__in=[look.pk for look in kept])
    by_look = {look.pk: look for look in kept}
    checks = SelfCheck.objects.standing().filter(system__in=system_ids).order_by("on", "pk")
    downs = (
        Down.objects.standing()
        .filter(pump__system__in=system_ids)
        .select_related("pump")
        .order_by("since_at")
    )
    defects = Defect.objects.standing().filter(system__in=system_ids).order_by("found_on", "pk")
    grouped_readings = defaultdict(list)
    for reading in readings:
        reading.look = by_look[reading.look_id]
        grouped_readings[reading.look.inspection.system_id].append(reading)
    return Gathered(
        looks=_grouped(kept, lambda look: look.inspection.system_id),
        readings=grouped_readings,
        checks=_grouped(checks, lambda check: check.system_id),
        downs=_grouped(downs, lambda down: down.pump.system_id),
        defects=_grouped(defects, lambda defect: defect.system_id),
    )


def _grouped(rows: Iterable[Any], key: Any) -> dict[int, list[Any]]:
    groups: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        groups[key(row)].append(row)
    return groups
