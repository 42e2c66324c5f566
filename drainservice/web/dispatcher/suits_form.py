"""What suits them, on a visit's own page: the days they like, who was promised, what stays."""

from typing import Any

from django import forms
from django.db import transaction

from drainservice.accounts.asker import Asker
from drainservice.visits import actions
from drainservice.visits.actions.suits import PROMISED
from drainservice.visits.models import Lock, Visit
from drainservice.web.dispatcher.booking import LIKES


class SuitsForm(forms.Form):
    """Only what such a visit can have: a promise by name needs a promise, a lock needs a place in
    a round."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    likes = forms.MultipleChoiceField(
        label="They like", choices=LIKES, required=False, widget=forms.CheckboxSelectMultiple
    )
    is_named = forms.BooleanField(required=False)
    lock = forms.ChoiceField(label="A planner leaves", choices=Lock.choices, required=False)

    def __init__(self, posted: Any = None, *, visit: Visit) -> None:
        now = {
            "version": visit.version,
            "likes": [str(like) for like in visit.likes],
            "is_named": visit.is_named,
            "lock": visit.lock,
        }
        super().__init__(posted, initial=now)
        if visit.state in PROMISED and visit.technician is not None:
            name = visit.technician.person.name.split()[0]
            self.fields["is_named"].label = f"They were promised {name}, and nobody else"
        else:
            del self.fields["is_named"]
        if visit.slot_starts_at is None:
            del self.fields["lock"]


@transaction.atomic
def keep_what_suits(visit: Visit, told: dict[str, Any], asker: Asker) -> None:
    """Each of the three where it changed.

    Errors: NobodyToName, NotInThisState, ChangedMeanwhile.
    """
    visit.version = told["version"]
    if told["likes"] != [str(like) for like in visit.likes]:
        actions.like_times(visit, told["likes"], asker=asker)
    if told.get("is_named", visit.is_named) != visit.is_named:
        actions.name_technician(visit, told["is_named"], asker=asker)
    if told.get("lock", visit.lock) != visit.lock:
        actions.lock_visit(visit, told["lock"], asker=asker)
