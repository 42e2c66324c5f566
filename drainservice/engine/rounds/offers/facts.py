"""What a caller's question for a time holds, and the answer: offers with every part of their price.

Days are days of the plan, weekdays 0 (Monday) to 6, weeks run from Monday: week 0 holds day 0.
Prices are whole sixtieths of a unit, as costs are.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from drainservice.engine.rounds.facts import PlanInputs, Window
from drainservice.engine.rounds.insert import Candidate
from drainservice.engine.rounds.offers.refusal import Refusal
from drainservice.engine.rounds.tables import Tables


class TermsDoNotFit(ValueError):
    """Settings of free times that contradict each other."""


class Half(StrEnum):
    """Half a day, parted at noon."""

    MORNING = "morning"
    AFTERNOON = "afternoon"


@dataclass(frozen=True, slots=True)
class OfferTerms:
    """How offers are cut and weighed; settings of the firm, all judgement. Units unless named.

    `reserve_percent` of a day is kept for what is urgent; beyond it each 5 % costs
    `per_five_percent`. A visit near others that are due costs less, by `near_tenths` tenths of a
    unit a minute, at most `near_most`. The last three keep offers of one answer apart.
    """

    window_s: int = 7200
    step_s: int = 3600
    margin_s: int = 1200
    slack_wanted_s: int = 1800
    reserve_percent: int = 15
    per_five_percent: int = 10
    near_tenths: int = 3
    near_most: int = 20
    near_count: int = 20
    same_half_day: int = 40
    same_day: int = 20
    same_weekday_and_half: int = 10

    def __post_init__(self) -> None:
        if self.step_s <= 0 or self.window_s <= 0 or not 0 <= self.margin_s <= self.window_s:
            raise TermsDoNotFit(
                "Windows need a length and a step above zero, and a margin that is not longer than "
                "the window; change the settings of free times."
            )
        if not 0 <= self.reserve_percent <= 100:
            raise TermsDoNotFit(
                f"The reserve must lie from 0 to 100 %, not {self.reserve_percent}; change it."
            )


@dataclass(frozen=True, slots=True)
class Wish:
    """What the household likes or dislikes: weekdays, a half of the day, or both; None is any."""

    is_liked: bool
    weekdays: frozenset[int] | None = None
    half: Half | None = None


@dataclass(frozen=True, slots=True)
class OfferQuestion:
    """A visit that looks for a time. `tables` are those of every shift that is looked at.

    `waiting` is the risk of going on each day, in units (all days, or none); `minute_price` what a
    minute costs in each week that is full. `outside_area_of` names technicians for whom the stop's
    `apart` holds `Tariff.outside_area`. `nearby` are places of visits that are due soon and not yet
    offered. Days in `due_day` and `first_weekday` as above.
    """

    inputs: PlanInputs
    candidate: Candidate
    tables: tuple[Tables, ...]
    terms: OfferTerms = field(default_factory=OfferTerms)
    first_weekday: int = 0
    waiting: Mapping[int, float] = field(default_factory=dict)
    minute_price: Mapping[int, float] = field(default_factory=dict)
    wishes: tuple[Wish, ...] = ()
    outside_area_of: frozenset[int] = frozenset()
    nearby: tuple[int, ...] = ()
    due_day: int | None = None

    def weekday(self, day: int) -> int:
        """0 for Monday."""
        return (self.first_weekday + day) % 7

    def week(self, day: int) -> int:
        """The week of a day, from Monday on."""
        return (self.first_weekday + day) // 7


@dataclass(frozen=True, slots=True)
class Parts:
    """The price of an offer by part; each part is a clause of its reason."""

    driving: int = 0
    overtime: int = 0
    waiting: int = 0
    week: int = 0
    not_usual: int = 0
    outside: int = 0
    liking: int = 0
    wish: int = 0
    tight: int = 0
    reserve: int = 0
    near: int = 0

    @property
    def total(self) -> int:
        """All parts together."""
        given = self.driving + self.overtime + self.waiting + self.week + self.tight + self.reserve
        return given + self.not_usual + self.outside + self.liking + self.wish + self.near


@dataclass(frozen=True, slots=True)
class Offer:
    """One free time: the round, the place in it, the window to promise, and what it costs.

    `before` gates are passed first. `next_slack_s` is what the gate after it keeps, None where it
    is the last; `home_slack_s` what is left before the latest return.
    """

    shift: int
    technician: int
    day: int
    weekday: int
    half: Half
    window: Window
    before: int
    starts_s: int
    added_drive_s: int
    added_overtime_s: int
    next_slack_s: int | None
    home_slack_s: int
    meets_wish: bool
    days_before_due: int | None
    parts: Parts

    @property
    def price(self) -> int:
        """What it costs; less is better."""
        return self.parts.total

    @property
    def rank(self) -> tuple[int, int, int, int, int]:
        """Cheapest first; of equals the earlier day, then the technician of the lower number."""
        return self.price, self.day, self.technician, self.window.from_s, self.before


class Rule(StrEnum):
    """Why a shift offers nothing."""

    LEFT_TO_OTHERS = "left to others"
    SKILL = "skill"
    VAN_FULL = "van full"
    NO_WINDOW = "no window"
    TOO_SHORT = "too short"
    FULL = "full"


@dataclass(frozen=True, slots=True)
class Counted:
    """How many technicians and rounds one rule shut out; `skill` is the word they lack."""

    rule: Rule
    technicians: int
    rounds: int
    skill: str = ""


@dataclass(frozen=True, slots=True)
class NearMiss:
    """A full round, and the least that keeps the visit out of it."""

    shift: int
    technician: int
    day: int
    refusal: Refusal


@dataclass(frozen=True, slots=True)
class Offers:
    """The answer: the best times, three that differ, more that go on from there, and why no more.

    `near_misses` stand for the full rounds, nearest first.
    """

    best: tuple[Offer, ...]
    three: tuple[Offer, ...]
    more: tuple[Offer, ...]
    counted: tuple[Counted, ...]
    near_misses: tuple[NearMiss, ...]
