"""Where the pumps' curve and the line's curve give the same head."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from drainservice.engine.hydraulics.curves import PumpCurve
from drainservice.engine.hydraulics.line import Section, line_loss
from drainservice.engine.hydraulics.roots import find_root
from drainservice.engine.hydraulics.weep_hole import weep_loss


class PumpCannotReachTheLift(ValueError):
    """The lift is at or above the head that the best pump makes with its outlet shut."""


class NoPump(ValueError):
    """A duty was asked of no pump at all."""


@dataclass(frozen=True, slots=True)
class DutyPoint:
    """The balance: flow into the line, what each pump gives, what the weep hole gives back."""

    flow_m3s: float
    head_m: float
    pump_flows_m3s: tuple[float, ...]
    weep_flow_m3s: float
    static_head_m: float
    is_beyond_curve: bool


def find_duty_point(
    pumps: Sequence[PumpCurve],
    static_head_m: float,
    sections: Sequence[Section],
    weep_hole_m: float = 0.0,
) -> DutyPoint:
    """Duty of one or more pumps in parallel, equal or not, through sections in a row.

    Root of sum of Q_pump(h) - Q_weep(h) = Q with h = static + losses(Q); friction is evaluated
    anew at each flow. A pump weaker than the common head gives nothing (its check valve holds).
    Raises PumpCannotReachTheLift, NoPump, ImpossibleAmount.
    """
    return balance(
        pumps, lambda flow_m3s: static_head_m + line_loss(sections, flow_m3s), weep_hole_m
    )


def balance(
    pumps: Sequence[PumpCurve],
    system_head_at: Callable[[float], float],
    weep_hole_m: float = 0.0,
) -> DutyPoint:
    """Duty against any system head that never falls as the flow grows, m of m3/s.

    Solved for the flow of the strongest pump: its head is everyone's, and gives the others their
    flow. (In the head itself a flat curve would lose figures near its shut-off.) Raises
    PumpCannotReachTheLift, NoPump, ImpossibleAmount.
    """
    if not pumps:
        raise NoPump("No pump is named; enter the pump and a point of its curve.")
    strongest = max(pumps, key=lambda pump: pump.shutoff_head_m)
    static_head_m = system_head_at(0.0)
    if static_head_m >= strongest.shutoff_head_m:
        raise PumpCannotReachTheLift(
            f"The water must rise {static_head_m:.2f} m, but the pump lifts "
            f"{strongest.shutoff_head_m:.2f} m at most; measure the lift again, or fit a stronger "
            "pump."
        )

    def lacking_m(strongest_flow_m3s: float) -> float:
        each_m3s = _share_flow(pumps, strongest, strongest_flow_m3s)
        head_m = strongest.head_at(strongest_flow_m3s)
        return system_head_at(_line_flow(each_m3s, head_m, weep_hole_m)) - head_m

    most_m3s = strongest.flow_at(static_head_m)
    if _line_flow(_share_flow(pumps, strongest, most_m3s), static_head_m, weep_hole_m) == 0:
        raise PumpCannotReachTheLift(
            "The weep hole takes all that the pump gives at this lift; the hole is too large, or "
            "the pump too weak."
        )
    # A hair beyond, since the flow at the static head is itself rounded.
    strongest_m3s = find_root(lacking_m, 0.0, most_m3s * (1 + 1e-9))
    head_m, each_m3s = (
        strongest.head_at(strongest_m3s),
        _share_flow(pumps, strongest, strongest_m3s),
    )
    return DutyPoint(
        flow_m3s=_line_flow(each_m3s, head_m, weep_hole_m),
        head_m=head_m,
        pump_flows_m3s=each_m3s,
        weep_flow_m3s=weep_loss(weep_hole_m, max(head_m, 0.0)),
        static_head_m=static_head_m,
        is_beyond_curve=any(
            q > pump.largest_flow_m3s for q, pump in zip(each_m3s, pumps, strict=True)
        ),
    )


def _share_flow(
    pumps: Sequence[PumpCurve], strongest: PumpCurve, strongest_flow_m3s: float
) -> tuple[float, ...]:
    """Each pump's flow when the strongest gives this much."""
    head_m = strongest.head_at(strongest_flow_m3s)
    return tuple(
        strongest_flow_m3s if pump == strongest else pump.flow_at(head_m) for pump in pumps
    )


def _line_flow(each_m3s: Sequence[float], head_m: float, weep_hole_m: float) -> float:
    return max(sum(each_m3s) - weep_loss(weep_hole_m, max(head_m, 0.0)), 0.0)
