"""Laws of the section for any pit a person could enter."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from drainservice.engine.drawings.pit_facts import (
    Arrow,
    Attitude,
    Base,
    CheckValve,
    Discharge,
    Fabric,
    Inlet,
    Known,
    Lid,
    LineEnd,
    Place,
    Pump,
    TopLayer,
)
from drainservice.engine.drawings.pit_scale import Box
from drainservice.engine.drawings.section import draw_section
from drainservice.engine.drawings.sheet import Width
from drainservice.engine.drawings.stones import throw_stones
from drainservice.engine.units import UnitSystem
from tests.engine.drawings.reading_svg import GOOD_PIT, assert_fit_to_show, read


def maybe(low, high):
    return st.none() | st.floats(low, high)


words = st.text(st.characters(codec="utf-8"), max_size=60)
pits = st.builds(
    replace,
    st.just(GOOD_PIT),
    name=words,
    depth_m=maybe(0.2, 12),
    width_m=maybe(0.2, 12),
    insert_diameter_m=maybe(0.1, 3),
    insert_height_m=maybe(0.1, 12),
    lid=st.builds(Lid, maybe(0.1, 2), st.floats(0, 1), st.sampled_from(["", "pavers", "mulch"])),
    stone_m=maybe(0.002, 0.3),
    fabric=st.sampled_from(Fabric),
    pump=st.none()
    | st.builds(
        Pump,
        maybe(10, 2000),
        maybe(-1, 12),
        maybe(-1, 12),
        maybe(-1, 12),
        st.sampled_from(Base),
    ),
    valve=st.builds(
        CheckValve,
        st.sampled_from(Known),
        st.sampled_from(Attitude),
        st.sampled_from(Place),
        st.sampled_from(Arrow),
        maybe(-1, 12),
        st.sampled_from(Known),
    ),
    discharge=st.none()
    | st.builds(Discharge, maybe(0.02, 0.3), maybe(0, 12), st.sampled_from(LineEnd), words),
    inlets=st.lists(st.builds(Inlet, words, maybe(0.02, 0.4), maybe(-1, 12)), max_size=6).map(
        tuple
    ),
    top_layer=st.none() | st.builds(TopLayer, words, st.floats(0.01, 3)),
    water_below_m=maybe(-1, 12),
    sediment_m=maybe(0, 3),
)


@settings(max_examples=60, deadline=None)
@given(facts=pits, width=st.sampled_from(Width), system=st.sampled_from(UnitSystem))
def test_any_pit_is_fit_to_show(facts, width, system):
    svg = draw_section(facts, width, system, "s1").svg

    assert_fit_to_show(svg, "s1")


@settings(max_examples=60, deadline=None)
@given(facts=pits)
def test_every_fault_said_is_outlined_twice_and_no_other(facts):
    section = draw_section(facts, Width.PHONE, UnitSystem.TRADE, "s1")
    said = {call.part for call in section.call_outs if call.faults}

    outlined = {
        group.get("data-fault"): len(group)
        for group in read(section.svg).iter()
        if group.get("data-fault")
    }

    assert outlined == dict.fromkeys(said, 2)


@settings(max_examples=40, deadline=None)
@given(
    largest=st.floats(5, 40),
    wide=st.floats(5, 300),
    high=st.floats(5, 300),
)
def test_no_stone_crosses_its_region_and_no_two_overlap(largest, wide, high):
    region = Box(10, 10, 10 + wide, 10 + high)
    stones = []
    for size, path in zip((1.0, 0.84, 0.7), throw_stones([region], largest), strict=True):
        x = y = 0.0
        for step in path.removeprefix("M0 0").removeprefix("m").split("m") if path else []:
            dx, dy = step.removesuffix("h0").split(" ")
            x, y = x + float(dx), y + float(dy)
            stones.append((x, y, largest * size / 2))

    for place, (x, y, radius) in enumerate(stones):
        assert x - radius >= 10 - 0.1
        assert x + radius <= 10 + wide + 0.1
        assert y - radius >= 10 - 0.1
        assert y + radius <= 10 + high + 0.1
        for other_x, other_y, other in stones[place + 1 : place + 80]:
            apart = ((x - other_x) ** 2 + (y - other_y) ** 2) ** 0.5
            assert apart >= radius + other - 0.15
