"""The one module that knows the general routing solver (pyvrp), imported late: a machine without
it plans by rebuilding alone.

Traps minded: full matrices only; alternatives are not required themselves, their group is; the
solver's own cost counts prizes of alternatives that were not needed, so it is never shown; while
no plan holds it warns about its penalties, which is no fault.
"""

import warnings
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from importlib.metadata import version
from typing import Any

from drainservice.engine.rounds.facts import Shift
from drainservice.engine.rounds.search.draft import Draft
from drainservice.engine.rounds.search.figures import Figures
from drainservice.engine.rounds.search.vrp_model import Client, VrpModel, make_model

# So many of its last best plans are handed out: the best of them need not be the best once mended.
LAST_BESTS = 4
STOP_EVERY = 20

Sketch = tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Sketched:
    """Options in order for each shift, of the last best plans, newest first; and the iterations
    made. They need mending."""

    sketches: tuple[Sketch, ...]
    done: int


def solver_version() -> str | None:
    """Which solver there is, with its version; None without one."""
    try:
        import_module("pyvrp")
    except ImportError:
        return None
    return f"pyvrp {version('pyvrp')}"


def sketch_rounds(
    f: Figures,
    start: Draft,
    *,
    seed: int,
    count: int,
    should_stop: Callable[[], bool],
    told: Callable[[int], None],
) -> Sketched:
    """Search from a plan that holds, up to `count` iterations; the same count and seed give the
    same sketches. `told(done)` hears now and then how far it is.

    Where nobody has a promise yet the solver starts afresh: on published instances it then came
    nearer to the best known than from insertion alone.
    """
    pyvrp: Any = import_module("pyvrp")
    model = make_model(f)
    if not model.clients or model.is_too_large:
        return Sketched((), 0)
    data = _as_data(pyvrp, f, model)
    watch = _Watch(count, should_stop, told)
    callbacks = _callbacks_for(pyvrp, watch)
    params = pyvrp.SolveParams(ils=pyvrp.IteratedLocalSearchParams(callbacks=callbacks))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", pyvrp.exceptions.PenaltyBoundWarning)
        result = pyvrp.solve(
            data,
            stop=watch,
            seed=seed,
            collect_stats=False,
            display=False,
            params=params,
            initial_solution=_as_solution(pyvrp, f, model, data, start)
            if f.inputs.present
            else None,
        )
    bests = [result.best, *reversed(watch.bests)]
    sketches = tuple(dict.fromkeys(_as_sketch(f, model, best) for best in bests))
    return Sketched(sketches, watch.done)


class _Watch:
    """Counts iterations, keeps the last bests, and ends a run."""

    def __init__(
        self, count: int, should_stop: Callable[[], bool], told: Callable[[int], None]
    ) -> None:
        self.count, self.should_stop, self.told = count, should_stop, told
        self.done = -1
        self.bests: deque[Any] = deque(maxlen=LAST_BESTS)

    def __call__(self, best_cost: float) -> bool:
        """Asked before each iteration."""
        self.done += 1
        if self.done >= self.count:
            return True
        if self.done % STOP_EVERY == 0:
            if self.should_stop():
                return True
            self.told(self.done)
        return False


def _callbacks_for(pyvrp: Any, watch: _Watch) -> Any:
    class Callbacks(pyvrp.IteratedLocalSearchCallbacks):  # type: ignore[misc]
        def on_best(self, best: Any) -> None:
            watch.bests.append(best)

    return Callbacks()


