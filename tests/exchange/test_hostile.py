# ruff: noqa: E501
"""Files that would harm or stall a careless reader end in a sentence that says what to do."""

import io
import zipfile
from datetime import date

import openpyxl
import pytest

from drainservice.exchange import grid_workbook
from drainservice.exchange.grid import SheetRefused
from drainservice.exchange.reading import read_sheet

TODAY = date(2025, 11, 3)
HEADER = "Customer,Address,Phone,Pit depth,Pump,Done,Remarks\n"


def read(data, name="list.csv"):
    return read_sheet(data, name=name, today=TODAY)


def zipped(parts):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return out.getvalue()


def workbook(rows, change=None):
    """A plain workbook; `change` maps a part's name to a function of its bytes."""
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    with zipfile.ZipFile(io.BytesIO(out.getvalue())) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    for name, function in (change or {}).items():
        parts[name] = function(parts.get(name, b""))
    return zipped(parts)


PLAIN = [["Name", "Address", "Phone"], ["Juno Greenlaw", "12 Oxbow Ct", "253-555-0101"]]
SHELL = {"[Content_Types].xml": "<a/>", "xl/workbook.xml": "<a/>"}
REFUSED = {
    "empty": (b"", "x.csv", "is empty"),
    "only a byte order mark": (b"\xef\xbb\xbf", "x.csv", "is empty"),
    "a PDF called CSV": (b"%PDF-1.7 ...", "x.csv", "Save the list as XLSX"),
    "an old workbook": (b"\xd0\xcf\x11\xe0" + b"0" * 600, "x.xls", "save it as XLSX"),
    "a web page": (b"<html><table>", "x.xls", "web page"),
    "nothing but zero bytes": (b"Name,Address\n" + b"\x00" * 500, "x.csv", "save it as CSV"),
    "one long line": (b"a" * 9_000_000, "x.csv", "row of headings"),
    "commas only": (b"," * 9_000_000, "x.csv", "more than 200 columns"),
    "quotes never closed": (b'"x\n' * 400_000, "x.csv", "more than 100,000 rows"),
    "too large": (b"a" * 10_000_001, "x.csv", "larger than 10 MB"),
    "too many rows": (b"Name,Address\n" + b"a,1 Elm Rd\n" * 100_001, "x.csv", "100,000 rows"),
    "macros by name": (zipped(SHELL), "x.xlsm", "macros"),
    "macros inside": (zipped(SHELL | {"xl/vbaProject.bin": "x"}), "x.xlsx", "macros"),
    "an OpenDocument": (zipped({"content.xml": "<a/>"}), "x.ods", "OpenDocument"),
    "some archive": (zipped({"a.txt": "hi"}), "x.xlsx", "not a workbook"),
    "a broken archive": (b"PK\x03\x04" + b"x" * 100, "x.xlsx", "damaged"),
    "a workbook of nothing": (zipped(SHELL), "x.xlsx", "cannot be opened"),
    "a zip bomb": (zipped(SHELL | {"xl/a.xml": b" " * 30_000_000}), "x.xlsx", "grows beyond"),
    "300 columns": (workbook([["Name", "Address", *["x"] * 300]]), "x.xlsx", "200 columns"),
    "no headings": (b"1,2,3\n4,5,6\n", "x.csv", "row of headings"),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSED)
def test_are_refused_in_a_sentence(case):
    data, name, words = REFUSED[case]

    with pytest.raises(SheetRefused, match=words):
        read(data, name)


@pytest.mark.parametrize("wide", [False, True])
def test_entity_bombs_are_refused_before_any_parser_sees_them(wide):
    bomb = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><worksheet/>'
    data = workbook(
        PLAIN,
        {"xl/worksheets/sheet1.xml": lambda _: bomb.decode().encode("utf-16") if wide else bomb},
    )

    with pytest.raises(SheetRefused, match="document type"):
        read(data, "x.xlsx")


def test_bytes_are_counted_while_unpacking_whatever_the_archive_claims():
    data = bytearray(zipped(SHELL | {"xl/a.xml": b" " * 3_000_000}))
    at = data.rfind(b"PK\x01\x02", 0, data.rfind(b"xl/a.xml"))
    data[at + 24 : at + 28] = (100).to_bytes(4, "little")  # the size in the directory, now a lie

    with pytest.raises(SheetRefused):
        read(bytes(data), "x.xlsx")


def test_a_child_that_runs_out_of_memory_is_told_in_words(monkeypatch):
    class Done:
        stdout = b'{"too_large": true}'

    monkeypatch.setattr(grid_workbook.subprocess, "run", lambda *_, **__: Done)

    with pytest.raises(SheetRefused, match="too much memory or time"):
        read(workbook(PLAIN), "x.xlsx")


def test_the_child_limits_its_own_memory_and_time():
    import subprocess
    import sys

    code = (
        "import resource; from drainservice.exchange.grid_child import limit_self; limit_self();"
        "print(resource.getrlimit(resource.RLIMIT_AS)[0], resource.getrlimit(resource.RLIMIT_CPU)[0])"
    )
    said = subprocess.run(
        [sys.executable, "-c", code], cwd=grid_workbook._ROOT, capture_output=True, check=True
    )

    assert said.stdout.split() == [str(1 << 30).encode(), b"60"]


def test_links_to_other_workbooks_are_not_followed():
    external = b'<externalLink xmlns="x"><file>http://example.com/x.xlsx</file></externalLink>'
    data = workbook(PLAIN, {"xl/externalLinks/externalLink1.xml": lambda _: external})

    assert read(data, "x.xlsx").count("taken") == 1


@pytest.mark.parametrize(
    ("cell", "reason"),
    [("x" * 5_001, "too_long"), ("a\x07b", "control_characters"), ("a\x00b", "control_characters")],
)
def test_one_unfit_cell_is_refused_alone(cell, reason):
    row = read(f"{HEADER}Juno Greenlaw,12 Oxbow Ct,,4 ft,,,{cell}\n".encode()).rows[1]

    assert [problem.reason for problem in row.refused] == [reason]
    assert row.facts["site.address"] == "12 Oxbow Ct"


@pytest.mark.parametrize("sign", "=+-@")
def test_one_guarding_apostrophe_is_taken_off_a_remark(sign):
    row = read(f"{HEADER}Juno Greenlaw,12 Oxbow Ct,,4 ft,,,'{sign}1+1 visits\n".encode()).rows[1]

    assert row.facts["notes"] == f"{sign}1+1 visits"


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"]
)
@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_every_encoding_and_sign_between_cells_gives_the_same(encoding, delimiter):
    text = HEADER + "José Grün,12 Öxbow Ct,253-555-0101,4 ft,1/2 hp,2019,über all\n"

    row = read(text.replace(",", delimiter).encode(encoding)).rows[1]

    assert row.facts["household.names"] == ["José Grün"]
    assert row.facts["notes"] == "über all"
    assert row.facts["pit.depth_m"] == pytest.approx(1.2192)
