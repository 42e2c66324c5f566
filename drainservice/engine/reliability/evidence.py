"""From a pump's history to evidence: what each test could see, and since when it was unseen."""

from collections.abc import Sequence
from datetime import date
from itertools import pairwise

from drainservice.engine.failure_mode import FailureMode
from drainservice.engine.reliability.checked import not_negative
from drainservice.engine.reliability.history import PumpTest, SeenBy, SightKind
from drainservice.engine.reliability.posterior import Sight
from drainservice.engine.reliability.rates import NOMINAL, Rates, share_shown
from drainservice.engine.reliability.train import Train, build_on, exposures_until

# A household nobody has checked counts as right nine times in ten; judgement, no source.
TRUST_RIGHT, TRUST_WRONG = 9.0, 1.0


class SeenBeforeKnownGood(ValueError):
    """A test is dated before the day the pump was first known good."""


def household_sensitivity(answers_right: int, answers_wrong: int) -> float:
    """How far this household's "it ran" is believed: (9 + right)/(10 + right + wrong).

    The mean of a Beta(9, 1) belief after what was found when somebody looked. Judgement.
    """
    right = TRUST_RIGHT + not_negative("answers found right", answers_right)
    return right / (right + TRUST_WRONG + not_negative("answers found wrong", answers_wrong))


def is_a_test(test: PumpTest) -> bool:
    """False where the water did not reach the start level: neither pass nor failure."""
    needs_no_level = test.kind in (SightKind.FLOAT_LIFTED_DRY, SightKind.STORM_FAILURE)
    return needs_no_level or test.level_passed_on


def proves_again(test: PumpTest) -> bool:
    """True for a pass that ends a pump's time as dead: seen by more than the household alone."""
    return test.passed and test.tester is not SeenBy.HOUSEHOLD


def sights_of(
    tests: Sequence[PumpTest], train: Train, known_good_on: date, household: float = 1.0
) -> list[Sight]:
    """Each test as evidence, in order of time.

    A mode's failures differ in how hidden they are; a test that shows a share c of them shows the
    least hidden c. What a test shows is known good from then on, the rest keeps ageing until a
    fuller test. A failure is evidence up to its day; when mended the whole clock starts again on
    `mended_on`. No time counts while the pump is dead. `household` is the sensitivity of that
    household's passes: below 1 they do not start the clock again but stand as doubted passes
    before the next sure test, and a sure pass makes them moot. A pump found dead and not mended
    stays dead until somebody other than the household sees it run.
    Tests before `known_good_on` raise SeenBeforeKnownGood.
    """
    real = sorted((t for t in tests if is_a_test(t)), key=lambda t: t.on)
    if real and real[0].on < known_good_on:
        raise SeenBeforeKnownGood(
            f"A test is dated {real[0].on}, before the pump was known good on {known_good_on}. "
            "Correct one of the two dates, or enter it under the older pump."
        )
    days = sorted({t.on for t in real} | {t.mended_on for t in real if t.mended_on is not None})
    by_day = dict(zip(days, exposures_until(train, known_good_on, days), strict=True))
    clock = _Clock(real, train)
    sights: list[Sight] = []
    doubted: list[float] = []
    dead_until: date | None = known_good_on
    for test in real:
        if dead_until is None and proves_again(test):
            clock.restart(by_day[test.on])
            dead_until = test.on
        elif dead_until is not None and test.on >= dead_until:
            shown = clock.shown_by(test)
            unseen = max([clock.unseen(shown, by_day[test.on]), *doubted])
            if test.passed and _trust(test, household) < 1:
                doubted.append(unseen)
                continue
            if test.passed:
                sights.append(Sight(True, clock.unseen(shown, by_day[test.on])))
                clock.see(shown, by_day[test.on])
            else:
                sights.append(Sight(False, unseen, household if doubted else 1.0, tuple(doubted)))
                dead_until = test.mended_on
                clock.restart(by_day[test.mended_on or test.on])
            doubted = []
    if doubted:
        sights.append(Sight(True, doubted[-1], household, tuple(doubted[:-1])))
    return sights


def _trust(test: PumpTest, household: float) -> float:
    return household if test.tester is SeenBy.HOUSEHOLD else 1.0


class _Clock:
    """Per mode, cells of hiddenness (from, to] with the exposure at which each was last good."""

    def __init__(self, tests: Sequence[PumpTest], train: Train) -> None:
        self.train = train
        ends: dict[FailureMode, set[float]] = {mode: {1.0} for mode in NOMINAL}
        for test in tests:
            for mode, share in self.shown_by(test).items():
                ends[mode] |= {share} if 0 < share < 1 else set()
        self.cells: list[tuple[FailureMode, float, float]] = []
        for mode, shares in ends.items():
            rising = [0.0, *sorted(shares)]
            self.cells += [(mode, b, b - a) for a, b in pairwise(rising)]
        self.good_at = [0.0] * len(self.cells)

    def shown_by(self, test: PumpTest) -> dict[FailureMode, float]:
        limits: dict[FailureMode, float] = {}
        if test.kind is SightKind.PROOF:
            limits = dict(build_on(self.train, test.on).proof_coverage)
        own = self.train.catalogue
        return {m: min(share_shown(test.kind, m, own), limits.get(m, 1.0)) for m in NOMINAL}

    def unseen(self, shown: Rates, now: Rates) -> float:
        return sum(
            width * (now[mode] - good)
            for (mode, end, width), good in zip(self.cells, self.good_at, strict=True)
            if end <= shown[mode]
        )

    def see(self, shown: Rates, now: Rates) -> None:
        for i, (mode, end, _) in enumerate(self.cells):
            if end <= shown[mode]:
                self.good_at[i] = now[mode]

    def restart(self, now: Rates) -> None:
        self.good_at = [now[mode] for mode, _, _ in self.cells]
