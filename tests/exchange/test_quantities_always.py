# ruff: noqa: E501
"""A quantity survives every way of writing it."""

from hypothesis import given
from hypothesis import strategies as st

from drainservice.exchange.cells import CellDoubtful, CellRefused
from drainservice.exchange.quantities import read_quantity

FEET_STYLES = [
    "{f}'{i}\"", "{f}' {i}\"", "{f} ft {i} in", "{f}ft. {i}in.", "{f}'-{i}\"", "{f} feet {i} inches", "{f}’{i}”", "{f}' {i}''",  # noqa: RUF001
]  # fmt: skip
POINT_STYLES = {
    "m": (1.0, ["{n} m", "{n}m", "{n} meters", "{n} METRES"]),
    "cm": (0.01, ["{n} cm", "{n}cm."]),
    "ft": (0.3048, ["{n} ft", "{n}'", "{n} feet", "~{n} ft", "{n} ft deep"]),
    "in": (0.0254, ["{n} in", '{n}"', "{n} inches", "{n}''"]),
}


@given(st.integers(0, 30), st.integers(0, 11), st.integers(0, 15), st.sampled_from(FEET_STYLES))
def test_feet_inches_and_sixteenths_in_any_style(feet, inches, sixteenths, style):
    text = style.format(f=feet, i=f"{inches} {sixteenths}/16" if sixteenths else inches)

    read = read_quantity(text, "length")

    assert abs(read - (feet * 12 + inches + sixteenths / 16) * 0.0254) < 1e-9


@given(
    st.integers(1, 99_999), st.sampled_from(sorted(POINT_STYLES)), st.integers(0, 4), st.booleans()
)
def test_decimals_with_point_or_comma_and_any_unit(hundredths, unit, which, has_comma):
    factor, styles = POINT_STYLES[unit]
    number = f"{hundredths / 100:.2f}"
    text = styles[which % len(styles)].format(n=number.replace(".", ",") if has_comma else number)

    assert abs(read_quantity(text, "length") - hundredths / 100 * factor) < 1e-9


@given(
    st.integers(1, 12),
    st.integers(2, 16),
    st.sampled_from(["hp", "HP", " hp", " h.p.", " horsepower"]),
)
def test_fractions_of_a_horsepower(top, bottom, unit):
    assert abs(read_quantity(f"{top}/{bottom}{unit}", "power") - top / bottom * 745.699872) < 1e-6


@given(st.text(max_size=40))
def test_any_other_text_is_refused_or_asked_about_and_never_crashes(text):
    try:
        read = read_quantity(text, "length")
    except (CellRefused, CellDoubtful):
        return
    assert read >= 0
