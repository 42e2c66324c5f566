"""The cheapest plan of a small season, by trying all, and by a general solver of whole numbers.

Both read the rules from the facts: they share nothing with the search.
"""

from itertools import product

import highspy
import numpy as np

from drainservice.engine.rounds.season.cells import cut_into_cells

OUT = None


def rules_of(facts):
    """Cells as (visits, drive, minutes between doors), rims, and what each visit may do: week to
    cost, left out among them."""
    places = [visit.place for visit in facts.visits]
    cells = cut_into_cells(places, facts.homes, facts.travel, facts.settings.cell_visits)
    rims = [facts.rim_min(week) for week in range(len(facts.weeks))]
    return cells, rims, [_choices(visit, facts) for visit in facts.visits]


def _choices(visit, facts):
    costs, moved = visit.costs.weeks, facts.settings.moved_units
    if visit.promised is not None:
        return {visit.promised: costs[visit.promised]}
    last = len(costs) - 1 if visit.last is None else visit.last
    found = {
        week: cost + (moved if visit.offered not in (None, week) else 0.0)
        for week, cost in enumerate(costs)
        if visit.earliest <= week <= last and facts.weeks[week].crew_min > 0
    }
    found[OUT] = visit.costs.left_out + (moved if visit.offered is not None else 0.0)
    return found


def try_all(facts):
    """The least cost over every choice of every visit.

    All choices within each cell, then all pairs of halves; a half is passed over only where even
    with the cheapest other half it could not be the best.
    """
    cells, rims, choices = rules_of(facts)
    options = [choices_of_cell(cell, choices, facts) for cell in cells]
    middle = len(options) // 2
    left, right = _join(options[:middle], len(rims)), _join(options[middle:], len(rims))
    left.sort(key=lambda one: one[0])
    costs = np.array([cost for cost, _ in right])
    loads = np.array([load for _, load in right])
    best = np.inf
    for cost, load in left:
        if cost + costs.min() >= best:
            break
        fits = (loads + load <= np.array(rims) + 1e-9).all(axis=1)
        if fits.any():
            best = min(best, cost + costs[fits].min())
    return float(best)


def choices_of_cell(cell, choices, facts):
    """(cost, minutes by week) of every choice that the visits of a cell have together."""
    found = []
    for picked in product(*(choices[m] for m in cell.members)):
        weeks = {week for week in picked if week is not OUT}
        if len(weeks) > facts.settings.cell_weeks:
            continue
        load = [0.0] * len(facts.weeks)
        for week in weeks:
            load[week] += cell.drive_min
        cost = cell.drive_min * len(weeks)
        for member, week in zip(cell.members, picked, strict=True):
            cost += choices[member][week]
            if week is not OUT:
                load[week] += facts.visits[member].work_min + cell.between_min
        found.append((cost, load))
    return found


def _join(options, weeks):
    joined = [(0.0, np.zeros(weeks))]
    for cell in options:
        joined = [(c + d, a + np.array(b)) for c, a in joined for d, b in cell]
    return joined


def solve_exactly(facts, seconds=60.0):
    """The optimum by HiGHS, proven to 1e-6 of the cost; fails where it is not reached in time."""
    cells, rims, choices = rules_of(facts)
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("mip_rel_gap", 1e-6)
    solver.setOptionValue("time_limit", seconds)
    fills = [[] for _ in rims]
    for cell in cells:
        opens = [solver.addBinary(obj=cell.drive_min) for _ in rims]
        solver.addConstr(sum(opens) <= facts.settings.cell_weeks)
        for week, opened in enumerate(opens):
            fills[week].append(cell.drive_min * opened)
        for member in cell.members:
            goes = {week: solver.addBinary(obj=cost) for week, cost in choices[member].items()}
            solver.addConstr(sum(goes.values()) == 1)
            minutes = facts.visits[member].work_min + cell.between_min
            for week, there in goes.items():
                if week is not OUT:
                    solver.addConstr(there <= opens[week])
                    fills[week].append(minutes * there)
    for week, rim in enumerate(rims):
        solver.addConstr(sum(fills[week]) <= rim)
    solver.run()
    assert solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return solver.getInfo().objective_function_value
