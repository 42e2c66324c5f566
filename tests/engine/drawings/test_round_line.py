"""A round: a line through gates, with the slack in words and a plan to scale."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainservice.engine.drawings.dates import Clock, say_clock, say_span, say_window
from drainservice.engine.drawings.round_facts import (
    RoundCannotBeDrawn,
    RoundFacts,
    RoundVisit,
    say_slack,
)
from drainservice.engine.drawings.round_line import draw_round_line
from drainservice.engine.drawings.sheet import Width
from drainservice.engine.units import UnitSystem
from tests.engine.drawings.reading_svg import SVG, all_words, assert_fit_to_show, read

AGREED = RoundVisit("114 Maple Ridge Rd", 14, 480, 530, 480, 600, 2200, 1500, True)
LATE = RoundVisit("2207 Old Sawmill Road", 16, 612, 661, 480, 600, 6200, 2100, True)
OPEN = RoundVisit("58 Heron Ct", 9, 690, 740, 660, 780, 6000, 3900, False)
IDEA = RoundVisit("31 Fourth Street", 12, 812, 862, 780, 900, 2500, 4800, False, True)
TIGHT = RoundVisit("402 Bellweather Avenue", 10, 898, 950, 840, 900, 900, 3600, True)
DAY = RoundFacts(450, 990, 18, 0, 0, (AGREED, LATE, OPEN, IDEA, TIGHT))


def draw(facts=DAY, width=Width.WIDE, clock=Clock.TWELVE):
    return draw_round_line(facts, width, UnitSystem.TRADE, clock, "r")


def bars(svg):
    """Clay strokes as thick as a bar."""
    return [
        path
        for path in read(svg).iter(f"{SVG}path")
        if path.get("class") == "s-clay" and float(path.get("stroke-width", 1)) >= 5
    ]


@pytest.mark.parametrize("width", Width)
@pytest.mark.parametrize("visits", [1, 2, 5, 9])
def test_is_fit_to_show(visits, width):
    many = tuple(
        replace(AGREED, arrive_min=480 + 50 * i, leave_min=510 + 50 * i, window_to_min=960,
                east_m=900 * i, north_m=(i * 700) % 2500)
        for i in range(visits)
    )  # fmt: skip

    assert_fit_to_show(draw(replace(DAY, visits=many), width), "r")


def test_says_the_slack_of_each_gate():
    assert say_slack(AGREED) == "2 h to spare"  # 600 - 480 = 120
    assert say_slack(LATE) == "12 min too late"  # 600 - 612 = -12
    assert say_slack(TIGHT) == "2 min to spare"  # 900 - 898 = 2
    assert say_slack(replace(TIGHT, arrive_min=900)) == "no time to spare"


@pytest.mark.parametrize("width", Width)
def test_a_promise_that_would_break_has_a_bar_and_words(width):
    svg = draw(width=width)

    assert len(bars(svg)) == 1
    assert "12 min too late" in all_words(svg)


@pytest.mark.parametrize("width", Width)
def test_a_round_that_keeps_its_promises_has_no_bar_and_no_clay(width):
    svg = draw(replace(DAY, visits=(AGREED, OPEN)), width)

    assert bars(svg) == []
    assert "clay" not in svg


@pytest.mark.parametrize("width", Width)
def test_rings_are_hollow_until_agreed(width):
    rings = [ring.get("class") for ring in read(draw(width=width)).iter(f"{SVG}circle")]

    # Five visits, each once on the line and once in the plan; OPEN and IDEA are not agreed.
    assert rings.count("f-paper s-ink") == 4
    assert rings.count("f-ink s-ink") == 6


def test_an_idea_is_reached_and_left_by_dashed_lines():
    dashed = draw().count('stroke-dasharray="6 4"')

    assert dashed == 2
    assert 'stroke-dasharray="6 4"' not in draw(replace(DAY, visits=(AGREED, OPEN)))


def test_the_clock_runs_down_the_wide_profile_evenly():
    svg = draw()
    hours = {
        text.text: float(text.get("y"))
        for text in read(svg).iter(f"{SVG}text")
        if text.text in {"8 am", "10 am", "2 pm"}
    }

    # Two hours, then four: the second distance is twice the first.
    first, second = hours["10 am"] - hours["8 am"], hours["2 pm"] - hours["10 am"]
    assert second == pytest.approx(2 * first, abs=0.2)


def test_the_plan_keeps_one_scale_in_both_directions():
    square = tuple(
        replace(AGREED, arrive_min=480 + i, leave_min=480 + i, east_m=east, north_m=north)
        for i, (east, north) in enumerate([(1000, 0), (1000, 1000)])
    )
    svg = draw(replace(DAY, visits=square))
    at = [
        (float(ring.get("cx")), float(ring.get("cy")))
        for ring in read(svg).iter(f"{SVG}circle")
        if ring.get("r") == "5"
    ]
    yard = next(p for p in read(svg).iter(f"{SVG}path") if p.get("d").endswith("v7Z"))
    yard_x = float(yard.get("d")[1:].split()[0]) + 6

    east_px = at[0][0] - yard_x
    north_px = at[0][1] - at[1][1]

    assert east_px == pytest.approx(north_px, abs=0.2)
    assert north_px > 0


def test_times_follow_the_firms_clock():
    assert say_clock(480, Clock.TWELVE) == "8 am"
    assert say_clock(812, Clock.TWELVE) == "1:32 pm"
    assert say_clock(0, Clock.TWELVE) == "12 am"
    assert say_clock(720, Clock.TWELVE) == "12 pm"
    assert say_clock(812, Clock.TWENTY_FOUR) == "13:32"
    assert say_window(480, 600, Clock.TWELVE) == "8 to 10 am"
    assert say_window(660, 780, Clock.TWELVE) == "11 am to 1 pm"
    assert say_window(480, 600, Clock.TWENTY_FOUR) == "8:00 to 10:00"
    assert say_span(65) == "1 h 5 min"
    assert "13:32" in all_words(draw(clock=Clock.TWENTY_FOUR))


def test_a_round_whose_times_run_backward_is_refused_by_name():
    backward = replace(OPEN, arrive_min=600)

    with pytest.raises(RoundCannotBeDrawn, match="58 Heron Ct"):
        draw(replace(DAY, visits=(LATE, backward)))


def test_an_empty_round_is_refused():
    with pytest.raises(RoundCannotBeDrawn, match="no visits"):
        draw(replace(DAY, visits=()))


stays = st.lists(
    st.tuples(
        st.floats(0, 60), st.floats(0, 120), st.floats(-60, 120), st.text(max_size=40),
        st.floats(-9000, 9000), st.floats(-9000, 9000), st.booleans(), st.booleans(),
    ),
    min_size=1, max_size=9,
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(stays=stays, width=st.sampled_from(Width), clock=st.sampled_from(Clock))
def test_any_round_is_fit_to_show(stays, width, clock):
    minute, visits = 450.0, []
    for drive, stay, slack, name, east, north, is_agreed, is_candidate in stays:
        arrive = minute + drive
        minute = arrive + stay
        end = arrive + slack
        visits.append(
            RoundVisit(name, drive, arrive, minute, end - 120, end, east, north, is_agreed,
                       is_candidate)
        )  # fmt: skip
    facts = RoundFacts(450, minute + 20, 20, 0, 0, tuple(visits))

    assert_fit_to_show(draw(facts, width, clock), "r")
