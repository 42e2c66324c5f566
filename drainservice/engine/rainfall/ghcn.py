"""Reading GHCN-Daily station files: the fixed columns (.dly) and the by-station CSV."""

import zlib
from calendar import monthrange
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date

from drainservice.engine.rainfall.daily import DailyRecord, DroppedValue

MISSING = -9999
# SI per published whole number (GHCN-Daily readme, section III): m, degrees Celsius, m/s.
# All others are refused.
TENTHS_OF_MM = 0.0001
MILLIMETRES = 0.001
TENTHS = 0.1
UNITS_SI = {
    **dict.fromkeys(("PRCP", "MDPR", "EVAP", "MDEV", "WESD", "WESF", "THIC"), TENTHS_OF_MM),
    **dict.fromkeys(("SNOW", "SNWD", "MDSF"), MILLIMETRES),
    **dict.fromkeys(("TMAX", "TMIN", "TAVG", "TOBS"), TENTHS),
    **dict.fromkeys(("AWND", "WSF1", "WSF2", "WSF5", "WSFG"), TENTHS),
}
BELOW_ZERO = ("TMAX", "TMIN", "TAVG", "TOBS")
# Columns: station 1-11, year 12-15, month 16-17, element 18-21, then 31 cells of value (5)
# and the flags of measurement, quality and source. Trailing blanks may have been cut off.
FIRST_CELL, CELL = 21, 8
SHORTEST_LINE = FIRST_CELL + 30 * CELL + 5
MOST_NOTES = 20
GZIP = b"\x1f\x8b"
# The longest station record is some 20 MB; more is made to do harm.
MOST_UNPACKED_BYTES = 64_000_000
CUT_PACKAGE = "The packed file is cut off; only what came before the cut was read."


class RainFileUnreadable(ValueError):
    """A file in which no daily rain of the wanted kind can be found."""


class RainFileCut(RainFileUnreadable):
    """A file that ends in the middle of a line: it did not arrive whole."""


@dataclass(slots=True)
class _Gathered:
    """What has been read so far."""

    station: str = ""
    values: dict[date, int] = field(default_factory=dict)
    traces: list[date] = field(default_factory=list)
    missing: int = 0
    dropped: list[DroppedValue] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def take(self, day: date, value: int, measurement: str, quality: str, signed: bool) -> None:
        """Sort one cell into usable, missing, dropped, or a note."""
        if value == MISSING:
            self.missing += 1
        elif quality.strip():
            self.dropped.append(DroppedValue(day, value, quality))
        elif value < 0 and not signed:
            self.notes.append(f"{day}: {value} is less than nothing and was left out.")
        elif self.values.get(day, value) != value:
            self.notes.append(f"{day} stands twice; {self.values[day]} was kept, not {value}.")
        else:
            if measurement == "T" and day not in self.values:
                self.traces.append(day)
            self.values[day] = value


def read_ghcn_daily(
    content: str | bytes,
    element: str = "PRCP",
    station: str = "",
    *,
    keep_whole_lines: bool = False,
) -> DailyRecord:
    """Read one element of a GHCN-Daily file, in either published form.

    content: the file's text or bytes, lines ending in LF or CRLF; gzip as published is unpacked.
    element: PRCP (rain and melted snow, tenths of mm), SNOW, SNWD (mm) or another of UNITS_SI.
    station: needed only where a file holds several. A value with a quality flag is dropped; -9999
    is missing; a trace is 0; days the calendar does not have are passed over. Rain gathered over
    several days (MDPR) is never spread over them. A damaged line is left out with a note.
    keep_whole_lines: of a file that was cut, read what came before the cut, with a note.
    Source: NOAA GHCN-Daily readme, section III. Raises RainFileUnreadable, and RainFileCut for a
    file that ends inside a line or a package.
    """
    element = element.strip().upper()
    if element not in UNITS_SI:
        known = ", ".join(UNITS_SI)
        raise RainFileUnreadable(f"{element!r} is not read here; ask for one of {known}.")
    gathered = _Gathered(station=station.strip().upper())
    text = _decode(content, gathered.notes)
    lines = text.splitlines()
    first = next((line for line in lines if line.strip()), "")
    is_csv = "," in first[:20]
    if is_csv:
        _gather_csv(lines, element, gathered)
    else:
        _gather_columns(lines, element, gathered)
    if not gathered.values and not gathered.missing and not gathered.dropped:
        raise RainFileUnreadable(
            f"No {element} of GHCN-Daily was found in this file. Take the station's .dly file or"
            " its by-station CSV from NOAA, whole. " + " ".join(gathered.notes[:3])
        )
    if not keep_whole_lines:
        _refuse_cut(lines, is_csv, gathered)
    days = tuple(sorted(gathered.values))
    return DailyRecord(
        station=gathered.station,
        element=element,
        unit_si=UNITS_SI[element],
        days=days,
        published=tuple(gathered.values[day] for day in days),
        traces=tuple(sorted(gathered.traces)),
        missing=gathered.missing,
        dropped=tuple(sorted(gathered.dropped, key=lambda d: d.on)),
        notes=_shorten(gathered.notes),
    )


def read_dly(content: str | bytes, element: str = "PRCP") -> DailyRecord:
    """Read the fixed-column form; the same as read_ghcn_daily. Raises as it does."""
    return read_ghcn_daily(content, element)


