"""Silt in a mail: the words say all, the bar needs neither picture nor style."""

import re

import pytest
from defusedxml.ElementTree import fromstring

from drainservice.engine.drawings.silt_bar import SiltCannotBeDrawn, write_silt_bar
from drainservice.engine.units import INCH_M, UnitSystem


def bar(depth_in, limit_in=3, system=UnitSystem.TRADE):
    return write_silt_bar(depth_in * INCH_M, limit_in * INCH_M, system)


def cells(html):
    row = fromstring(f"<div>{html}</div>").find("table/tr")
    return [(cell.get("class"), int(cell.get("width").rstrip("%"))) for cell in row]


def test_words_come_first():
    html = bar(1.75)

    assert html.startswith('<p class="silt-words">The silt is 1.75 in deep. We clean it out at 3')
    assert html.index("<table") > html.index("</p>")


def test_silt_fills_its_share_and_the_limit_is_marked():
    # Whole bar: 1.25 + 0.012 times the limit; silt 1.75 / 3 / 1.262 = 46 %.
    found = cells(bar(1.75))

    assert [name for name, _ in found] == ["silt-in", "silt-room", "silt-limit", "silt-beyond"]
    assert found[0][1] == 46
    assert sum(share for _, share in found) == pytest.approx(100, abs=1)


def test_silt_past_the_limit_runs_past_the_mark_and_is_said():
    html = bar(3.5)

    assert "past the 3 in at which we clean it out" in html
    assert [name for name, _ in cells(html)] == ["silt-in", "silt-limit", "silt-in", "silt-beyond"]


def test_a_clean_pit_has_an_empty_bar():
    assert next(name for name, _ in cells(bar(0))) == "silt-room"


def test_has_nothing_a_mail_reader_drops():
    html = bar(1.75)

    assert not re.search("<svg|<img|style=|<script", html)


def test_metric_households_read_millimetres():
    assert "44 mm deep. We clean it out at 76 mm" in bar(1.75, system=UnitSystem.METRIC)


@pytest.mark.parametrize(("depth", "limit"), [(-1, 3), (1, 0), (float("nan"), 3)])
def test_impossible_silt_is_refused_in_words(depth, limit):
    with pytest.raises(SiltCannotBeDrawn, match="read it again"):
        bar(depth, limit)
