"""Reads a drawing back as a person would: its words with their boxes, its links, its outlines."""

import re
from dataclasses import dataclass, replace

from defusedxml.ElementTree import fromstring

from drainservice.engine.drawings.lettering import measure
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
    PitFacts,
    Place,
    Pump,
    TopLayer,
)
from drainservice.engine.units import FOOT_M, INCH_M

SVG = "{http://www.w3.org/2000/svg}"

GOOD_VALVE = CheckValve(
    Known.YES, Attitude.UPRIGHT, Place.IN_PIT, Arrow.WITH_FLOW, 19 * INCH_M, Known.YES
)
GOOD_PIT = PitFacts(
    name="the pit by the driveway",
    depth_m=4 * FOOT_M,
    width_m=4 * FOOT_M,
    insert_diameter_m=2 * FOOT_M,
    insert_height_m=3.2 * FOOT_M,
    lid=Lid(24 * INCH_M),
    stone_m=1.5 * INCH_M,
    fabric=Fabric.NON_WOVEN,
    pump=Pump(248.6, 2.0 * FOOT_M, 2.9 * FOOT_M, 1.8 * FOOT_M, Base.SOLID),
    valve=GOOD_VALVE,
    discharge=Discharge(1.5 * INCH_M, 1.0 * FOOT_M, LineEnd.MAIN_BY_WYE, "to the main by a wye"),
    inlets=(
        Inlet("downspout A", 4 * INCH_M, 1.6 * FOOT_M),
        Inlet("downspout B", 4 * INCH_M, 1.75 * FOOT_M),
    ),
    top_layer=TopLayer("pea stone", 7 * INCH_M),
    surface="lawn",
    water_below_m=2.4 * FOOT_M,
    water_seen="on 12 May",
    sediment_m=1.75 * INCH_M,
)
UNKNOWN_PIT = PitFacts(
    name="the pit behind the shed",
    depth_m=None,
    width_m=None,
    insert_diameter_m=None,
    insert_height_m=None,
    lid=Lid(None),
    stone_m=None,
    fabric=Fabric.UNKNOWN,
    pump=Pump(None, None, None),
    valve=CheckValve(Known.UNKNOWN),
    discharge=Discharge(None, None),
    inlets=(Inlet("a downspout", None, None),),
)
WORST_PIT = replace(
    GOOD_PIT,
    lid=Lid(24 * INCH_M, 3 * INCH_M, "pavers"),
    stone_m=0.75 * INCH_M,
    fabric=Fabric.LANDSCAPE,
    pump=replace(GOOD_PIT.pump, base=Base.LOOSE_STONE),
    valve=replace(GOOD_VALVE, arrow=Arrow.AGAINST_FLOW, weep_hole=Known.NO),
    discharge=replace(GOOD_PIT.discharge, end=LineEnd.MAIN_BY_TEE),
)


@dataclass(frozen=True)
class WordBox:
    """One line of words and the rectangle it fills, by the width table."""

    words: str
    left: float
    top: float
    right: float
    bottom: float
    size: float


def read(svg):
    """The root element; fails if the text is not well-formed XML."""
    return fromstring(svg)


def view_box(svg):
    """Width and height of the drawing's own coordinates."""
    return tuple(float(part) for part in read(svg).get("viewBox").split()[2:])


def word_boxes(svg):
    """Every line of words; no words stand inside a moved or turned group."""
    root = read(svg)
    moved = [group for group in root.iter(f"{SVG}g") if group.get("transform")]
    assert not any(list(group.iter(f"{SVG}text")) for group in moved)
    return [_box(text) for text in root.iter(f"{SVG}text")]


def _box(text):
    size = float(text.get("font-size", 15))
    weight = int(text.get("font-weight", 400))
    wide = measure(text.text or "", size, weight)
    wide += sum(measure(part.text or "", size, 650) for part in text.findall(f"{SVG}tspan"))
    x, y = float(text.get("x")), float(text.get("y"))
    left = {"start": x, "middle": x - wide / 2, "end": x - wide}[text.get("text-anchor", "start")]
    # Capitals and descenders of the usual sans faces: 0.74 em up, 0.22 em down.
    words = "".join(text.itertext())
    return WordBox(words, left, y - 0.74 * size, left + wide, y + 0.22 * size, size)


def overlaps(boxes):
    """Pairs of words that cover one another."""
    return [
        (one.words, other.words)
        for place, one in enumerate(boxes)
        for other in boxes[place + 1 :]
        if one.left < other.right - 0.2
        and other.left < one.right - 0.2
        and one.top < other.bottom - 0.2
        and other.top < one.bottom - 0.2
    ]


def outside(svg):
    """Words that reach beyond the drawing."""
    wide, high = view_box(svg)
    return [
        box.words
        for box in word_boxes(svg)
        if box.left < 0 or box.right > wide or box.top < 0 or box.bottom > high
    ]


def all_words(svg):
    """Everything a person can read in the picture, in order, as one line."""
    return " ".join(box.words for box in word_boxes(svg))


def ids(svg):
    """Every id of a drawing, in order."""
    return [part.get("id") for part in read(svg).iter() if part.get("id")]


def assert_fit_to_show(svg, prefix):
    """What holds for every drawing: well-formed, named, unstyled, legible, nothing cut or covered,
    ids its own, references kept inside."""
    root = read(svg)
    assert root.get("role") in {"img", "group"}
    assert root.find(f"{SVG}title").text
    assert root.get("aria-labelledby").split()[0] == root.find(f"{SVG}title").get("id")
    assert "style=" not in svg
    assert "<script" not in svg
    found = ids(svg)
    assert len(found) == len(set(found))
    assert all(name.startswith(f"{prefix}-") for name in found)
    assert set(re.findall(r'(?:url\(#|href="#)(?!part-)([^)"]+)', svg)) <= set(found)
    assert all(box.size >= 13 for box in word_boxes(svg))
    assert outside(svg) == []
    assert overlaps(word_boxes(svg)) == []
    assert "nan" not in re.findall(r'[ "](nan|inf)[ "]', svg)
