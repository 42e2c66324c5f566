"""How long a visit takes on site, from the looks it brings.

Every constant is judgement, until the firm's own visits replace it. Waiting for the water to fall
overlaps other work, so a visit is shorter than the sum of its looks.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

STEP_MIN = 5
LONGEST_MIN = 720


class MinutesCannotBe(ValueError):
    """A length below nothing, or a wait longer than its look."""


@dataclass(frozen=True, slots=True)
class LookTime:
    """One kind of look: minutes in all, of which `waiting_min` pass while other work is done."""

    minutes: int
    waiting_min: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.waiting_min <= self.minutes:
            raise MinutesCannotBe("A look takes no less than nothing and than its own waiting.")

    @property
    def hands_on_min(self) -> int:
        """Minutes somebody works at it."""
        return self.minutes - self.waiting_min

    def taking(self, minutes: int) -> "LookTime":
        """The same look as it was found to take; the wait is the water's and stays."""
        return LookTime(minutes, min(self.waiting_min, minutes))


@dataclass(frozen=True, slots=True)
class StopTime:
    """What every stop costs once, however many systems: arriving (gate, caution), closing (write
    down, photos, lid), and each further defect to mend."""

    arriving_min: int = 8
    closing_min: int = 7
    defect_min: int = 5


LOOK_TIMES: Mapping[str, LookTime] = {
    "pump": LookTime(15),
    "alarm": LookTime(5),
    "valve": LookTime(8),
    "percolation": LookTime(20, waiting_min=12),
    "sediment": LookTime(5),
    "line": LookTime(8),
    # A look into the line by camera, in place of watching its flow.
    "camera": LookTime(30),
    "lid": LookTime(3),
    "battery": LookTime(8),
    "autumn": LookTime(15),
    "spring": LookTime(15),
    "first_look": LookTime(60),
    "mend": LookTime(60),
    "access": LookTime(45),
}
OTHERWISE = LookTime(10)
WORDS: Mapping[str, str] = {
    "pump": "proof test",
    "alarm": "alarm and power",
    "valve": "check valve",
    "sediment": "silt",
    "line": "flow in the line",
    "camera": "camera in the line",
    "lid": "lid and roots",
    "autumn": "look before the frost",
    "spring": "look after the frost",
    "first_look": "first look",
    "mend": "mending",
    "access": "making the lid reachable",
}


@dataclass(frozen=True, slots=True)
class VisitTime:
    """How long a visit takes: `minutes` made up to the next five, and what they are made of.

    `parts` are (kind, how often, minutes each), `overlap_min` what waiting saves, `exact_min` the
    whole before it is made up.
    """

    minutes: int
    exact_min: int
    parts: tuple[tuple[str, int, int], ...]
    stop_min: int
    defects_min: int
    overlap_min: int


def time_of_visit(
    looks_of_systems: Iterable[Iterable[str]],
    *,
    stop: StopTime = StopTime(),
    times: Mapping[str, LookTime] = LOOK_TIMES,
    defects: int = 0,
) -> VisitTime:
    """Minutes of one stop at one or several systems of a site, each with its kinds of look.

    A kind counts once a system. `defects` are those to mend beside what the looks hold. A wait
    begins when its own hands-on part is done; where several wait, the longest goes first, which
    ends soonest (Jackson's rule, 1955). At most 720 minutes: nobody stays longer in a day.
    """
    kinds = Counter(kind for looks in looks_of_systems for kind in dict.fromkeys(looks))
    every = [times.get(kind, OTHERWISE) for kind in kinds.elements()]
    defects_min = defects * stop.defect_min
    ends = stop.arriving_min + stop.closing_min
    hands_on = ends + defects_min + sum(look.hands_on_min for look in every)
    exact = max(hands_on, stop.arriving_min + _last_wait(every))
    return VisitTime(
        minutes=min(ceil(exact / STEP_MIN) * STEP_MIN, LONGEST_MIN),
        exact_min=exact,
        parts=tuple((kind, n, times.get(kind, OTHERWISE).minutes) for kind, n in kinds.items()),
        stop_min=ends,
        defects_min=defects_min,
        overlap_min=ends + defects_min + sum(look.minutes for look in every) - exact,
    )


def _last_wait(looks: Sequence[LookTime]) -> int:
    """Minutes from the first hand laid on until the last wait is over."""
    waiting = sorted((w for w in looks if w.waiting_min), key=lambda w: -w.waiting_min)
    begun = over = 0
    for look in waiting:
        begun += look.hands_on_min
        over = max(over, begun + look.waiting_min)
    return over


def minutes_in_words(time: VisitTime) -> str:
    """45 min: proof test 15, percolation 20, silt 5, coming and closing 15, less 12 while a test
    waits, made up to five."""
    said = [f"{WORDS.get(kind, kind)} {_times(n, each)}" for kind, n, each in time.parts]
    said.append(f"coming and closing {time.stop_min}")
    if time.defects_min:
        said.append(f"what else is to mend {time.defects_min}")
    if time.overlap_min:
        said.append(f"less {time.overlap_min} while a test waits")
    if time.exact_min < time.minutes:
        said.append("made up to five")
    return f"{time.minutes} min: {', '.join(said)}"


def _times(number: int, each: int) -> str:
    return f"{each}" if number == 1 else f"{number} x {each}"
