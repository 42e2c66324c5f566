"""Looks into a workbook's archive first: sizes counted while unpacking, no XML entities."""

import io
import zipfile

from drainservice.exchange.grid import SheetRefused

MOST_UNPACKED = 200_000_000
MOST_RATIO = 100
_RATIO_FROM = 1_000_000  # small parts of repeated words pack well without harm
MOST_PARTS = 2_000
_CHUNK = 1 << 16
_REPACK = (
    "Open it in a spreadsheet program, copy the list into a new workbook, save that as XLSX and "
    "bring in the new file."
)


def look_into(data: bytes) -> None:
    """Raises SheetRefused for what is no plain workbook or would grow beyond its caps."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            _look_at_names([part.filename for part in archive.infolist()])
            _count(archive, len(data))
    except SheetRefused:
        raise
    except Exception as fault:  # whatever a broken archive raises, it is a broken archive
        raise SheetRefused(f"The workbook is damaged and cannot be unpacked. {_REPACK}") from fault


def _look_at_names(names: list[str]) -> None:
    if len(names) > MOST_PARTS:
        raise SheetRefused(f"The workbook has more than {MOST_PARTS:,} parts. {_REPACK}")
    small = [name.lower() for name in names]
    if any(name.endswith("vbaproject.bin") for name in small):
        raise SheetRefused(
            "The workbook holds macros, which are never read. Save it as XLSX (without macros) and "
            "bring in that file."
        )
    if any(name == "content.xml" for name in small):
        raise SheetRefused(
            "This is an OpenDocument sheet. Save it as XLSX or CSV (UTF-8) and bring that in."
        )
    if "xl/workbook.bin" in small:
        raise SheetRefused(
            "This is a binary workbook (XLSB). Save it as XLSX and bring in that file."
        )
    if not any(name.startswith("xl/") for name in small) or "[content_types].xml" not in small:
        raise SheetRefused(
            "The archive is not a workbook. Take the list out of it and bring that in."
        )


def _count(archive: zipfile.ZipFile, packed: int) -> None:
    unpacked = 0
    for part in archive.infolist():
        if part.flag_bits & 1:
            raise SheetRefused("The workbook has a password. Save it without one and try again.")
        before = unpacked
        tail = b""
        with archive.open(part) as stream:
            while chunk := stream.read(_CHUNK):
                unpacked += len(chunk)
                _refuse_growth(unpacked, unpacked - before, packed, part.compress_size)
                if part.filename.lower().endswith((".xml", ".rels", ".vml")):
                    _refuse_entities(tail + chunk)
                    tail = chunk[-32:]


def _refuse_growth(total: int, of_part: int, packed: int, packed_part: int) -> None:
    ratio = max(total / max(packed, 1), of_part / max(packed_part, 1))
    if total > MOST_UNPACKED or (of_part > _RATIO_FROM and ratio > MOST_RATIO):
        raise SheetRefused(
            f"The workbook grows beyond {MOST_UNPACKED // 1_000_000} MB, or more than {MOST_RATIO} "
            f"times, when it is unpacked. {_REPACK}"
        )


def _refuse_entities(piece: bytes) -> None:
    """A document type is where XML bombs live; no spreadsheet program writes one (UTF-16 too)."""
    small = piece.replace(b"\x00", b"").lower()
    if b"<!doctype" in small or b"<!entity" in small:
        raise SheetRefused(
            f"The workbook holds XML with a document type, which is refused. {_REPACK}"
        )
