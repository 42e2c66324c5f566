"""What is believed of a pump's failure rate before its own tests speak."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class RatePrior:
    """theta ~ Gamma(`shape`, `inverse_scale`), mean 1: how this system differs from its nominal
    rate, which is scaled by `scale`. `tests` and `failures` are the firm's own that it was refitted
    on (0: judgement). Defaults: judgement, no source (5-95 %: 0.18 to 2.37 times nominal).
    """

    shape: float = 2.0
    inverse_scale: float = 2.0
    scale: float = 1.0
    tests: int = 0
    failures: int = 0
