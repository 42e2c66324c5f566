"""Levels and rain of one stone-filled pit, 2018; source in data/drawdown/README.md."""

import csv
from datetime import datetime
from functools import cache
from pathlib import Path

from drainservice.engine.soakage.drawdown import LevelRecord
from drainservice.engine.soakage.storms import RainRecord, Storm

FOLDER = Path(__file__).parents[2] / "data" / "drawdown"
FOOT_M, INCH_M = 0.3048, 0.0254
QUARTER_HOUR_S = 900.0


def read_rows(name):
    """The rows of one file as dictionaries."""
    with (FOLDER / f"smp250_{name}_2018.csv").open(newline="") as file:
        return list(csv.DictReader(file))


def count_seconds(text):
    """Seconds since 1970 of a stored instant."""
    return datetime.fromisoformat(text).timestamp()


@cache
def read_levels():
    """The level record in m."""
    rows = read_rows("levels")
    times = [count_seconds(row["time_utc"]) for row in rows]
    return LevelRecord(times, [float(row["level_ft"]) * FOOT_M for row in rows])


@cache
def read_rain(interval_s=0.0):
    """The rain record in m."""
    rows = read_rows("rain")
    times = [count_seconds(row["time_utc"]) for row in rows]
    return RainRecord(times, [float(row["rainfall_in"]) * INCH_M for row in rows], interval_s)


def read_published_storms(after_s=0.0):
    """The publisher's storms, each ending so many seconds after its last stamp."""
    return [
        Storm(
            count_seconds(row["start_utc"]),
            count_seconds(row["end_utc"]) + after_s,
            float(row["eventdepth_in"]) * INCH_M,
        )
        for row in read_rows("events")
    ]