def read_by_station_csv(content: str | bytes, element: str = "PRCP") -> DailyRecord:
    """Read the by-station CSV form; the same as read_ghcn_daily."""
    return read_ghcn_daily(content, element)


def _refuse_cut(lines: list[str], is_csv: bool, gathered: _Gathered) -> None:
    number, last = next((n, x) for n, x in reversed(list(enumerate(lines, 1))) if x.strip())
    name = last.split(",")[0].strip().strip('"') if is_csv else last[:11].strip()
    is_short = last.count(",") < 6 if is_csv else len(last) < SHORTEST_LINE
    is_of_station = gathered.station.startswith(name.upper())
    if (is_short and is_of_station) or CUT_PACKAGE in gathered.notes:
        raise RainFileCut(
            f"The file is cut in the middle of line {number}: it did not arrive whole. Take the"
            f" station's file from NOAA again, or keep the {len(gathered.values):,} days before"
            " the cut."
        )


def _shorten(notes: list[str]) -> tuple[str, ...]:
    """A file that is wrong on every line says so in a few sentences."""
    if len(notes) <= MOST_NOTES:
        return tuple(notes)
    return (*notes[:MOST_NOTES], f"And {len(notes) - MOST_NOTES} more of this kind.")


def _decode(content: str | bytes, notes: list[str]) -> str:
    if isinstance(content, bytes) and content.startswith(GZIP):
        content = _unpack(content, notes)
    text = content if isinstance(content, str) else content.decode("utf-8-sig", "replace")
    if not text.strip("\ufeff \t\r\n\0"):
        raise RainFileUnreadable("The file is empty. Take the station's file from NOAA again.")
    return text.lstrip("\ufeff")


def _unpack(packed: bytes, notes: list[str]) -> bytes:
    unpacking = zlib.decompressobj(wbits=31)
    try:
        content = unpacking.decompress(packed, MOST_UNPACKED_BYTES)
    except zlib.error as flaw:
        raise RainFileUnreadable(
            "The packed file is damaged. Take the station's file from NOAA again."
        ) from flaw
    if unpacking.unconsumed_tail:
        raise RainFileUnreadable(
            f"The packed file holds more than {MOST_UNPACKED_BYTES:,} bytes, which no station has."
        )
    if not unpacking.eof:
        notes.append(CUT_PACKAGE)
    return content


def _gather_columns(lines: list[str], element: str, gathered: _Gathered) -> None:
    signed = element in BELOW_ZERO
    for number, line in enumerate(lines, start=1):
        if line[17:21].upper() != element:
            if line.strip() and not line[11:17].isdigit():
                gathered.notes.append(f"Line {number} is not a GHCN-Daily line; it was left out.")
            continue
        if len(line) < SHORTEST_LINE:
            gathered.notes.append(f"Line {number} is cut off; its month was left out.")
            continue
        if not _is_of_one_station(line[:11], number, gathered):
            continue
        try:
            cells = list(_cells(line))
        except ValueError:
            gathered.notes.append(f"Line {number} is damaged; its month was left out.")
            continue
        for cell in cells:
            gathered.take(*cell, signed)


def _cells(line: str) -> Iterator[tuple[date, int, str, str]]:
    """Day, value and two flags of each real day in a line. ValueError: a damaged line."""
    year, month = int(line[11:15]), int(line[15:17])
    start = FIRST_CELL
    for day in range(1, monthrange(year, month)[1] + 1):
        yield (
            date(year, month, day),
            int(line[start : start + 5]),
            line[start + 5 : start + 6],
            line[start + 6 : start + 7],
        )
        start += CELL


def _gather_csv(lines: list[str], element: str, gathered: _Gathered) -> None:
    """Rows of ID, YYYYMMDD, ELEMENT, VALUE, M, Q, S, TIME; a header row may stand first."""
    signed = element in BELOW_ZERO
    for number, line in enumerate(lines, start=1):
        fields = [part.strip().strip('"') for part in line.split(",")]
        if number == 1 and fields[0].upper() in ("ID", "STATION", "STATION_ID"):
            continue
        if not line.strip() or (len(fields) > 3 and fields[2].upper() != element):
            continue
        # The quality flag is whole only if the comma after it was read.
        if len(fields) < 7:
            gathered.notes.append(f"Line {number} is cut off; it was left out.")
            continue
        if not _is_of_one_station(fields[0], number, gathered):
            continue
        try:
            year, month, day_of_month = fields[1][:4], fields[1][4:6], fields[1][6:8]
            day = date(int(year), int(month), int(day_of_month))
            value = int(fields[3])
        except ValueError:
            gathered.notes.append(f"Line {number} is damaged; it was left out.")
            continue
        gathered.take(day, value, fields[4].upper(), fields[5], signed)


def _is_of_one_station(name: str, number: int, gathered: _Gathered) -> bool:
    """Whether a line is of the wanted station; the first one met, if none was named."""
    name = name.strip().upper()
    if not gathered.station:
        gathered.station = name
    if name != gathered.station:
        gathered.notes.append(
            f"Line {number} is of station {name}, not {gathered.station}; it was left out."
        )
    return name == gathered.station
