"""Words on a drawing: never narrower than thought, never cut, never markup."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.engine.drawings.lettering import make_safe, measure, wrap

# The font the width table was taken from; its own hmtx table is the reference.
FONTS = Path("/usr/share/fonts/truetype/dejavu")
SENTENCES = [
    "check valve upright, 1 ft 7 in down",
    "A: against the flow",
    "The pump stands on loose stone and can tilt or sink; give it a flat, solid base.",
    "0123456789",
]


@pytest.mark.skipif(not (FONTS / "DejaVuSans.ttf").exists(), reason="needs the DejaVu fonts")
@pytest.mark.parametrize("sentence", SENTENCES)
@pytest.mark.parametrize(("weight", "name"), [(400, "DejaVuSans"), (650, "DejaVuSans-Bold")])
def test_a_line_is_never_thought_narrower_than_the_widest_usual_face(sentence, weight, name):
    font_tools = pytest.importorskip("fontTools.ttLib")
    font = font_tools.TTFont(FONTS / f"{name}.ttf")
    names, widths = font.getBestCmap(), font["hmtx"]
    units = sum(widths[names[ord(sign)]][0] for sign in sentence)

    real_px = units / font["head"].unitsPerEm * 15

    assert real_px <= measure(sentence, 15, weight) <= 1.12 * real_px


@given(words=st.text(max_size=200), room=st.floats(20, 400))
def test_wrapping_loses_no_sign_and_keeps_to_the_room(words, room):
    lines = wrap(words, 15, room)

    assert "".join(lines).replace(" ", "") == "".join(words.split())
    assert all(measure(line, 15) <= room or len(line) == 1 for line in lines)


def test_wrapping_breaks_between_words_where_it_can():
    # "discharge to the main" at 15 px is about 160 px, so it needs two lines of 100.
    assert wrap("discharge to the main", 15, 100) == ["discharge to", "the main"]


def test_signs_that_xml_forbids_are_left_out_and_markup_is_escaped():
    assert make_safe("a\x00<b>\x0b & \"c\" 'd' \ud800") == (
        "a&lt;b&gt; &amp; &quot;c&quot; &#x27;d&#x27; "
    )


def test_a_number_stays_with_its_unit():
    # "at 12 ft" would fit as "at 12" and "ft"; the pair moves down together.
    room = measure("at 12", 15) + 2

    assert wrap("at 12 ft", 15, room) == ["at", "12 ft"]
