"""A refusal as a sentence: what would break, and by how much."""

from drainservice.engine.rounds.offers.refusal import Breaks, Refusal
from drainservice.engine.rounds.speech import say_minutes


def say_refusal(refusal: Refusal, where: str, name: str, promise: str = "") -> str:
    """Thursday with Ben would break “Mill Lane before 11 am” by 14 min.

    `where` begins the sentence, `name` is the visit that finds no place, `promise` that of the gate
    that would break, where it is one.
    """
    late = say_minutes(refusal.late_s)
    return {
        Breaks.GATE: f"{where} would break “{promise}” by {late}.",
        Breaks.OWN_WINDOW: f"{where} would reach {name} {late} after its window.",
        Breaks.BREAK: f"{where} would begin the break {late} too late.",
        Breaks.HOME: f"{where} would come home {late} too late.",
        Breaks.VAN: f"{where} has no room left in the van.",
        Breaks.ROUND: f"{where} cannot keep the round even as it stands.",
    }[refusal.breaks]
