"""The points that a plan drives between, numbered; and what is said of those that are not known."""

from collections.abc import Iterable, Sequence
from statistics import median

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import (
    PlaceCannotBe,
    PlacesSwapped,
    check_near,
    check_place,
    make_place,
)
from drainservice.register.models import Site
from drainservice.visits.models import HomeBase
from drainservice.visits.queries.drives import drive_table_for

# What a drive counts to a site of which nobody knows where it is: judgement.
UNKNOWN_S = 20 * 60
MOST_SITES = 500


class Places:
    """Bases and sites as numbers. A site whose coordinates are missing, cannot be or were swapped
    has a number but no point: 20 min of driving count each way, and `notes` says so."""

    def __init__(self, bases: Iterable[HomeBase], sites: Iterable[Site]) -> None:
        self.points: list[Place | None] = []
        self.notes: list[str] = []
        self._bases: dict[int, int] = {}
        self._sites: dict[int, int] = {}
        bases = {base.pk: base for base in bases}.values()
        sites = {site.pk: site for site in sites}.values()
        for base in sorted(bases, key=lambda base: base.pk):
            self._bases[base.pk] = self._add(_base_point(base))
        yard = next((point for point in self.points if point is not None), None)
        for site in sorted(sites, key=lambda site: site.pk):
            self._sites[site.pk] = self._add(self._site_point(site, yard))
        self._middle = None if self._bases else self._add(middle_of_sites())
        if self._middle is not None:
            self.notes.append(
                "No home base is entered, so each round begins and ends in the middle of the "
                "sites; enter a base on the page of the crew."
            )

    def of_site(self, site_id: int) -> int:
        """The number of a site that was told."""
        return self._sites[site_id]

    def of_base(self, base: HomeBase | None) -> int:
        """The number of a base; of the first, or of the middle, where there is none."""
        if base is not None and base.pk in self._bases:
            return self._bases[base.pk]
        return 0 if self._middle is None else self._middle

    def _add(self, point: Place | None) -> int:
        self.points.append(point)
        return len(self.points) - 1

    def _site_point(self, site: Site, yard: Place | None) -> Place | None:
        try:
            point = make_place(site.latitude, site.longitude, site.address)
            if yard is not None:
                check_near(point, yard, site.address)
        except (PlaceCannotBe, PlacesSwapped) as wrong:
            self.notes.append(f"{wrong} Until then 20 min of driving count each way.")
            return None
        return point


def _base_point(base: HomeBase) -> Place | None:
    point = Place(base.latitude, base.longitude)
    try:
        check_place(point, base.name)
    except PlaceCannotBe:
        return None
    return point


def middle_of_sites() -> Place | None:
    """The middle of the register's first sites, where rounds begin that have no base."""
    rows = Site.objects.standing().filter(latitude__isnull=False, longitude__isnull=False)
    known = list(rows.order_by("pk").values_list("latitude", "longitude")[:MOST_SITES])
    if not known:
        return None
    return Place(median(lat for lat, _ in known), median(lon for _, lon in known))


def drives_between(points: Sequence[Place | None]) -> tuple[tuple[int, ...], ...]:
    """Seconds from each point to each; UNKNOWN_S to and from those that are not known."""
    known = [number for number, point in enumerate(points) if point is not None]
    table = drive_table_for([point for point in points if point is not None]).seconds
    if len(known) == len(points):
        return table
    rows = [[UNKNOWN_S] * len(points) for _ in points]
    for row, number in zip(table, known, strict=True):
        for seconds, other in zip(row, known, strict=True):
            rows[number][other] = seconds
    for number in range(len(points)):
        rows[number][number] = 0
    return tuple(map(tuple, rows))
