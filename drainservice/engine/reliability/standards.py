"""The linear rules of the standards, kept for comparison with the exact forms."""

import math

from drainservice.engine.reliability.checked import inner_share, positive, share


def pfd_one_channel(
    dangerous_rate: float,
    proof_interval: float,
    diagnostic_coverage: float,
    mean_repair_time: float,
    mean_time_to_restore: float,
) -> float:
    """PFD = lD [(1-DC)(T1/2 + MRT) + DC MTTR], rates and times in one unit of time.

    IEC 61508-6:2010 Annex B, architecture 1oo1. Linear: above lD T1 of about 0.2 use the exact
    mean unavailability, since this may exceed 1.
    """
    dc = share("diagnostic coverage", diagnostic_coverage)
    undetected = (1 - dc) * (positive("proof interval", proof_interval) / 2 + mean_repair_time)
    return positive("dangerous failure rate", dangerous_rate) * (
        undetected + dc * mean_time_to_restore
    )


def pfd_two_channels(
    dangerous_rate: float,
    proof_interval: float,
    diagnostic_coverage: float,
    mean_repair_time: float,
    mean_time_to_restore: float,
    common_cause: float,
    common_cause_detected: float,
) -> float:
    """PFD of two pumps of which one suffices, with a share of failures that take both.

    2 ((1-bD) lDD + (1-b) lDU)^2 tCE tGE + bD lDD MTTR + b lDU (T1/2 + MRT),
    tCE = lDU/lD (T1/2 + MRT) + lDD/lD MTTR, tGE = lDU/lD (T1/3 + MRT) + lDD/lD MTTR.
    IEC 61508-6:2010 Annex B, architecture 1oo2, from memory; linear as for one channel.
    """
    dc = share("diagnostic coverage", diagnostic_coverage)
    b, bd = share("common cause", common_cause), share("common cause", common_cause_detected)
    detected = dc * positive("dangerous failure rate", dangerous_rate)
    hidden = dangerous_rate - detected
    half, third = proof_interval / 2 + mean_repair_time, proof_interval / 3 + mean_repair_time
    channel_down = (1 - dc) * half + dc * mean_time_to_restore
    system_down = (1 - dc) * third + dc * mean_time_to_restore
    both = 2 * ((1 - bd) * detected + (1 - b) * hidden) ** 2 * channel_down * system_down
    return both + bd * detected * mean_time_to_restore + b * hidden * half


def failure_finding_interval(availability: float, mean_time_between_failures: float) -> float:
    """FFI = 2 (1 - availability) M, in the unit of M. SAE JA1012; for availability above 0.95."""
    return 2 * (1 - inner_share("availability", availability)) * mean_time_between_failures


def failure_finding_interval_for_demand(
    mean_time_protective: float, mean_time_demand: float, mean_time_multiple: float
) -> float:
    """FFI = 2 M_protective M_demand / M_multiple: tolerated mean time between multiple failures.

    SAE JA1012 and reliability-centred maintenance texts, from memory.
    """
    product = positive("mean time of the pump", mean_time_protective) * mean_time_demand
    return 2 * product / positive("mean time between multiple failures", mean_time_multiple)


def inspections_in_warning_time(detection_chance: float, accepted_miss: float) -> float:
    """n = ln(Pacc)/ln(1 - theta): inspections inside the P-F interval. NAVAIR 00-25-403 (2005)."""
    theta = inner_share("chance that one inspection sees it", detection_chance)
    return math.log(inner_share("accepted chance of missing it", accepted_miss)) / math.log(
        1 - theta
    )


def inspection_interval(
    warning_time: float, detection_chance: float, accepted_miss: float
) -> float:
    """I = PF/n in the unit of `warning_time`. NAVAIR 00-25-403 (2005)."""
    return positive("warning time", warning_time) / inspections_in_warning_time(
        detection_chance, accepted_miss
    )


def half_warning_time(warning_time: float) -> float:
    """Half the P-F interval: the rule where the chance of seeing it is unknown."""
    return positive("warning time", warning_time) / 2
