"""Systems: find one while the caller waits, or read them all."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from drainservice.doors.door import door
from drainservice.register import queries as register
from drainservice.register.models import Consequence, Status, System
from drainservice.visits import queries as visits

A_PAGE = 50


@door(to="dispatcher")
def systems(request: Any) -> HttpResponse:
    """Found by digits of a telephone, a street, a name, a place or a lid code; else all."""
    words = request.GET.get("words", "").replace("\0", "").strip()[:100]
    found = register.find(request.asker, words, most=A_PAGE) if words else _all(request)
    if words and len(found) == 1:
        return redirect(f"{reverse('system', args=[found[0].code])}?found=1")
    rows = found[:A_PAGE]
    beside = visits.beside_systems(request.asker, [row.pk for row in rows])
    context = {
        "here": "systems",
        "words_sought": words,
        "lines": [(row, beside[row.pk]) for row in rows],
        "count": register.systems_for(request.asker).count(),
        "more": f"?after={rows[-1].pk}{_kept(request)}" if len(found) > A_PAGE else "",
        "consequences": Consequence.choices,
        "statuses": Status.choices,
        "asked": request.GET,
    }
    return render(request, "dispatcher/systems.html", context)


def _all(request: Any) -> list[System]:
    rows = register.systems_for(request.asker)
    if request.GET.get("consequence") in Consequence.values:
        rows = rows.filter(consequence=request.GET["consequence"])
    if request.GET.get("status") in Status.values:
        rows = rows.filter(status=request.GET["status"])
    after = request.GET.get("after", "")
    if after.isascii() and after.isdigit() and len(after) < 18:
        rows = rows.filter(pk__gt=int(after))
    return list(rows.order_by("pk")[: A_PAGE + 1])


def _kept(request: Any) -> str:
    wanted = [("consequence", Consequence.values), ("status", Status.values)]
    return "".join(
        f"&{name}={request.GET[name]}" for name, values in wanted if request.GET.get(name) in values
    )
