"""The section of a pit: to scale, nothing wrong unsaid, nothing unknown drawn as known."""

import gzip
import itertools
from dataclasses import replace

import pytest

from drainservice.engine.drawings.pit_facts import (
    Arrow,
    Attitude,
    Base,
    Discharge,
    Fabric,
    Fault,
    Inlet,
    Known,
    Lid,
    LineEnd,
    PitCannotBeDrawn,
    Place,
)
from drainservice.engine.drawings.pit_scale import lay_out_ground
from drainservice.engine.drawings.section import draw_section
from drainservice.engine.drawings.sheet import PrefixIsNoName, Width
from drainservice.engine.units import FOOT_M, INCH_M, UnitSystem
from tests.engine.drawings.reading_svg import (
    GOOD_PIT,
    GOOD_VALVE,
    SVG,
    UNKNOWN_PIT,
    WORST_PIT,
    all_words,
    assert_fit_to_show,
    read,
    word_boxes,
)

TRADE = UnitSystem.TRADE
PITS = {"good": GOOD_PIT, "worst": WORST_PIT, "unknown": UNKNOWN_PIT}
# Each thing wrong on its own, with the part that must be outlined.
WRONG = {
    "valve": [
        replace(GOOD_PIT, valve=replace(GOOD_VALVE, arrow=Arrow.AGAINST_FLOW)),
        replace(GOOD_PIT, valve=replace(GOOD_VALVE, attitude=Attitude.ON_ITS_SIDE)),
        replace(GOOD_PIT, valve=replace(GOOD_VALVE, place=Place.BURIED)),
        replace(GOOD_PIT, valve=replace(GOOD_VALVE, present=Known.NO)),
    ],
    "weep": [replace(GOOD_PIT, valve=replace(GOOD_VALVE, weep_hole=Known.NO))],
    "base": [replace(GOOD_PIT, pump=replace(GOOD_PIT.pump, base=Base.LOOSE_STONE))],
    "fabric": [
        replace(GOOD_PIT, fabric=Fabric.LANDSCAPE),
        replace(GOOD_PIT, fabric=Fabric.NONE),
    ],
    "stone": [replace(GOOD_PIT, stone_m=0.5 * INCH_M)],
    "lid": [replace(GOOD_PIT, lid=Lid(24 * INCH_M, 3 * INCH_M, "pavers"))],
    "discharge": [
        replace(GOOD_PIT, discharge=Discharge(1.5 * INCH_M, FOOT_M, LineEnd.MAIN_BY_TEE))
    ],
}
WRONG_CASES = [(part, facts) for part, pits in WRONG.items() for facts in pits]


def outlined(svg):
    return {
        group.get("data-fault"): group.findall(f"{SVG}rect")
        for group in read(svg).iter(f"{SVG}g")
        if group.get("data-fault")
    }


@pytest.mark.parametrize("width", Width)
@pytest.mark.parametrize("pit", PITS)
def test_is_fit_to_show(pit, width):
    svg = draw_section(PITS[pit], width, TRADE, "s1").svg

    assert_fit_to_show(svg, "s1")


@pytest.mark.parametrize("width", Width)
def test_draws_a_pit_of_four_feet_twice_as_deep_and_wide_as_one_of_two(width):
    def size_of(feet):
        facts = replace(
            GOOD_PIT, depth_m=feet * FOOT_M, width_m=feet * FOOT_M, insert_diameter_m=FOOT_M
        )
        hole = lay_out_ground(facts, width).hole
        return hole.width, hole.height

    two, four = size_of(2), size_of(4)

    assert four == pytest.approx((2 * two[0], 2 * two[1]))


@pytest.mark.parametrize("width", Width)
@pytest.mark.parametrize("depth_ft", [2, 4, 9, 20])
def test_scale_bar_is_as_long_as_it_says(width, depth_ft):
    facts = replace(GOOD_PIT, depth_m=depth_ft * FOOT_M)
    svg = draw_section(facts, width, TRADE, "s1").svg
    ground = lay_out_ground(facts, width)
    # Four quarters, each 5 px high; its words stand after it: "1 ft", "2 ft" or "5 ft".
    quarters = [
        float(rect.get("width"))
        for rect in read(svg).iter(f"{SVG}rect")
        if rect.get("height") == "5" and rect.get("class") in {"f-ink s-ink", "f-paper s-ink"}
    ]
    label = next(b for b in word_boxes(svg) if b.words in {"1 ft", "2 ft", "5 ft"})

    feet_m = int(label.words.split()[0]) * FOOT_M

    assert len(quarters) == 4
    assert sum(quarters) == pytest.approx(feet_m * ground.px_m, abs=0.25)


