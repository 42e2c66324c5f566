"""Recharge of a volume of rain through the bottom."""

import pytest

from drainservice.engine.soakage.recharge import (
    RechargeIsImpossible,
    find_drawdown_time,
    find_exfiltration,
    find_recharge_volume,
)
from tests.engine.cases import case, convert


def test_C07_recharge_volume_and_drawdown():
    c = case("C07")
    bottom, rate = convert(c.raw("bottom_area"), "ft2", "m2"), convert(c.raw("rate"), "in/h", "m/s")

    volume = find_recharge_volume(
        convert(c.raw("depth"), "in", "m"), convert(c.raw("area"), "acre", "m2")
    )

    c.assert_holds("volume", volume, "m3")
    c.assert_holds("exfiltration", find_exfiltration(bottom, rate), "m3/s")
    c.assert_holds("drawdown", find_drawdown_time(volume, bottom, rate), "s")


@pytest.mark.parametrize(
    ("attempt", "words"),
    [
        (lambda: find_recharge_volume(-0.01, 100.0), "rain"),
        (lambda: find_recharge_volume(0.01, 0.0), "area"),
        (lambda: find_exfiltration(10.0, 0.0), "rate"),
        (lambda: find_drawdown_time(-1.0, 10.0, 1e-5), "volume"),
    ],
)
def test_refuses_what_cannot_be(attempt, words):
    with pytest.raises(RechargeIsImpossible, match=words):
        attempt()
