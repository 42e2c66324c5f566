"""A drawing for a PDF: its colours are written out, black on white, water hatched."""

import re

from drainservice.engine.drawings.paper import write_for_paper
from drainservice.engine.drawings.section import draw_section
from drainservice.engine.drawings.sheet import Width
from drainservice.engine.units import UnitSystem
from tests.engine.drawings.reading_svg import GOOD_PIT, WORST_PIT, read


def test_only_black_and_white_are_left():
    svg = write_for_paper(draw_section(WORST_PIT, Width.WIDE, UnitSystem.TRADE, "s").svg)

    assert set(re.findall(r'(?:fill|stroke)="(#\w+)"', svg)) == {"#000", "#fff"}
    assert "var(" not in svg


def test_water_is_hatched_where_there_is_water():
    svg = write_for_paper(draw_section(GOOD_PIT, Width.WIDE, UnitSystem.TRADE, "s").svg)

    hatched = [part for part in read(svg).iter() if part.get("fill") == "url(#s-wet)"]

    assert hatched
    assert not any(part.get("display") for part in hatched)
