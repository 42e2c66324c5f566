"""Opens a file by what it is, whatever it is called."""

from pathlib import Path

from drainservice.exchange.grid import MOST_BYTES, Grid, SheetRefused
from drainservice.exchange.grid_text import read_text_grid
from drainservice.exchange.grid_workbook import read_workbook_grids

_SAVE = "Save the list as XLSX or as CSV (UTF-8) and bring in that file."
_STRANGERS = (
    (b"%PDF", "a PDF"), (b"\x89PNG", "a picture"), (b"\xff\xd8\xff", "a photo"),
    (b"GIF8", "a picture"),
    (b"\x1f\x8b", "a packed archive"), (b"7z\xbc\xaf", "a packed archive"),
    (b"Rar!", "a packed archive"),
    (b"{\\rtf", "a text document (RTF)"), (b"MZ", "a program"), (b"\x7fELF", "a program"),
    (b"SQLite format 3", "a database"), (b"BZh", "a packed archive"),
    (b"\xfd7zXZ", "a packed archive"),
)  # fmt: skip


def open_grids(source: Path | str | bytes, name: str) -> tuple[Grid, ...]:
    """Every sheet of the file.  Raises SheetRefused with what to do."""
    data = source if isinstance(source, bytes) else _load(Path(source))
    if len(data) > MOST_BYTES:
        raise SheetRefused(
            f"The file is larger than {MOST_BYTES // 1_000_000} MB. Take out pictures and sheets "
            "that are not the list, or cut it into smaller files."
        )
    if not data.strip(b"\x00\t\r\n \xef\xbb\xbf\xff\xfe"):
        raise SheetRefused("The file is empty. Check that the list was saved and choose it again.")
    _refuse_strangers(data, name)
    if data.startswith(b"PK"):
        return read_workbook_grids(data)
    return (read_text_grid(data),)


def _load(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(MOST_BYTES + 1)


def _refuse_strangers(data: bytes, name: str) -> None:
    if name.lower().endswith((".xlsm", ".xltm", ".xlam")):
        raise SheetRefused(
            "The name says the workbook holds macros, which are never read. Save it as XLSX "
            "(without macros) and bring in that file."
        )
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise SheetRefused(
            "This is an old workbook (XLS) or one with a password. Open it, save it as XLSX "
            "without a password, and bring in that file."
        )
    for mark, what in _STRANGERS:
        if data.startswith(mark):
            raise SheetRefused(f"The file is {what}, not a list. {_SAVE}")
    head = data[:2000].lstrip(b"\xef\xbb\xbf \r\n\t").lower()
    if head.startswith((b"<!doctype", b"<html", b"<?xml", b"<table")):
        raise SheetRefused(f"The file is a web page or XML, whatever its name says. {_SAVE}")
