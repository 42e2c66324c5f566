"""Nominal failure rates of a small pump train and what each kind of test shows of them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import prod

from drainservice.engine.failure_mode import FailureMode
from drainservice.engine.reliability.checked import positive
from drainservice.engine.reliability.history import SightKind

FACTOR_CAP = 4.0


class PumpClass(StrEnum):
    """The quality of the pump."""

    GOOD_SUBMERSIBLE = "good_submersible"
    BUDGET = "budget"
    CUSTOMER_SUPPLIED = "customer_supplied"
    PEDESTAL = "pedestal"
    UNKNOWN = "unknown"


class FloatKind(StrEnum):
    """How the pump is switched."""

    VERTICAL = "vertical"
    TETHERED = "tethered"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Nominal:
    """One mode's rate per year, and the share of its failures each kind of test shows."""

    rate_per_a: float
    bucket_shows: float
    proof_shows: float
    dry_lift_shows: float


# Judgement, no source, until a fleet's own tests replace it. The rates sum to 0.195 a year; a
# bucket test shows 0.75 of them, a proof test 0.98, a float lifted dry by its cord 0.40.
NOMINAL: Mapping[FailureMode, Nominal] = {
    FailureMode.POWER: Nominal(0.03, 1.0, 1.0, 1.0),
    FailureMode.FLOAT: Nominal(0.06, 0.9, 1.0, 0.8),
    FailureMode.PUMP: Nominal(0.06, 0.6, 0.98, 0.0),
    FailureMode.VALVE: Nominal(0.01, 0.8, 0.95, 0.0),
    FailureMode.AIR_LOCK: Nominal(0.005, 0.5, 0.9, 0.0),
    FailureMode.DISCHARGE: Nominal(0.03, 0.5, 0.95, 0.0),
}

# Judgement, no source.
CLASS_FACTORS: Mapping[PumpClass, Mapping[FailureMode, float]] = {
    PumpClass.GOOD_SUBMERSIBLE: {},
    PumpClass.UNKNOWN: {},
    PumpClass.BUDGET: {FailureMode.PUMP: 1.5, FailureMode.FLOAT: 1.5},
    PumpClass.CUSTOMER_SUPPLIED: {FailureMode.PUMP: 1.5, FailureMode.FLOAT: 1.5},
    PumpClass.PEDESTAL: {FailureMode.PUMP: 1.2, FailureMode.FLOAT: 1.2},
}
TETHERED_FLOAT_FACTOR = 1.5

Rates = Mapping[FailureMode, float]


def nominal_sum() -> float:
    """The nominal failure rate of a sound train, per year: 0.195; judgement, no source."""
    return sum(n.rate_per_a for n in NOMINAL.values())


def capped_product(factors: Iterable[float], cap: float = FACTOR_CAP) -> float:
    """Product of factors on one rate, at most `cap`, though never below the largest single one.

    Several mistakes on one part do not multiply without end; one mistake alone keeps its own
    factor (a missing weep hole makes air lock ten times as likely). Judgement, no source.
    """
    known = [positive("factor on a failure rate", f) for f in factors]
    return min(prod(known), max(cap, max(known, default=1.0)))


def rates_with(
    factors: Iterable[tuple[FailureMode, float]],
    pump_class: PumpClass = PumpClass.UNKNOWN,
    float_kind: FloatKind = FloatKind.UNKNOWN,
    scale: float = 1.0,
) -> dict[FailureMode, float]:
    """l_c per mode and year: nominal rate x factors of class, float and build x the firm's scale.

    `factors` are (mode, factor) pairs of the build; those on one mode multiply, capped. The whole
    sum stays within FACTOR_CAP times nominal. Judgement, no source.
    """
    positive("scale of the rates", scale)
    pairs = [*factors, *CLASS_FACTORS[pump_class].items()]
    if float_kind is FloatKind.TETHERED:
        pairs.append((FailureMode.FLOAT, TETHERED_FLOAT_FACTOR))
    rates = {
        mode: n.rate_per_a * capped_product(f for m, f in pairs if m is mode)
        for mode, n in NOMINAL.items()
    }
    over = max(1.0, sum(rates.values()) / (FACTOR_CAP * nominal_sum()))
    return {mode: scale * rate / over for mode, rate in rates.items()}


def share_shown(kind: SightKind, mode: FailureMode) -> float:
    """Share of a mode's failures that a test of this kind reveals; judgement, no source.

    A technician's proof test counts as complete (its remaining 2 % is within the judgement of the
    rates), as does a run or a failure in a real storm; an as-built defect lowers it elsewhere.
    """
    if kind is SightKind.BUCKET:
        return NOMINAL[mode].bucket_shows
    if kind is SightKind.FLOAT_LIFTED_DRY:
        return NOMINAL[mode].dry_lift_shows
    return 1.0


def coverage_of(kind: SightKind, rates: Rates) -> float:
    """Share of the whole failure rate that a test of this kind reveals, sum(c_k l_k)/sum(l_k)."""
    return sum(share_shown(kind, m) * r for m, r in rates.items()) / sum(rates.values())
