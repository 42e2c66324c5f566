"""The level of a pit under a steady inflow, exactly, from one switching level to the next."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import expm1, inf, log1p

from drainservice.engine.rainfall.pit import (
    OnOffPump,
    Pit,
    PitImpossible,
    PitRun,
    check_pumps_fit,
    seepage_m3s,
)


@dataclass(slots=True)
class Filling:
    """A pit on its way through rain; run_on() moves it, ledger() reads what went through.

    Within one band and one set of running pumps: dh/dt = (q - f A_soil - f x h - Q) / A, whose
    solution is a straight line (x = 0) or an exponential. Levels in m, volumes in m3.
    Source: continuity and Darcy at unit gradient, solved in closed form.
    """

    pit: Pit
    pumps: tuple[OnOffPump, ...]
    level_m: float = 0.0
    top_level_m: float = 0.0
    inflow_m3: float = 0.0
    pumped_m3: float = 0.0
    soaked_m3: float = 0.0
    spilt_m3: float = 0.0
    over_rim_s: float = 0.0
    start_level_m: float = 0.0
    is_on: list[bool] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)
    running_s: list[float] = field(default_factory=list)

    def run_on(self, inflow_m3s: float, duration_s: float) -> None:
        """Let the pit live through duration_s seconds of a steady inflow in m3/s."""
        self.inflow_m3 += inflow_m3s * duration_s
        left_s = duration_s
        while left_s > 0.0:
            left_s = self._to_next_switch(inflow_m3s, left_s)

    def ledger(self) -> PitRun:
        """What has gone through the pit so far."""
        return PitRun(
            inflow_m3=self.inflow_m3,
            pumped_m3=self.pumped_m3,
            infiltrated_m3=self.soaked_m3,
            overflow_m3=self.spilt_m3,
            start_level_m=self.start_level_m,
            final_level_m=self.level_m,
            max_level_m=self.top_level_m,
            starts=tuple(self.starts),
            running_s=tuple(self.running_s),
            over_rim_s=self.over_rim_s,
        )

    def _to_next_switch(self, inflow_m3s: float, left_s: float) -> float:
        """Move to the next band edge, pump switch, bottom or rim; give back the time left."""
        pit, level_m = self.pit, self.level_m
        lift_m3s = self._switch_pumps()
        # Positive while the pit fills, negative while it empties.
        net_m3s = inflow_m3s - lift_m3s - seepage_m3s(pit, level_m)
        if net_m3s == 0.0:
            return self._stand(inflow_m3s, lift_m3s, left_s)
        if net_m3s > 0.0 and level_m >= pit.depth_m:
            self.spilt_m3 += net_m3s * left_s
            self.over_rim_s += left_s
            return self._stand(inflow_m3s - net_m3s, lift_m3s, left_s)
        if net_m3s < 0.0 and level_m <= 0.0:
            return self._stand(inflow_m3s, min(lift_m3s, inflow_m3s), left_s)
        area_m2, edge_m = self._next_edge(net_m3s > 0.0)
        rate_ms = net_m3s / area_m2
        decay_1s = pit.seepage_ms * pit.soil_wall_m / area_m2
        reach_s = _time_to_move(edge_m - level_m, rate_ms, decay_1s)
        if reach_s <= left_s:
            time_s, self.level_m = reach_s, edge_m
        else:
            time_s = left_s
            self.level_m += _move(rate_ms, decay_1s, time_s)
        self._book(lift_m3s, inflow_m3s, area_m2 * (self.level_m - level_m), time_s)
        self.top_level_m = max(self.top_level_m, self.level_m)
        return left_s - time_s

    def _switch_pumps(self) -> float:
        """Turn pumps on and off by the level; give the flow of those that run, in m3/s."""
        lift_m3s = 0.0
        for i, pump in enumerate(self.pumps):
            if self.is_on[i]:
                self.is_on[i] = self.level_m > pump.off_level_m
            elif self.level_m >= pump.on_level_m:
                self.is_on[i] = True
                self.starts[i] += 1
            if self.is_on[i]:
                lift_m3s += pump.flow_m3s
        return lift_m3s

    def _next_edge(self, is_rising: bool) -> tuple[float, float]:
        """Plan area of the band the water moves in, and the next level where something changes."""
        low_m = 0.0
        for band in self.pit.bands:
            if self.level_m < band.top_m or (not is_rising and self.level_m <= band.top_m):
                break
            low_m = band.top_m
        if is_rising:
            waiting = (
                p.on_level_m
                for p, on in zip(self.pumps, self.is_on, strict=True)
                if not on and p.on_level_m > self.level_m
            )
            return band.plan_area_m2, min(band.top_m, min(waiting, default=inf))
        running = (p.off_level_m for p, on in zip(self.pumps, self.is_on, strict=True) if on)
        return band.plan_area_m2, max(low_m, max(running, default=0.0))

    def _stand(self, inflow_m3s: float, lift_m3s: float, time_s: float) -> float:
        """The level stands: what comes in leaves again by pumps and soil."""
        self._book(lift_m3s, inflow_m3s, 0.0, time_s)
        return 0.0

    def _book(self, lift_m3s: float, inflow_m3s: float, gain_m3: float, time_s: float) -> None:
        lifted_m3 = lift_m3s * time_s
        self.pumped_m3 += lifted_m3
        self.soaked_m3 += inflow_m3s * time_s - lifted_m3 - gain_m3
        for i, on in enumerate(self.is_on):
            if on:
                self.running_s[i] += time_s


def begin_filling(pit: Pit, pumps: Sequence[OnOffPump] = (), start_level_m: float = 0.0) -> Filling:
    """A pit at its start level, pumps off. No pumps: a dead pump. Raises PitImpossible."""
    check_pumps_fit(pit, tuple(pumps))
    if not 0.0 <= start_level_m <= pit.depth_m:
        raise PitImpossible("The start level must lie between the bottom and the rim of the pit.")
    count = len(pumps)
    return Filling(
        pit,
        tuple(pumps),
        level_m=start_level_m,
        top_level_m=start_level_m,
        start_level_m=start_level_m,
        is_on=[False] * count,
        starts=[0] * count,
        running_s=[0.0] * count,
    )


def time_to_fill_s(pit: Pit, inflow_m3s: float, from_level_m: float, to_level_m: float) -> float:
    """Time a steady inflow needs to raise the level with no pump, in s; infinity if never.

    Raises PitImpossible.
    """
    if not 0.0 <= from_level_m <= to_level_m <= pit.depth_m:
        raise PitImpossible("Give two levels within the pit, the lower one first.")
    time_s, low_m = 0.0, 0.0
    for band in pit.bands:
        start_m, end_m = max(low_m, from_level_m), min(band.top_m, to_level_m)
        low_m = band.top_m
        if end_m <= start_m:
            continue
        rate_ms = (inflow_m3s - seepage_m3s(pit, start_m)) / band.plan_area_m2
        if rate_ms <= 0.0:
            return inf
        decay_1s = pit.seepage_ms * pit.soil_wall_m / band.plan_area_m2
        time_s += _time_to_move(end_m - start_m, rate_ms, decay_1s)
    return time_s


def _time_to_move(rise_m: float, rate_ms: float, decay_1s: float) -> float:
    """Time to move by rise_m when dh/dt starts at rate_ms and decays: -ln(1 - k rise/rate)/k."""
    if decay_1s == 0.0:
        return rise_m / rate_ms
    spent = decay_1s * rise_m / rate_ms
    return inf if spent >= 1.0 else -log1p(-spent) / decay_1s


def _move(rate_ms: float, decay_1s: float, time_s: float) -> float:
    """Rise after time_s: rate (1 - e^(-k t)) / k."""
    if decay_1s == 0.0:
        return rate_ms * time_s
    return -rate_ms * expm1(-decay_1s * time_s) / decay_1s
