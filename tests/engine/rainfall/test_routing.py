"""Level-pool routing, against Applied Hydrology and sums by hand."""

import pytest

from drainservice.engine.rainfall.routing import (
    LevelAboveTable,
    StorageTable,
    StorageTableUnusable,
    route_level_pool,
    vertical_wall_table,
)
from drainservice.engine.units import CUBIC_FOOT_M3, FOOT_M, SQUARE_FOOT_M2
from tests.engine.cases import case


def test_D07_flood_wave_through_a_one_acre_pond():
    given = case("D07")
    discharge = given.raw("discharge")
    table = vertical_wall_table(
        given.raw("area") * SQUARE_FOOT_M2,
        [i * given.raw("elevation_step") * FOOT_M for i in range(len(discharge))],
        [cfs * CUBIC_FOOT_M3 for cfs in discharge],
    )
    step_s = given.raw("step") * 60.0

    wave = route_level_pool(table, [q * CUBIC_FOOT_M3 for q in given.raw("inflow")], step_s)

    given.assert_holds("peak_outflow", wave.peak_outflow_m3s, "m3/s")
    given.assert_holds("time_of_peak", wave.time_of_peak_s, "s")
    given.assert_holds("max_depth", wave.max_level_m, "m")
    given.assert_holds("q_at_20min", wave.outflows_m3s[2], "m3/s")
    given.assert_holds("q_at_50min", wave.outflows_m3s[5], "m3/s")


def test_water_is_neither_made_nor_lost():
    table = vertical_wall_table(100.0, [0.0, 1.0, 2.0], [0.0, 0.05, 0.2])
    inflows = [0.0, 0.1, 0.2, 0.1, 0.0, 0.0]

    wave = route_level_pool(table, inflows, 300.0)

    # Trapezoids: in = out + stored at the end.
    out = wave.outflows_m3s
    outflow_m3 = 300.0 * (sum(out) - (out[0] + out[-1]) / 2)
    assert 300.0 * sum(inflows) == pytest.approx(outflow_m3 + wave.storages_m3[-1])


def test_a_pond_without_an_outlet_only_fills():
    # 0.1 m3/s for 600 s on 100 m2: 0.6 m.
    table = vertical_wall_table(100.0, [0.0, 1.0], [0.0, 0.0])

    wave = route_level_pool(table, [0.1, 0.1, 0.1], 300.0)

    assert wave.levels_m == pytest.approx((0.0, 0.3, 0.6))


def test_says_when_the_water_leaves_the_table():
    table = vertical_wall_table(1.0, [0.0, 1.0], [0.0, 0.001])

    with pytest.raises(LevelAboveTable, match="Add rows"):
        route_level_pool(table, [1.0, 1.0], 300.0)


@pytest.mark.parametrize(
    "rows",
    [((0.0,), (0.0,), (0.0,)), ((0.0, 1.0), (0.0, 0.0), (0.0, 1.0)), ((0, 1), (0, 1), (1, 0))],
)
def test_refuses_tables_that_do_not_rise(rows):
    with pytest.raises(StorageTableUnusable):
        StorageTable(*rows)
