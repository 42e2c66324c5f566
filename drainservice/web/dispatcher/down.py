"""Down: pumps found dead and not yet proven again, the longest first."""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from drainservice.accounts.asker import NotFound
from drainservice.doors.door import door
from drainservice.inspections import actions as inspections_actions
from drainservice.inspections import queries as inspections
from drainservice.inspections.models import Down
from drainservice.visits import queries as visits
from drainservice.visits.queries import Beside
from drainservice.web.dispatcher.done import done, go_to


class StopGapForm(forms.Form):
    """What keeps the water out until then."""

    stop_gap = forms.CharField(max_length=200, required=False)
    told = forms.BooleanField(required=False)


@dataclass(frozen=True, slots=True)
class Line:
    """One pump that is down."""

    down: Down
    days: int
    beside: Beside


@door(to="dispatcher")
def down(request: Any) -> HttpResponse:
    """Since when, what helps meanwhile, who was told, and the visit that mends it."""
    rows = inspections.downs_for(request.asker)
    beside = visits.beside_systems(request.asker, [row.pump.system_id for row in rows])
    lines = [
        Line(row, (request.asker.at - row.since_at).days, beside[row.pump.system_id])
        for row in rows
    ]
    context = {"here": "down", "lines": lines}
    return render(request, "dispatcher/down.html", context | done(request))


@door(to="dispatcher", methods="POST")
def stop_gap(request: Any, pk: int) -> HttpResponse:
    """Write down the stop-gap and that the household knows."""
    row = next((row for row in inspections.downs_for(request.asker) if row.pk == pk), None)
    form = StopGapForm(request.POST)
    if row is None or not form.is_valid():
        raise NotFound
    inspections_actions.note_stop_gap(row, asker=request.asker, **form.cleaned_data)
    return go_to(reverse("down"), "noted")
