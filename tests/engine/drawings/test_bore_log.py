"""The bore log: newest on top, three kinds told apart without colour."""

from datetime import date

import pytest

from drainservice.engine.drawings.axes import NothingToDraw
from drainservice.engine.drawings.bore_log import Heard, LogEntry, draw_bore_log
from drainservice.engine.drawings.sheet import Width
from tests.engine.drawings.reading_svg import SVG, all_words, assert_fit_to_show, read, word_boxes

ENTRIES = [
    LogEntry(date(2024, 6, 1), Heard.SAID, "Taken over from another firm; the base is not known."),
    LogEntry(date(2027, 5, 12), Heard.MEASURED, "Drain time 22 h, sediment 1.75 in, flow 31 gpm."),
    LogEntry(date(2027, 5, 12), Heard.MENDED, "Weep hole drilled in the riser."),
    LogEntry(date(2026, 5, 9), Heard.SAID, "Water stood for a day. " * 9, True),
]


@pytest.mark.parametrize("width", Width)
@pytest.mark.parametrize("count", [1, 4])
def test_is_fit_to_show(count, width):
    assert_fit_to_show(draw_bore_log(ENTRIES[:count], width, "l"), "l")


@pytest.mark.parametrize("width", Width)
def test_the_newest_is_on_top_and_one_day_keeps_its_order(width):
    boxes = word_boxes(draw_bore_log(ENTRIES, width, "l"))
    at = {box.words.split(",")[0]: box.top for box in reversed(boxes)}

    assert at["measured"] < at["mended"] < at["said"]
    dates = [box.top for box in boxes if box.words.endswith(("2024", "2026", "2027"))]
    assert dates == sorted(dates)
    assert boxes[1].words == "12 May 2027"


@pytest.mark.parametrize("width", Width)
def test_no_word_of_an_entry_is_lost(width):
    words = all_words(draw_bore_log(ENTRIES, width, "l"))

    assert words.count("Water stood for a day.") == 9


def test_what_is_wrong_has_two_outlines_and_says_so():
    svg = draw_bore_log(ENTRIES, Width.WIDE, "l")
    outlines = [r for r in read(svg).iter(f"{SVG}rect") if r.get("class") == "s-clay"]

    assert len(outlines) == 2
    assert "said, a fault" in all_words(svg)


def test_an_empty_history_is_said():
    with pytest.raises(NothingToDraw, match="empty"):
        draw_bore_log([], Width.WIDE, "l")
