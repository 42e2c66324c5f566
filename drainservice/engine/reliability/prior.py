"""What is believed of a pump's failure rate before its own tests speak."""

from dataclasses import dataclass, replace

from drainservice.engine.reliability.checked import inner_share, positive
from drainservice.engine.reliability.rates import PumpClass, nominal_sum


@dataclass(frozen=True, slots=True)
class RatePrior:
    """theta ~ Gamma(`shape`, `inverse_scale`): how this system differs from its nominal rate,
    which is scaled by `scale`. `tests` and `failures` are the firm's own that it was refitted on
    (0: judgement). Defaults: judgement, no source (5-95 %: 0.18 to 2.37 times nominal).
    """

    shape: float = 2.0
    inverse_scale: float = 2.0
    scale: float = 1.0
    tests: int = 0
    failures: int = 0

    def __post_init__(self) -> None:
        positive("shape of the prior", self.shape)
        positive("inverse scale of the prior", self.inverse_scale)
        positive("scale of the rates", self.scale)


def nominal_rate_from_share_dead(share_dead: float, shape: float = 2.0) -> float:
    """The nominal rate per year at which this share of pumps is found dead at a yearly test.

    1 - (b/(b+1))^a = p gives r = (1-p)^(1/a), b = r/(1-r), rate = a/b. The firm's one question at
    set-up: of 100 pumps you open in spring, how many do not pump? Exact for the gamma rate.
    Raises NotAShare unless 0 < share_dead < 1.
    """
    inner_share("share of pumps found dead", share_dead)
    r: float = (1 - share_dead) ** (1 / shape)
    return shape * (1 - r) / r


def scale_from_share_dead(share_dead: float) -> float:
    """The factor on all nominal rates that follows from the firm's answer."""
    return nominal_rate_from_share_dead(share_dead) / nominal_sum()


def share_dead_from_nominal_rate(rate_per_a: float, shape: float = 2.0) -> float:
    """Share of pumps found dead at a first yearly test, 1 - (b/(b+1))^a with b = a/rate."""
    b = shape / positive("nominal rate", rate_per_a)
    return 1 - float((b / (b + 1)) ** shape)


def widened_for(pump_class: PumpClass, prior: RatePrior) -> RatePrior:
    """The prior of one class: unknown quality spreads wider, Gamma(1.3, 1.3); judgement."""
    is_poor = pump_class in (PumpClass.BUDGET, PumpClass.CUSTOMER_SUPPLIED)
    if is_poor and prior.tests == 0:
        return replace(prior, shape=1.3, inverse_scale=1.3)
    return prior
