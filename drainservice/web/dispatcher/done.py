"""After an act: a sentence that says what was done, and for half a minute a way to undo it."""

from datetime import timedelta
from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect

from drainservice.accounts import history, queries
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.doors.door import door
from drainservice.register.actions import say_put_back
from drainservice.visits.actions import mind_undone, say_crew_put_back
from jobs import queue

HALF_A_MINUTE = timedelta(seconds=30)
SENTENCES = {
    "offered": "Offered. The message goes out in half a minute.",
    "held": "Kept free for ten minutes. Nobody has been told.",
    "agreed": "Agreed. The invitation goes out by itself.",
    "let_go": "Let go; the time is free again.",
    "moved": "Moved. Their calendar follows in half a minute.",
    "called_off": "Called off. Whoever was told hears of it in half a minute.",
    "answered": "Written down.",
    "settled": "Dealt with.",
    "saved": "Saved.",
    "entered": "Entered.",
    "taken_off": "Taken off the record; it stays readable in the history.",
    "asked_again": "They are asked again from now on.",
    "stopped": "They are asked nothing any more; dangers are still told.",
    "links_ended": "Every link they held has ended; the next message brings a new one.",
    "bad": "Passed over from now on.",
    "good": "Used again from now on.",
    "replaced": "The new pump is in; the old one stays in the history.",
    "let_in": "They are let in by the link below, once, within half an hour.",
    "held_back": "Held back until somebody lets it go.",
    "let_go_on": "Let go; it goes out when it is due.",
    "again": "It goes out again now.",
    "adopted": "Adopted. Whoever gets another time hears of it in half a minute.",
    "looking": "It is being looked for; this page asks again by itself.",
    "stopping": "It stops in a moment; the best so far is kept.",
    "put_aside": "Put aside; nothing was changed.",
    "storm_list": "They are on this day's list. Nobody has been told.",
    "urgent": "It must be reached today; first aid says where it fits. Nobody has been told.",
    "day_off": "Called off. Whoever was told hears of it in half a minute.",
    "handed_on": "Given to somebody else. A promised window stays, so nobody is told.",
    "taken_out": "Taken out of the round; it waits for another day. Nobody had been told.",
    "put_in": "Put into the round. Nobody has been told.",
    "locked": "A planner leaves that as it is.",
    "unlocked": "A planner may move it again, inside what was promised.",
    "rebased": "Fitted to the rounds of now; look at it again before you adopt it.",
    "season_adopted": "Adopted: the visits have their weeks. No household has been told.",
    "undone": "Undone; everything is as it was.",
    "noted": "Noted.",
    "brought_in": "The good rows are in. What is left open stands below.",
    "before": "That was sent once already, so nothing was added a second time.",
}


def undoable(asker: Asker) -> Asker:
    """The asker within one act that can be undone as one."""
    return asker.acting(group=uuid4().hex)


def go_to(address: str, what: str, *, group: str = "", anchor: str = "") -> HttpResponse:
    """Back to a page, which says what was done."""
    told = {"done": what} | ({"act": group} if group else {})
    return redirect(f"{address}?{urlencode(told)}{anchor}")


def done(request: Any) -> dict[str, Any]:
    """What the page before did, and the act that may still be undone."""
    group = request.GET.get("act", "")[:40]
    return {
        "done": SENTENCES.get(request.GET.get("done", ""), ""),
        "act": group if _recent(request.asker, group) else "",
    }


def _recent(asker: Asker, group: str) -> bool:
    return queries.may_still_undo(asker, group, within=HALF_A_MINUTE)


@door(to="dispatcher", methods="POST")
def undo(request: Any, group: str) -> HttpResponse:
    """Take one act back, whole, while its messages still wait."""
    with transaction.atomic():
        if not _recent(request.asker, group):
            raise CannotBeDone(
                "That is more than half a minute ago and may have been told to people. Open the "
                "visit and change it by hand."
            )
        history.undo(group, asker=request.asker)
        say_put_back(queries.sites_of_act(group), asker=request.asker, group=group)
        say_crew_put_back(group, asker=request.asker)
        mind_undone(group)
        queue.forget(group)
    back = request.POST.get("back", "/")
    is_ours = back.startswith("/") and not back.startswith(("//", "/\\"))
    return go_to(back.partition("?")[0] if is_ours else "/", "undone")