def test_water_stands_at_its_depth_below_grade():
    svg = draw_section(GOOD_PIT, Width.WIDE, TRADE, "s1").svg
    ground = lay_out_ground(GOOD_PIT, Width.WIDE)
    tops = {
        float(rect.get("y"))
        for rect in read(svg).iter(f"{SVG}rect")
        if rect.get("class") == "f-pale"
    }

    # 2.4 ft = 0.7315 m below grade at 240 px a metre = 175.6 px.
    assert ground.px_m == 240
    assert len(tops) == 1
    assert tops.pop() == pytest.approx(ground.grade + 175.6, abs=0.06)


@pytest.mark.parametrize(("part", "facts"), WRONG_CASES)
@pytest.mark.parametrize("width", Width)
def test_what_is_wrong_has_two_outlines_and_a_sentence(part, facts, width):
    section = draw_section(facts, width, TRADE, "s1")

    sentences = {call.part: call.faults for call in section.call_outs if call.faults}

    assert set(sentences) == {part}
    assert len(outlined(section.svg)[part]) == 2
    assert set(outlined(section.svg)) == {part}
    assert all(sentence.endswith(".") for sentence in sentences[part])
    assert sentences[part][0] in read(section.svg).find(f"{SVG}desc").text
    assert_fit_to_show(section.svg, "s1")


def test_the_wide_drawing_says_each_fault_in_full():
    section = draw_section(WORST_PIT, Width.WIDE, TRADE, "s1")
    words = all_words(section.svg)

    faults = [sentence for call in section.call_outs for sentence in call.faults]

    assert len(faults) == 7
    assert all(sentence in words for sentence in faults)


def test_a_sound_pit_has_no_outline_and_no_clay():
    svg = draw_section(GOOD_PIT, Width.WIDE, TRADE, "s1").svg

    assert outlined(svg) == {}
    assert "clay" not in svg


def test_an_unknown_pit_has_no_fault_and_says_what_is_not_known():
    section = draw_section(UNKNOWN_PIT, Width.WIDE, TRADE, "s1")
    unknown = {call.part for call in section.call_outs if "not known" in call.value}

    assert not any(call.faults for call in section.call_outs)
    assert unknown >= {"depth", "lid", "insert", "stone", "fabric", "pump", "base", "valve"}
    assert unknown >= {"weep", "discharge", "inlet-1", "float-on", "float-off"}
    assert section.svg.count("stroke-dasharray") >= 8


def test_a_fault_told_by_the_caller_replaces_the_drawings_own_words():
    told = Fault("valve", "leaks", "The valve leaks 2 gpm; clean its seat.")
    facts = replace(GOOD_PIT, valve=replace(GOOD_VALVE, arrow=Arrow.AGAINST_FLOW), faults=(told,))

    section = draw_section(facts, Width.WIDE, TRADE, "s1")

    assert [call.faults for call in section.call_outs if call.part == "valve"] == [
        ("The valve leaks 2 gpm; clean its seat.",)
    ]


def test_a_fault_of_a_part_that_is_not_drawn_is_still_said():
    told = Fault("battery", "weak", "The battery lasts 1 h; renew it.")

    section = draw_section(replace(GOOD_PIT, faults=(told,)), Width.WIDE, TRADE, "s1")

    assert "The battery lasts 1 h; renew it." in all_words(section.svg)


def test_call_outs_put_faults_first_and_number_from_one():
    calls = draw_section(WORST_PIT, Width.PHONE, TRADE, "s1").call_outs

    assert [call.number for call in calls] == list(range(1, len(calls) + 1))
    wrong = [bool(call.faults) for call in calls]
    assert wrong == sorted(wrong, reverse=True)


def test_the_phone_marks_carry_the_numbers_of_the_list():
    section = draw_section(WORST_PIT, Width.PHONE, TRADE, "s1")
    marks = {}
    for link in read(section.svg).iter(f"{SVG}a"):
        marks[link.get("href")] = int(link.find(f"{SVG}text").text)

    assert marks == {f"#part-{call.part}": call.number for call in section.call_outs}


def test_a_mark_on_the_phone_is_named_in_words_too():
    links = read(draw_section(GOOD_PIT, Width.PHONE, TRADE, "s1").svg).iter(f"{SVG}a")
    named = {link.get("href"): link.get("aria-label") for link in links}

    assert named["#part-pump"].endswith("pump 0.33 hp")


@pytest.mark.parametrize("width", Width)
def test_every_part_is_one_link_and_no_leader_ends_outside_its_part(width):
    section = draw_section(WORST_PIT, width, TRADE, "s1")
    links = list(read(section.svg).iter(f"{SVG}a"))

    assert [link.get("href") for link in links].count("#part-pump") == 1
    assert len(links) == len(section.call_outs)
    for link in links:
        # The clear shape is the part's box grown by 4 px; the first ring is the leader's end.
        hit, end = link.find(f"{SVG}rect"), link.find(f"{SVG}circle")
        left, top = float(hit.get("x")), float(hit.get("y"))
        assert left <= float(end.get("cx")) <= left + float(hit.get("width"))
        assert top <= float(end.get("cy")) <= top + float(hit.get("height"))


