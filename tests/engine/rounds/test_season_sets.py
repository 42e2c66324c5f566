"""Sets of one to three weeks, against every set tried one by one."""

from itertools import combinations
from math import comb

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from drainservice.engine.rounds.season.sets import best_set, best_sets, set_table


def worth(gain, drive, weeks):
    """Each visit takes the larger gain of the weeks chosen."""
    if not weeks:
        return 0.0
    return gain[list(weeks)].max(axis=0).sum() - sum(drive[week] for week in weeks)


def dearest(gain, drive, most):
    every = [s for size in range(most + 1) for s in combinations(range(len(drive)), size)]
    return max(worth(gain, drive, weeks) for weeks in every)


def test_sixteen_weeks_have_696_sets():
    # 16 singles, 120 pairs, 560 triples.
    table = set_table(16)

    assert 16 + len(table.first) + len(table.third) == 696
    assert (len(table.first), len(table.third)) == (comb(16, 2), comb(16, 3))


values = st.integers(0, 100).map(float)


@given(st.data(), st.integers(1, 7), st.integers(1, 5), st.integers(0, 3))
def test_the_set_found_gains_as_much_as_the_best_of_all(data, weeks, visits, most):
    gain = data.draw(arrays(float, (weeks, visits), elements=values))
    drive = data.draw(arrays(float, weeks, elements=values))

    chosen = best_set(gain, drive, most)

    assert len(chosen) <= most
    assert worth(gain, drive, chosen) == pytest.approx(dearest(gain, drive, most))


@given(st.data(), st.integers(1, 6), st.integers(1, 4), st.integers(1, 5))
def test_many_cells_at_once_are_found_as_one_by_one(data, weeks, visits, cells):
    gain = data.draw(arrays(float, (weeks, visits, cells), elements=values))
    drive = data.draw(arrays(float, (weeks, cells), elements=values))
    most = data.draw(arrays(np.intp, cells, elements=st.integers(0, 3)))

    value, sets = best_sets(gain, drive, most)

    for k in range(cells):
        chosen = [week for week in sets[k] if week >= 0]
        assert len(chosen) <= most[k]
        assert value[k] == pytest.approx(worth(gain[:, :, k], drive[:, k], chosen))
        assert value[k] == pytest.approx(dearest(gain[:, :, k], drive[:, k], most[k]))
