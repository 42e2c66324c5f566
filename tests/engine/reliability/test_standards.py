"""The linear rules of the standards, and where they stop being good."""

import pytest

from drainservice.engine.reliability import standards as s
from drainservice.engine.reliability.checked import NotAPositiveNumber, NotAShare
from drainservice.engine.reliability.unavailability import (
    exposure_for_unavailability,
    mean_unavailability,
    mean_unavailability_of_two,
)
from tests.engine.cases import case


def test_E01_one_channel_of_the_standard_with_a_yearly_test():
    c = case("E01")
    names = dict(zip(("DC0", "DC60", "DC90"), c.raw("DC"), strict=True))

    for name, coverage in names.items():
        mttr = c.raw("MTTR")
        got = s.pfd_one_channel(c.raw("lambda_D"), c.raw("T1"), coverage, mttr, mttr)
        c.assert_holds(name, got)


def test_E03_failure_finding_interval_in_percent_of_mean_life():
    c = case("E03")

    for availability in c.raw("availability"):
        name = f"FFI_{availability * 100:.0f}"
        c.assert_holds(name, s.failure_finding_interval(availability, 100.0), "% of MTBF")
    exact = 100 * exposure_for_unavailability(1 - 0.95)
    c.assert_holds("exact_95", exact, "% of MTBF")


def test_E31_inspections_inside_the_warning_time():
    c = case("E31")
    theta, missed, warning = c.raw("theta"), c.raw("Pacc"), c.raw("PF")

    c.assert_holds("n", s.inspections_in_warning_time(theta, missed))
    c.assert_holds("interval", s.inspection_interval(warning, theta, missed), "month")
    assert s.half_warning_time(warning) == 6


def test_linear_rule_exceeds_one_where_the_exact_share_cannot():
    # lT = 0.5/a x 10 a = 5: the linear rule says 2.5, the exact share 1 - (1 - e^-5)/5 = 0.8013.
    linear = s.pfd_one_channel(0.5, 10, 0, 0, 0)

    assert linear == pytest.approx(2.5)
    assert mean_unavailability(0.5, 10) == pytest.approx(0.8013, abs=1e-4)


def test_two_channels_are_mostly_lost_to_what_strikes_both():
    # l 5e-7/h, T1 8760 h, MRT 8 h, b 0.02: 2 (0.98 x 5e-7)^2 x 4388 x 2928 = 6.17e-6, and
    # 0.02 x 5e-7 x 4388 = 4.39e-5; printed to two figures as 5.0e-5 (IEC 61508-6, from memory).
    got = s.pfd_two_channels(5e-7, 8760, 0, 8, 8, 0.02, 0.01)

    assert got == pytest.approx(5.0e-5, rel=0.01)


def test_two_channels_without_diagnosis_agree_with_the_exact_pair():
    exact = mean_unavailability_of_two(0.01, 1)

    assert s.pfd_two_channels(0.01, 1, 0, 0, 0, 0, 0) == pytest.approx(exact, rel=0.01)


def test_tolerated_multiple_failures_set_the_interval():
    # 2 x 5 a x 0.25 a / 10 a = 0.25 a
    assert s.failure_finding_interval_for_demand(5, 0.25, 10) == pytest.approx(0.25)


def test_impossible_numbers_are_refused_in_words():
    with pytest.raises(NotAShare, match="availability"):
        s.failure_finding_interval(1.0, 5)
    with pytest.raises(NotAShare, match="sees it"):
        s.inspections_in_warning_time(1.0, 0.1)
    with pytest.raises(NotAPositiveNumber, match="warning time"):
        s.inspection_interval(0, 0.9, 0.1)


@pytest.mark.parametrize(("common", "printed"), [(0.02, 5.0e-5), (0.10, 2.2e-4), (0.20, 4.4e-4)])
def test_two_channels_give_the_printed_rows(common, printed):
    # IEC 61508-6:2010 table B.3, 1oo2, one year, lambda_D 0.5e-6, DC 0: from memory, two digits.
    got = s.pfd_two_channels(5e-7, 8760, 0.0, 8, 8, common, common / 2)

    assert got == pytest.approx(printed, rel=0.03)
