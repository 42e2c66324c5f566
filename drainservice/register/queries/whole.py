"""One system whole, as it stands on a day, loaded in a fixed number of statements."""

from dataclasses import dataclass, replace
from datetime import date

from django.db.models import Prefetch, Q, QuerySet

from drainservice.register.models import (
    AccessPoint,
    Backup,
    CheckValve,
    CurvePoint,
    Downspout,
    Fitting,
    Line,
    Pit,
    Pump,
    Section,
    Site,
    Surrounding,
    System,
    WetSeason,
)


@dataclass(frozen=True, slots=True)
class Whole:
    """One system whole, as it stands on a day."""

    system: System
    pit: Pit | None
    access_point: AccessPoint | None
    line: Line | None
    sections: list[Section]
    pumps: list[Pump]
    valves: dict[int, CheckValve]
    backups: list[Backup]
    downspouts: list[Downspout]

    @property
    def site(self) -> Site:
        """Its site."""
        return self.system.site

    @property
    def pump(self) -> Pump | None:
        """The pump in the first position, if there is one."""
        return self.pumps[0] if self.pumps else None

    @property
    def valve(self) -> CheckValve | None:
        """The check valve over that pump."""
        return self.valves.get(self.pump.pk) if self.pump else None

    def at_pump(self, position: int) -> "Whole":
        """The same with the pump in one position first, so that sums are of it and its valve."""
        first = [pump for pump in self.pumps if pump.position == position]
        return replace(self, pumps=[*first, *(p for p in self.pumps if p not in first)])

    @property
    def roof_area_m2(self) -> float | None:
        """Roof drained into the pit; None where no downspout's area is known."""
        areas = [d.roof_area_m2 for d in self.downspouts if d.roof_area_m2 is not None]
        return sum(areas) if areas else None


def wholes(systems: QuerySet[System], *, day: date) -> list[Whole]:
    """Many systems whole, in a fixed number of statements."""
    has_come = Q(from_on__isnull=True) | Q(from_on__lte=day)
    on_day = has_come & (Q(until_on__isnull=True) | Q(until_on__gt=day))
    valves = CheckValve.objects.standing().filter(on_day).select_related("type")
    pumps = (
        Pump.objects.standing()
        .filter(on_day)
        .select_related("type")
        .prefetch_related(
            Prefetch("check_valves", queryset=valves, to_attr="valves_now"),
            Prefetch("curve_points", queryset=CurvePoint.objects.standing()),
        )
        .order_by("position", "pk")
    )
    sections = (
        Section.objects.standing()
        .prefetch_related(Prefetch("fittings", queryset=Fitting.objects.standing()))
        .order_by("rank")
    )
    loaded = systems.select_related(
        "site__jurisdiction",
        "pit__type",
        "access_point__type",
        "line__main",
        "line__type",
        "agreement__payer",
    ).prefetch_related(
        Prefetch("pumps", queryset=pumps, to_attr="pumps_now"),
        Prefetch("line__sections", queryset=sections, to_attr="sections_now"),
        Prefetch(
            "backups",
            queryset=Backup.objects.standing().filter(on_day).select_related("type"),
            to_attr="backups_now",
        ),
        Prefetch(
            "downspouts",
            queryset=Downspout.objects.standing().order_by("name"),
            to_attr="downspouts_now",
        ),
        Prefetch("site__surroundings", queryset=Surrounding.objects.standing()),
        Prefetch("site__jurisdiction__wet_seasons", queryset=WetSeason.objects.standing()),
    )
    return [_whole(system) for system in loaded]


def whole(system: System, *, day: date) -> Whole:
    """One system whole."""
    return wholes(System.objects.filter(pk=system.pk), day=day)[0]


def _whole(system: System) -> Whole:
    line = getattr(system, "line", None)
    pumps: list[Pump] = system.pumps_now  # type: ignore[attr-defined]
    return Whole(
        system=system,
        pit=getattr(system, "pit", None),
        access_point=getattr(system, "access_point", None),
        line=line,
        sections=line.sections_now if line else [],
        pumps=pumps,
        valves={p.pk: p.valves_now[0] for p in pumps if p.valves_now},  # type: ignore[attr-defined]
        backups=system.backups_now,  # type: ignore[attr-defined]
        downspouts=system.downspouts_now,  # type: ignore[attr-defined]
    )