def _as_data(pyvrp: Any, f: Figures, model: VrpModel) -> Any:
    """The solver's own form: depots first, then one location for each client."""
    import numpy as np

    depots = _depots_of(f)
    places = depots + [f.place[client.options[0]] for client in model.clients]
    base = np.array(f.drives, dtype=np.int64)[np.ix_(places, places)]
    np.fill_diagonal(base, 0)
    distances = []
    for row in model.extra:
        distance = base + np.array([0] * len(depots) + list(row), dtype=np.int64)[None, :]
        np.fill_diagonal(distance, 0)
        distances.append(distance)
    has_load = any(f.load) and any(shift.room is not None for shift in f.inputs.shifts)
    groups = [pyvrp.ClientGroup(required=is_must) for is_must in model.must_of_group]
    clients = []
    for number, client in enumerate(model.clients):
        clients.append(_as_client(pyvrp, f, client, len(depots) + number, has_load))
        if client.group is not None:
            groups[client.group].add_client(number)
    return pyvrp.ProblemData(
        locations=[pyvrp.Location(0, 0) for _ in places],
        clients=clients,
        depots=[pyvrp.Depot(location=number) for number in range(len(depots))],
        vehicle_types=[
            _as_vehicles(
                pyvrp,
                f.inputs.shifts[kind.shifts[0]],
                len(kind.shifts),
                kind.profile,
                depots,
                f.overtime,
                sum(f.load) if has_load else None,
            )
            for kind in model.kinds
        ],
        distance_matrices=distances,
        duration_matrices=[base] * len(distances),
        groups=groups,
    )


def _depots_of(f: Figures) -> list[int]:
    return sorted({*f.leaves, *f.returns})


def _as_client(pyvrp: Any, f: Figures, client: Client, location: int, has_load: bool) -> Any:
    return pyvrp.Client(
        location=location,
        delivery=[f.load[client.stop]] if has_load else [],
        service_duration=f.work_s[client.options[0]],
        tw_early=max(0, client.early_s),
        tw_late=max(0, client.late_s),
        prize=client.prize,
        required=client.required,
        group=client.group,
    )


def _as_vehicles(
    pyvrp: Any,
    shift: Shift,
    count: int,
    profile: int,
    depots: list[int],
    overtime: int,
    all_load: int | None,
) -> Any:
    """Shifts of one kind. The paid hours are shorter by the break, and by as much longer is the
    overtime, so that waiting may hide the break and rounds that hold never look as if they did
    not."""
    wanted: dict[str, Any] = {}
    pause_s = shift.pause.length_s if shift.pause else 0
    if pause_s or shift.overtime_s:
        paid = max(0, shift.ends_s - shift.starts_s - pause_s)
        wanted = {
            "start_late": shift.starts_s,
            "shift_duration": paid,
            "max_overtime": shift.closes_s - shift.starts_s - paid,
            "unit_overtime_cost": overtime,
        }
    if all_load is not None:
        wanted["capacity"] = [all_load if shift.room is None else shift.room]
    return pyvrp.VehicleType(
        num_available=count,
        start_depot=depots.index(shift.leaves_from),
        end_depot=depots.index(shift.returns_to),
        tw_early=shift.starts_s,
        tw_late=shift.closes_s,
        unit_distance_cost=1,
        profile=profile,
        **wanted,
    )


def _as_solution(pyvrp: Any, f: Figures, model: VrpModel, data: Any, start: Draft) -> Any:
    of_option = {
        option: number for number, client in enumerate(model.clients) for option in client.options
    }
    routes = []
    for kind_number, kind in enumerate(model.kinds):
        for shift in kind.shifts:
            options = start.ways[shift].options
            if options:
                visits = [of_option[option] for option in options]
                routes.append(pyvrp.Route(data, visits, kind_number))
    return pyvrp.Solution(data, routes)


def _as_sketch(f: Figures, model: VrpModel, solution: Any) -> Sketch:
    """Options in order for each shift; shifts that are alike are filled from the first."""
    left = [list(kind.shifts) for kind in model.kinds]
    out: list[tuple[int, ...]] = [()] * len(f.own)
    for route in solution.routes():
        shift = left[route.vehicle_type()].pop(0)
        options = []
        for activity in route.schedule():
            if not activity.is_client():
                continue
            client = model.clients[activity.idx]
            options.append(_option_at(f, client, shift, activity.start_time))
        out[shift] = tuple(option for option in options if option is not None)
    return tuple(out)


def _option_at(f: Figures, client: Client, shift: int, start_s: int) -> int | None:
    """The option of the client that the shift may serve, the one nearest to a start."""
    allowed = [option for option in client.options if option in f.own[shift]]
    return min(
        allowed,
        key=lambda o: (max(0, f.early_s[o] - start_s, start_s - f.late_s[o]), o),
        default=None,
    )
