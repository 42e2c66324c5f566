"""Flow against duty: both curves, the point where they meet, the test with its bar."""

import re

import pytest

from drainservice.engine.drawings.axes import NothingToDraw
from drainservice.engine.drawings.drawdown import FlowAsTested, FlowHead, draw_drawdown
from drainservice.engine.drawings.sheet import Width
from drainservice.engine.units import FOOT_M, GPM_M3S, UnitSystem
from tests.engine.drawings.reading_svg import SVG, all_words, assert_fit_to_show, read

PUMP = [
    FlowHead(gpm * GPM_M3S, feet * FOOT_M)
    for gpm, feet in [(0, 24), (10, 22.5), (20, 20), (30, 16), (40, 10.5), (50, 3)]
]
LINE = [FlowHead(q * GPM_M3S, (6 + 0.005 * q * q) * FOOT_M) for q in range(0, 52, 2)]
DUTY = FlowHead(36 * GPM_M3S, 12.5 * FOOT_M)
TEST = FlowAsTested(31 * GPM_M3S, 28 * GPM_M3S, 34 * GPM_M3S, 10.8 * FOOT_M)


def draw(width=Width.WIDE, test=TEST, system=UnitSystem.TRADE, verdict=""):
    return draw_drawdown(PUMP, LINE, DUTY, test, system, width, "d", verdict)


@pytest.mark.parametrize("width", Width)
@pytest.mark.parametrize("system", UnitSystem)
@pytest.mark.parametrize("test", [TEST, None])
def test_is_fit_to_show(test, system, width):
    assert_fit_to_show(draw(width, test, system), "d")


def test_says_what_was_tested_and_what_it_should_be():
    assert "Tested 31 gpm, 28 to 34; this pump should give 36 gpm here." in all_words(draw())
    assert "it has not been tested yet" in all_words(draw(test=None))


def test_the_verdict_leads_where_there_is_one():
    words = all_words(draw(verdict="Weaker than last year; look again in spring."))

    assert words.startswith("Weaker than last year")


def test_the_bar_spans_the_uncertainty_round_the_tested_flow():
    root = read(draw())
    bar = next(p for p in root.iter(f"{SVG}path") if p.get("stroke-width") == "2")
    diamond = next(p for p in root.iter(f"{SVG}path") if p.get("class") == "f-ink")
    low = float(re.match(r"M([\d.]+)", bar.get("d"))[1])
    high = float(re.search(r"H([\d.]+)", bar.get("d"))[1])
    middle = float(re.match(r"M([\d.]+)", diamond.get("d"))[1])

    # 28, 31 and 34 gpm: the middle lies half way.
    assert middle == pytest.approx((low + high) / 2, abs=0.2)
    # The frame is 816 px for 50 gpm and 5 % more: 6 gpm are 816 * 6 / 52.5 = 93.3 px.
    assert high - low == pytest.approx(93.3, abs=0.2)


def test_a_pump_without_a_curve_is_refused_in_words():
    with pytest.raises(NothingToDraw, match="at least two"):
        draw_drawdown(PUMP[:1], LINE, DUTY, TEST, UnitSystem.TRADE, Width.WIDE, "d")
