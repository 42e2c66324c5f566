"""What a drive is reckoned by without anybody's road map: detour, speeds by distance, factors.

Detour 1.3 is judgement, between the urban 1.2 of Newell (1980) and 1.21 to 1.23 of O'Sullivan
and Morrall (1996), and about 1.4 over the ways of a whole country to its hospitals (Boscoe, Henry
and Zdeb, The Professional Geographer 64 (2012) 188). Speeds: judgement. Shorelines and rivers
need barriers (`barriers`), and a firm's own drives correct all of it (`travel_learning`).
"""

import math
from dataclasses import dataclass, field

from drainservice.engine.rounds.roads.barriers import Barrier
from drainservice.engine.rounds.roads.learning import FROM_KM, Factors, distance_band

FASTEST_KMH = 130.0


class TermsCannotBe(ValueError):
    """A detour or speeds that nobody drives; the text says what to mend."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """So many kilometres of road at so many kilometres an hour."""

    length_km: float
    speed_kmh: float


@dataclass(frozen=True, slots=True)
class TravelTerms:
    """What a drive is reckoned by. Stretches are driven in order, the last without end.

    Speeds must not fall from one stretch to the next: so a longer way is never quicker, and no
    way by a third place is quicker than the way itself.
    """

    detour: float = 1.3
    stretches: tuple[Stretch, ...] = (Stretch(3, 30), Stretch(12, 40), Stretch(math.inf, 60))
    park_and_walk_s: int = 120
    barriers: tuple[Barrier, ...] = ()
    factors: Factors = field(default_factory=Factors)

    def __post_init__(self) -> None:
        speeds = [stretch.speed_kmh for stretch in self.stretches]
        if not 1 <= self.detour <= 3:
            raise TermsCannotBe(
                f"A detour of {self.detour:g} cannot be; roads are 1 to 3 times the straight way, "
                "so write a number such as 1.3."
            )
        if not speeds or speeds != sorted(speeds) or not 0 < speeds[0] <= speeds[-1] <= FASTEST_KMH:
            raise TermsCannotBe(
                "Speeds must lie above 0 and up to 130 km/h and must not fall with distance; "
                "write them from slow streets to fast roads."
            )
        lengths = [stretch.length_km for stretch in self.stretches]
        if lengths[-1] != math.inf or not all(0 < km < math.inf for km in lengths[:-1]):
            raise TermsCannotBe(
                "Each stretch needs a length above 0, and the last goes on without end."
            )
        if not 0 <= self.park_and_walk_s <= 3600:
            raise TermsCannotBe("To park and walk takes from 0 to 3600 s; write such a number.")


def road_s(road_km: float, terms: TravelTerms) -> float:
    """Seconds for so many kilometres of road, each stretch at its speed."""
    left_km, s = road_km, 0.0
    for stretch in terms.stretches:
        driven_km = min(left_km, stretch.length_km)
        s += driven_km * 3600 / stretch.speed_kmh
        left_km -= driven_km
    return s


def model_s(km: float, terms: TravelTerms) -> float:
    """Seconds without any factor for a way as the crow flies, to park and walk included."""
    return road_s(km * terms.detour, terms) + terms.park_and_walk_s


def floors_s(terms: TravelTerms, hour: int | None) -> list[float]:
    """Where each band begins: as long as the farthest of the nearer bands takes, so that a longer
    way is never quicker, whatever was learned."""
    floors = [0.0]
    for band, end_km in enumerate(FROM_KM[1:]):
        floors.append(max(floors[-1], terms.factors.of(band, hour) * model_s(end_km, terms)))
    return floors


def seconds(km: float, terms: TravelTerms, hour: int | None) -> float:
    """Seconds by what was learned for a way as the crow flies."""
    band = distance_band(km)
    learned_s = terms.factors.of(band, hour) * model_s(km, terms)
    return max(learned_s, floors_s(terms, hour)[band])
