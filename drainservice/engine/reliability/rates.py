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


@dataclass(frozen=True, slots=True)
class Catalogue:
    """What a firm's own catalogue says of a type of pump, instead of the nominal table.

    `rates_per_a`: (mode, failures a year), taken as they stand, without the class's factor or the
    firm's scale; `shows`: (kind of test, mode, share of its failures shown); `wear_life_a` and
    `starts_life`: the scale of ageing in years and the starts of a life. What is not named, and 0,
    keep the usual values.
    """

    rates_per_a: tuple[tuple[FailureMode, float], ...] = ()
    shows: tuple[tuple[SightKind, FailureMode, float], ...] = ()
    wear_life_a: float = 0.0
    starts_life: float = 0.0


NO_CATALOGUE = Catalogue()

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
    catalogue: Catalogue = NO_CATALOGUE,
) -> dict[FailureMode, float]:
    """l_c per mode and year: nominal rate x factors of class, float and build x the firm's scale.

    A mode that the catalogue names has the catalogue's rate x the build's factors instead.
    `factors` are (mode, factor) pairs of the build; those on one mode multiply, capped. The whole
    sum stays within FACTOR_CAP times what it is without them. Judgement, no source.
    """
    positive("scale of the rates", scale)
    own = dict(catalogue.rates_per_a)
    of_build = list(factors)
    of_class = list(CLASS_FACTORS[pump_class].items())
    if float_kind is FloatKind.TETHERED:
        of_class.append((FailureMode.FLOAT, TETHERED_FLOAT_FACTOR))
    rates: dict[FailureMode, float] = {}
    base = 0.0
    for mode, nominal in NOMINAL.items():
        pairs = of_build if mode in own else [*of_build, *of_class]
        plain = positive("failure rate", own[mode]) if mode in own else scale * nominal.rate_per_a
        base += plain
        rates[mode] = plain * capped_product(f for m, f in pairs if m is mode)
    over = max(1.0, sum(rates.values()) / (FACTOR_CAP * base))
    return {mode: rate / over for mode, rate in rates.items()}


def share_shown(kind: SightKind, mode: FailureMode, catalogue: Catalogue = NO_CATALOGUE) -> float:
    """Share of a mode's failures that a test of this kind reveals; judgement, no source.

    A technician's proof test counts as complete (its remaining 2 % is within the judgement of the
    rates), as does a run or a failure in a real storm; an as-built defect lowers it elsewhere.
    """
    for told_kind, told_mode, share in catalogue.shows:
        if told_kind is kind and told_mode is mode:
            return share
    if kind is SightKind.BUCKET:
        return NOMINAL[mode].bucket_shows
    if kind is SightKind.FLOAT_LIFTED_DRY:
        return NOMINAL[mode].dry_lift_shows
    return 1.0


def coverage_of(kind: SightKind, rates: Rates, catalogue: Catalogue = NO_CATALOGUE) -> float:
    """Share of the whole failure rate that a test of this kind reveals, sum(c_k l_k)/sum(l_k)."""
    return sum(share_shown(kind, m, catalogue) * r for m, r in rates.items()) / sum(rates.values())
