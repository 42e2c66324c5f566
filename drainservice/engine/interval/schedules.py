"""Published schedules of upkeep, each with its source, ready to be taken as a place's own rules."""

from dataclasses import dataclass
from itertools import chain

from drainservice.engine.interval.facts import JurisdictionRule, LookKind
from drainservice.engine.interval.yearly import MonthDay
from drainservice.engine.rainfall.storms import (
    EPA_DRY_WELL,
    NORTH_CAROLINA_DETENTION,
    PENNSYLVANIA_DRY_WELL,
    StormRule,
)

# Four times a year; counted so that a year of 365 days holds four.
QUARTER_DAYS = 91
MONTH_DAYS = 30
YEAR_DAYS = 365


class ScheduleUnknown(ValueError):
    """No published schedule of that code is on file."""


@dataclass(frozen=True, slots=True)
class PublishedSchedule:
    """One source's demands: looks on a cycle or by a day, and looks after a storm.

    `says` is what the source says in few words; `mark` whether it was read ("read") or recalled.
    """

    code: str
    item: str
    says: str
    source: str
    rules: tuple[JurisdictionRule, ...]
    after_storms: tuple[StormRule, ...] = ()
    mark: str = "read"


def _cycle(source: str, days: int, *kinds: LookKind) -> tuple[JurisdictionRule, ...]:
    return tuple(JurisdictionRule(kind, source, every_days=days) for kind in kinds)


EPA = EPA_DRY_WELL.source
PENNSYLVANIA = PENNSYLVANIA_DRY_WELL.source
NORTH_CAROLINA = NORTH_CAROLINA_DETENTION.source
GEORGIA = "Georgia Coastal Stormwater Supplement (2009)"
SAN_FRANCISCO = "San Francisco self-inspection list"
MICHIGAN = "Michigan manual quoting a 2006 study"
NORTH_DAKOTA = "North Dakota State University Extension"
BUILDERS = "Builder-type guidance (no authority)"

SCHEDULES: tuple[PublishedSchedule, ...] = (
    PublishedSchedule(
        "epa_dry_well",
        "dry well",
        "four times a year and after more than 0.5 in; drain time against design",
        EPA,
        _cycle(EPA, QUARTER_DAYS, LookKind.PERCOLATION),
        (EPA_DRY_WELL,),
    ),
    PublishedSchedule(
        "pennsylvania_dry_well",
        "dry well",
        "four times a year and after more than 1 in; clean gutters, remove sediment",
        PENNSYLVANIA,
        _cycle(PENNSYLVANIA, QUARTER_DAYS, LookKind.PERCOLATION, LookKind.SEDIMENT),
        (PENNSYLVANIA_DRY_WELL,),
    ),
    PublishedSchedule(
        "georgia_coast",
        "dry well",
        "drained within 24 h; inspect and clean yearly, gutters and filters too",
        GEORGIA,
        _cycle(GEORGIA, YEAR_DAYS, LookKind.PERCOLATION, LookKind.SEDIMENT),
    ),
    PublishedSchedule(
        "san_francisco",
        "dry well or gallery",
        "yearly self-inspection before 15 October; water over 48 h is unsatisfactory",
        SAN_FRANCISCO,
        (JurisdictionRule(LookKind.PERCOLATION, SAN_FRANCISCO, by_day=MonthDay(10, 15)),),
    ),
    PublishedSchedule(
        "north_carolina_detention",
        "detention",
        "monthly and after more than 3 in within 24 h",
        NORTH_CAROLINA,
        _cycle(NORTH_CAROLINA, MONTH_DAYS, LookKind.PERCOLATION),
        (NORTH_CAROLINA_DETENTION,),
    ),
    PublishedSchedule(
        "michigan_catch_basin",
        "catch basin",
        "residential ones yearly; clean at 30 to 50 % or 1 ft below the invert",
        MICHIGAN,
        _cycle(MICHIGAN, YEAR_DAYS, LookKind.SEDIMENT),
    ),
    PublishedSchedule(
        "north_dakota_pump",
        "sump pump",
        "pour a test before snowmelt and make it start and stop twice; a look yearly",
        NORTH_DAKOTA,
        _cycle(NORTH_DAKOTA, YEAR_DAYS, LookKind.PUMP),
    ),
    PublishedSchedule(
        "area_drains",
        "area and french drains",
        "the system yearly in autumn before the rains, inlet covers quarterly",
        BUILDERS,
        _cycle(BUILDERS, YEAR_DAYS, LookKind.LINE),
    ),
)


def find_schedule(code: str) -> PublishedSchedule:
    """The published schedule of that code. Raises ScheduleUnknown."""
    for schedule in SCHEDULES:
        if schedule.code == code:
            return schedule
    known = ", ".join(schedule.code for schedule in SCHEDULES)
    raise ScheduleUnknown(f"No schedule is on file for {code!r}; choose one of {known}.")


def rules_of(*codes: str) -> tuple[JurisdictionRule, ...]:
    """The rules of several schedules together, for `SystemFacts.rules`. Raises ScheduleUnknown."""
    return tuple(chain.from_iterable(find_schedule(code).rules for code in codes))
