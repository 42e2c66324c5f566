"""What the page of a plan says: what it is about, how far it is, what it costs."""

from drainservice.visits.models import Plan, PlanKind, PlanState
from drainservice.visits.queries.said import say_day

PARTS = {
    "driving": "driving",
    "overtime": "overtime, twice",
    "people": "not the usual technician, or outside their area",
    "moved": "changes to what was told",
    "left_out": "the risk of what is left out",
    "total": "all together",
}
STAGES = {
    "start": "from the rounds as they stand",
    "solver": "whole rounds",
    "mend": "breaks and promises",
    "search": "single changes",
    "rebuild": "larger changes",
}


def title_of(plan: Plan) -> str:
    """What it is about."""
    span = say_day(plan.first_on)
    if plan.last_on != plan.first_on:
        span = f"{span} to {say_day(plan.last_on)}"
    about = {PlanKind.REPAIR: "Repair", PlanKind.SEASON: "Season"}.get(
        PlanKind(plan.kind), "A better order"
    )
    if plan.what_if:
        about = "What if"
    return f"{about}: {span}"


def say_lead(plan: Plan) -> str:
    """How it stands, in a sentence."""
    if plan.state == PlanState.THINKING and plan.cancel_wanted_at is not None:
        return "It stops in a moment and keeps the best it has found."
    told = {
        PlanState.THINKING: "It is being worked out; this page asks again by itself.",
        PlanState.READY: "It is ready to be looked at. Nothing has changed yet.",
        PlanState.ADOPTED: "It was adopted; the rounds stand as it says.",
        PlanState.REFUSED: "It was put aside; nothing was changed.",
        PlanState.STALE: "The rounds have changed since it was asked, so it cannot be adopted as it"
        " is. Fit it to the rounds of now, or ask again.",
        PlanState.FAILED: plan.failed_because or "It could not be worked out; ask again.",
    }[PlanState(plan.state)]
    if plan.what_if and plan.state == PlanState.READY:
        return f"This is what if: {plan.what_if}. It shows what would be, and cannot be adopted."
    return told


def say_progress(plan: Plan) -> str:
    """Trying larger changes, 800 of 2000 turns; the best so far costs 412 min, all counted."""
    if plan.state != PlanState.THINKING:
        return ""
    stage = STAGES.get(str(plan.progress.get("part", "")), "")
    done, wanted = plan.progress.get("done", 0), plan.progress.get("wanted", 0)
    if not stage or not wanted:
        return "It waits for its turn." if not plan.starts else "It begins."
    cost = plan.progress.get("cost")
    best = f"; the best so far costs {cost / 60:.0f} min, all counted" if cost else ""
    return f"It tries {stage}, {done} of {wanted} turns{best}."


def say_cost(plan: Plan) -> list[tuple[str, str, str]]:
    """Part, before, after in minutes; a part that is nothing on both sides is left out."""
    before = plan.cost.get("before")
    rows = []
    for part, words in PARTS.items():
        now = plan.cost.get(part)
        was = before.get(part) if before else None
        if now is None or (not now and not was and part != "total"):
            continue
        rows.append((words, "cannot be driven" if was is None else _min(was), _min(now)))
    return rows


def _min(cost: int) -> str:
    return f"{round(cost / 60)} min"
