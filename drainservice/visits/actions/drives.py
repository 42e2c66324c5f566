"""What is learned of drives: road times fetched at night, our own drives noted as they end."""

from collections import Counter
from collections.abc import Iterable
from contextlib import closing
from datetime import date, datetime, timedelta

from django.conf import settings
from django.db import transaction

from drainservice.accounts.asker import Asker
from drainservice.engine.rounds.roads.barriers import BarrierCannotBe, way_km
from drainservice.engine.rounds.roads.learning import is_plausible
from drainservice.engine.rounds.roads.places import PlaceCannotBe, make_place
from drainservice.engine.rounds.roads.travel import drive_s
from drainservice.visits import queries
from drainservice.visits.actions import road_service
from drainservice.visits.models import Drive, DriveTime, Visit
from drainservice.visits.queries.drives import VALID, point_of
from drainservice.visits.roads import Block, Roads, RoadsDoNotAnswer, ask_roads
from jobs import queue
from jobs.due import LONG

# A night's work: 200 blocks are up to 500,000 roads; judgement.
MOST_BLOCKS = 200
MOST_AGAIN = 5
# A block in which not one of so many roads can be is the map of another place.
FEW_ROADS = 10
ONLY_LIES = (
    "The road service tells only roads that cannot be, so drives are estimated; look whether it "
    "holds the map of this area, and at DRAIN_ROUTING_URL."
)


def want_drive_times(*, asker: Asker, on: date) -> None:
    """Leave a note to fetch road times tonight, where a road service is set."""
    if settings.ROUTING_URL:
        queue.put("drives.wanted", key=f"{on}", at=asker.at, lane=LONG, on=f"{on}")


def refresh_drive_times(*, asker: Asker, on: str, again: int = 0) -> int:
    """Fetch roads that are missing or too old, up to a night's work. Answers how many were kept.

    Each block is kept as it comes. Where the service fails, what is left is tried again later,
    five times at most; until then drives are estimated.
    """
    if not settings.ROUTING_URL or road_service.shut_until(asker.at):
        return 0
    day, kept, refused = date.fromisoformat(on), 0, Counter[str]()
    DriveTime.objects.filter(fetched_on__lte=day - 2 * VALID).delete()
    blocks = [Block(*sides) for sides in queries.roads_to_ask_for(on=day, most=MOST_BLOCKS)]
    with closing(ask_roads(settings.ROUTING_URL, blocks)) as answers:
        for block, answer in answers:
            if isinstance(answer, RoadsDoNotAnswer) or _is_all_refused(answer):
                words = str(answer) if isinstance(answer, RoadsDoNotAnswer) else ONLY_LIES
                until = road_service.service_failed(at=asker.at, words=words)
                if until is not None:
                    _try_again(asker, on, again, until)
                    break
                continue
            kept += _keep_roads(block, answer, day)
            refused.update(road.refused for row in answer for road in row if road.refused)
            road_service.service_answers(words=_told(refused))
    return kept


def _try_again(asker: Asker, on: str, again: int, until: datetime) -> None:
    """Leave a note for when the service may be asked again."""
    if again < MOST_AGAIN:
        queue.put(
            "drives.wanted",
            key=f"{on}:{again + 1}",
            at=asker.at,
            due_at=until,
            lane=LONG,
            on=on,
            again=again + 1,
        )


def _is_all_refused(roads: Roads) -> bool:
    # A place is on no way to itself, which even another place's map tells rightly.
    told = [road for row in roads for road in row if road.refused or road.m]
    return len(told) >= FEW_ROADS and all(road.refused for road in told)


def _told(refused: Counter[str]) -> str:
    """What was not believed, most often first."""
    if not refused:
        return ""
    reasons = ", ".join(f"{times} {why}" for why, times in refused.most_common())
    return f"The road service told roads that cannot be; they are estimated: {reasons}."


@transaction.atomic
def _keep_roads(block: Block, roads: Roads, on: date) -> int:
    """Keep what was told, that there is no road, too. What was refused is asked for again."""
    rows = [
        DriveTime(
            from_lat_e5=start[0],
            from_lon_e5=start[1],
            to_lat_e5=end[0],
            to_lon_e5=end[1],
            road_s=road.s,
            road_m=road.m,
            fetched_on=on,
        )
        for start, row in zip(map(point_of, block.sources), roads, strict=True)
        for end, road in zip(map(point_of, block.destinations), row, strict=True)
        if start != end and not road.refused
    ]
    DriveTime.objects.bulk_create(
        rows,
        batch_size=500,
        update_conflicts=True,
        unique_fields=["from_lat_e5", "from_lon_e5", "to_lat_e5", "to_lon_e5"],
        update_fields=["road_s", "road_m", "fetched_on"],
    )
    return len(rows)


def note_drive(visit: Visit) -> Drive | None:
    """Note the drive that ends with this arrival: from leaving the technician's last visit of
    the day. What can have been no drive alone, by length or without coordinates, is not noted."""
    arrived_at, before = visit.arrived_at, _visit_before(visit)
    if arrived_at is None or before is None or before.left_at is None or before.technician is None:
        return None
    try:
        start = make_place(before.site.latitude, before.site.longitude)
        end = make_place(visit.site.latitude, visit.site.longitude)
        terms = queries.plain_terms()
    except (PlaceCannotBe, BarrierCannotBe):
        return None
    model_s = drive_s(start, end, terms)
    actual_s = (arrived_at - before.left_at).total_seconds()
    if point_of(start) == point_of(end) or not is_plausible(model_s, actual_s):
        return None
    noted, _ = Drive.objects.get_or_create(
        to_visit=visit,
        defaults={
            "technician": before.technician,
            "from_visit": before,
            "began_at": before.left_at,
            "crow_m": round(way_km(start, end, terms.barriers) * 1000),
            "model_s": model_s,
            "actual_s": round(actual_s),
        },
    )
    return noted


def _visit_before(visit: Visit) -> Visit | None:
    """The visit at which the technician was last before this one, on the same day."""
    if visit.arrived_at is None:
        return None
    seen: Iterable[Visit] = (
        Visit.objects.standing()
        .select_related("site", "technician")
        .filter(
            technician=visit.technician_id,
            day=visit.day,
            arrived_at__lte=visit.arrived_at,
            arrived_at__gt=visit.arrived_at - timedelta(days=1),
        )
        .exclude(pk=visit.pk)
        .order_by("-arrived_at", "-pk")[:1]
    )
    before = next(iter(seen), None)
    if before is None or before.left_at is None or before.left_at > visit.arrived_at:
        return None
    return before
