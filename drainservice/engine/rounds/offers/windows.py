"""The windows that may be promised on a day: two hours long, each whole hour, within the shift."""

from drainservice.engine.rounds.facts import DAY_S, Shift, Stop, Window
from drainservice.engine.rounds.offers.facts import Half, OfferTerms

NOON_S = DAY_S // 2


def windows_on(stop: Stop, shift: Shift, terms: OfferTerms) -> list[Window]:
    """The windows of the grid that lie within the shift and within one of the stop's own windows.

    Where a window of the stop is too narrow for the grid, what the shift leaves of it stands in.
    A fixed start must lie within.
    """
    found: list[Window] = []
    for own in stop.windows:
        from_s, to_s = max(own.from_s, shift.starts_s), min(own.to_s, shift.ends_s)
        if from_s > to_s:
            continue
        first_s = -(-from_s // terms.step_s) * terms.step_s
        grid = [
            Window(at_s, at_s + terms.window_s)
            for at_s in range(first_s, to_s - terms.window_s + 1, terms.step_s)
        ]
        found += grid or [Window(from_s, to_s)]
    fixed_s = stop.fixed_s
    return sorted({w for w in found if fixed_s is None or w.from_s <= fixed_s <= w.to_s})


def bounds_in(stop: Stop, window: Window, terms: OfferTerms) -> tuple[int, int]:
    """From when to when the start may be planned, if this window is promised.

    It keeps a margin before the window's end, shorter in proportion where the window is; a fixed
    start needs none.
    """
    if stop.fixed_s is not None:
        return stop.fixed_s, stop.fixed_s
    length_s = window.to_s - window.from_s
    margin_s = min(terms.margin_s, terms.margin_s * length_s // terms.window_s)
    return window.from_s, window.to_s - margin_s


def half_of(window: Window) -> Half:
    """Morning or afternoon, by when the window opens."""
    return Half.MORNING if window.from_s % DAY_S < NOON_S else Half.AFTERNOON