def test_labels_of_different_parts_stand_twenty_px_apart():
    svg = draw_section(WORST_PIT, Width.WIDE, TRADE, "s1").svg
    sides = {}
    for link in read(svg).iter(f"{SVG}a"):
        texts = link.findall(f"{SVG}text")
        lines = [float(text.get("y")) for text in texts]
        sides.setdefault(texts[0].get("text-anchor", "start"), []).append(lines)

    for labels in sides.values():
        labels.sort()
        gaps = [after[0] - before[-1] for before, after in itertools.pairwise(labels)]
        assert min(gaps) >= 20


def test_links_need_a_group_since_an_image_hides_its_children():
    assert read(draw_section(GOOD_PIT, Width.WIDE, TRADE, "s1").svg).get("role") == "group"


def test_arrow_of_the_valve_turns_with_how_it_was_built():
    def turn(**changes):
        facts = replace(GOOD_PIT, valve=replace(GOOD_VALVE, **changes))
        svg = draw_section(facts, Width.WIDE, TRADE, "s1").svg
        turned = [p.get("transform") for p in read(svg).iter(f"{SVG}path") if p.get("transform")]
        return next(text.split("rotate(")[1].rstrip(")") for text in turned if "translate" in text)

    assert turn() == "0"
    assert turn(arrow=Arrow.AGAINST_FLOW) == "180"
    assert turn(attitude=Attitude.ON_ITS_SIDE) == "90"
    assert turn(attitude=Attitude.ON_ITS_SIDE, arrow=Arrow.AGAINST_FLOW) == "270"


def test_the_same_pit_gives_the_same_bytes():
    first = draw_section(WORST_PIT, Width.WIDE, TRADE, "s1").svg

    assert draw_section(WORST_PIT, Width.WIDE, TRADE, "s1").svg == first


@pytest.mark.parametrize("width", Width)
@pytest.mark.parametrize("pit", PITS)
def test_weighs_no_more_than_eight_kilobytes_compressed(pit, width):
    svg = draw_section(PITS[pit], width, TRADE, "s1").svg

    assert len(gzip.compress(svg.encode())) <= 8192


def test_two_drawings_on_a_page_share_no_id():
    one = draw_section(GOOD_PIT, Width.WIDE, TRADE, "a").svg
    other = draw_section(GOOD_PIT, Width.PHONE, TRADE, "b").svg
    page = f"<svg xmlns='http://www.w3.org/2000/svg'>{one}{other}</svg>"

    found = [part.get("id") for part in read(page).iter() if part.get("id")]

    assert len(found) == len(set(found))


def test_metric_readers_see_metric_sizes_and_bar():
    words = all_words(draw_section(GOOD_PIT, Width.WIDE, UnitSystem.METRIC, "s1").svg)

    assert "500 mm" in words
    assert " ft" not in words
    assert "hp" not in words


def test_fixed_words_go_through_the_callers_translator():
    def spell(words):
        return {"check valve": "válvula", "{depth} down": "a {depth}"}.get(words, words)

    words = all_words(draw_section(GOOD_PIT, Width.WIDE, TRADE, "s1", spell).svg)

    assert "válvula" in words
    assert "a 2 ft" in words
    assert "check valve" not in words


def test_a_name_with_signs_of_markup_stays_a_name():
    facts = replace(GOOD_PIT, name='<b>"A&B"</b>\x00', inlets=(Inlet("<A> & B\x0b", 0.1, 0.5),))

    svg = draw_section(facts, Width.WIDE, TRADE, "s1").svg

    assert read(svg).find(f"{SVG}title").text == 'Section of <b>"A&B"</b>, to scale'
    assert "<A> & B" in all_words(svg)


@pytest.mark.parametrize("prefix", ["", "1a", "a b", 'a"b', "é"])
def test_a_prefix_that_cannot_start_an_id_is_refused(prefix):
    with pytest.raises(PrefixIsNoName, match="use a letter"):
        draw_section(GOOD_PIT, Width.WIDE, TRADE, prefix)


@pytest.mark.parametrize("depth_m", [0.0, -1.0, 13.0, float("nan"), float("inf")])
def test_an_impossible_depth_is_refused_in_words(depth_m):
    with pytest.raises(PitCannotBeDrawn, match="depth of this pit"):
        draw_section(replace(GOOD_PIT, depth_m=depth_m), Width.WIDE, TRADE, "s1")


def test_a_level_that_is_no_number_is_refused_in_words():
    with pytest.raises(PitCannotBeDrawn, match="not a number"):
        draw_section(replace(GOOD_PIT, water_below_m=float("nan")), Width.WIDE, TRADE, "s1")
