"""The colours: legible by the published formula, apart for colour-blind eyes, all in the style."""

import re

import pytest

from drainservice.engine.drawings.tokens import DARK, LIGHT, PRINT, paint, write_style

SCHEMES = {"light": LIGHT, "dark": DARK, "print": PRINT}


def luminance(colour):
    """Relative luminance. Source: WCAG 2.2, definition of relative luminance."""
    digits = colour.lstrip("#")
    digits = "".join(sign * 2 for sign in digits) if len(digits) == 3 else digits
    channels = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    """Source: WCAG 2.2, definition of contrast ratio, (L1 + 0.05) / (L2 + 0.05)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_black_on_white_is_twenty_one():
    # (1 + 0.05) / (0 + 0.05) = 21
    assert contrast("#ffffff", "#000") == pytest.approx(21)


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("ground", ["paper", "stone", "pale", "soil"])
@pytest.mark.parametrize("text", ["ink", "soft", "deep", "clay"])
def test_text_reads_on_every_ground(text, ground, scheme):
    # WCAG 2.2, 1.4.3 (AA): text needs 4.5 to 1.
    tokens = SCHEMES[scheme]

    assert contrast(tokens[text], tokens[ground]) >= 4.5


@pytest.mark.parametrize("scheme", SCHEMES)
def test_ink_on_paper_reads_in_bright_sun(scheme):
    # WCAG 2.2, 1.4.6 (AAA): 7 to 1, asked of what is read at the pit.
    assert contrast(SCHEMES[scheme]["ink"], SCHEMES[scheme]["paper"]) >= 7


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("mark", ["water", "rule", "clay", "deep"])
def test_marks_stand_out_from_their_ground(mark, scheme):
    # WCAG 2.2, 1.4.11: graphical objects need 3 to 1.
    assert contrast(SCHEMES[scheme][mark], SCHEMES[scheme]["paper"]) >= 3


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_what_is_wrong_does_not_rest_on_colour_since_deep_and_clay_are_alike_in_grey(scheme):
    # The reason for double outlines, bars and words: in grey the two hardly differ.
    assert contrast(SCHEMES[scheme]["deep"], SCHEMES[scheme]["clay"]) < 1.5


def test_all_schemes_colour_the_same_tokens():
    assert set(LIGHT) == set(DARK) == set(PRINT)


def test_the_style_colours_every_class_by_its_token():
    style = write_style()

    for name in LIGHT:
        assert f".f-{name}{{fill:var(--{name})}}" in style
        assert f".s-{name}{{stroke:var(--{name})}}" in style
    assert set(re.findall(r"var\(--(\w+)\)", style)) == set(LIGHT)


def test_paint_falls_back_on_the_light_colours():
    assert paint("pale", "ink", 2) == (
        'class="f-pale s-ink" fill="#cfe4ea" stroke="#17232b" stroke-width="2"'
    )
    assert paint() == 'fill="none"'
