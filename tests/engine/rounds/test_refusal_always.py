"""Refusals of any round: right about whether it fits, and about how much is lacking."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from drainservice.engine.rounds.check import drive_round
from drainservice.engine.rounds.facts import Window
from drainservice.engine.rounds.insert import candidate_of, places_for
from drainservice.engine.rounds.offers.refusal import Breaks, why_not
from drainservice.engine.rounds.tables import make_tables
from tests.engine.rounds.small_rounds import draw_round, with_gate

few = settings(max_examples=400, deadline=None)
seeds = st.integers(0, 10**9)


def refusal_of(inputs, round_):
    """Why the last stop does not fit, None where it does."""
    stop = inputs.stops[-1]
    candidate = candidate_of(inputs, len(inputs.stops) - 1)
    window = stop.windows[0]
    return why_not(make_tables(inputs, round_), candidate, window.from_s, window.to_s)


def all_later_by(inputs, late_s):
    """The same day with every end put off: windows, the break's last start, the latest return."""
    (shift,) = inputs.shifts
    pause = shift.pause
    if pause is not None:
        pause = replace(pause, latest_s=pause.latest_s + late_s)
    later = replace(shift, overtime_s=shift.overtime_s + late_s, pause=pause)
    stops = tuple(
        replace(stop, windows=tuple(Window(w.from_s, w.to_s + late_s) for w in stop.windows))
        for stop in inputs.stops
    )
    return replace(inputs, shifts=(later,), stops=stops)


@few
@given(seeds)
def test_a_visit_is_refused_exactly_where_it_fits_nowhere(seed):
    inputs, round_ = draw_round(seed)
    places = places_for(make_tables(inputs, round_), candidate_of(inputs, len(inputs.stops) - 1))

    assert (refusal_of(inputs, round_) is None) == bool(places)


@few
@given(seeds)
def test_what_is_said_to_lack_is_enough(seed):
    inputs, round_ = draw_round(seed)
    refusal = refusal_of(inputs, round_)
    if refusal is None or refusal.breaks is Breaks.ROUND:
        return

    longer = all_later_by(inputs, refusal.late_s)

    assert refusal.late_s > 0
    number = len(inputs.stops) - 1
    assert drive_round(longer, with_gate(round_, refusal.before, number)) is not None


@few
@given(seeds)
def test_what_is_named_is_what_stands_in_the_way(seed):
    # All other ends are put off; the named one stays. It still does not fit there. With the break
    # there may be another way round, so the law is about days without one.
    inputs, round_ = draw_round(seed)
    inputs = replace(inputs, shifts=(replace(inputs.shifts[0], pause=None),))
    refusal = refusal_of(inputs, round_)
    if refusal is None or refusal.breaks is Breaks.ROUND:
        return

    longer = all_later_by(inputs, refusal.late_s)
    stops, shift = list(longer.stops), longer.shifts[0]
    if refusal.breaks is Breaks.GATE:
        kept = round_.gates[refusal.gate].stop
        stops[kept] = inputs.stops[kept]
    elif refusal.breaks is Breaks.OWN_WINDOW:
        stops[-1] = inputs.stops[-1]
    else:
        assert refusal.breaks is Breaks.HOME
        shift = replace(shift, overtime_s=inputs.shifts[0].overtime_s)
    held = replace(longer, stops=tuple(stops), shifts=(shift,))

    assert drive_round(held, with_gate(round_, refusal.before, len(stops) - 1)) is None
