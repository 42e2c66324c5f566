"""The picture in the README is what the program draws of the pit described here."""

from drainservice.engine.drawings import pit_facts as facts
from drainservice.engine.drawings.section import draw_section
from drainservice.engine.drawings.sheet import Width
from drainservice.engine.drawings.tokens import LIGHT
from drainservice.engine.units import FOOT_M, HORSEPOWER_W, INCH_M, UnitSystem

FT, IN = FOOT_M, INCH_M
PIT = facts.PitFacts(
    name="by the driveway",
    depth_m=4 * FT,
    width_m=4 * FT,
    insert_diameter_m=24 * IN,
    insert_height_m=3.5 * FT,
    lid=facts.Lid(24 * IN),
    stone_m=1.5 * IN,
    fabric=facts.Fabric.NON_WOVEN,
    pump=facts.Pump(HORSEPOWER_W / 3, 2 * FT, 3 * FT, base=facts.Base.SOLID),
    valve=facts.CheckValve(
        present=facts.Known.YES,
        attitude=facts.Attitude.UPRIGHT,
        place=facts.Place.IN_PIT,
        arrow=facts.Arrow.WITH_FLOW,
        below_m=19 * IN,
        weep_hole=facts.Known.YES,
    ),
    discharge=facts.Discharge(1.5 * IN, 12 * IN, facts.LineEnd.MAIN_BY_WYE, "the main"),
    inlets=(facts.Inlet("downspout A", 4 * IN, 18 * IN),),
    top_layer=facts.TopLayer("pea stone", 6 * IN),
    water_below_m=29 * IN,
)


def drawn() -> str:
    """The section on its own sheet of paper, for readers whose page is dark."""
    svg = draw_section(PIT, Width.WIDE, UnitSystem.TRADE, "readme").svg
    sheet = f'<rect width="100%" height="100%" fill="{LIGHT["paper"]}"/>'
    return svg.replace("</desc>", f"</desc>{sheet}", 1)


def test_the_picture_in_the_readme_is_drawn_by_this_program(root):
    kept = (root / "drainservice" / "static" / "section.svg").read_text()

    assert kept.strip() == drawn().strip()
