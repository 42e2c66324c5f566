"""What suits them, on a visit's own page: the days they like, who was promised, what stays; and
what the visit needs, while it stands in no round."""

from typing import Any

from django import forms
from django.db import transaction

from drainservice.accounts.asker import Asker
from drainservice.visits import actions
from drainservice.visits import queries as visits
from drainservice.visits.actions.suits import LONGEST_MIN, PROMISED, SHORTEST_MIN
from drainservice.visits.models import Lock, Visit
from drainservice.web.dispatcher.booking import LIKES


class SuitsForm(forms.Form):
    """Only what such a visit can have: a promise by name needs a promise, a lock needs a place in
    a round; minutes and skills are bound by that place."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    likes = forms.MultipleChoiceField(
        label="They like", choices=LIKES, required=False, widget=forms.CheckboxSelectMultiple
    )
    is_named = forms.BooleanField(required=False)
    minutes = forms.IntegerField(
        label="Minutes on site", min_value=SHORTEST_MIN, max_value=LONGEST_MIN
    )
    skills = forms.MultipleChoiceField(
        label="It needs somebody with", required=False, widget=forms.CheckboxSelectMultiple
    )
    lock = forms.ChoiceField(label="A planner leaves", choices=Lock.choices, required=False)

    def __init__(self, posted: Any = None, *, visit: Visit) -> None:
        now = {
            "version": visit.version,
            "likes": [str(like) for like in visit.likes],
            "is_named": visit.is_named,
            "minutes": visit.minutes,
            "skills": visit.skills_wanted,
            "lock": visit.lock,
        }
        super().__init__(posted, initial=now)
        if visit.state in PROMISED and visit.technician is not None:
            name = visit.technician.person.name.split()[0]
            self.fields["is_named"].label = f"They were promised {name}, and nobody else"
        else:
            del self.fields["is_named"]
        words = sorted({*visits.skill_words(), *visit.skills_wanted})
        self.fields["skills"].choices = [(w, w) for w in words]  # type: ignore[attr-defined]
        if visit.slot_starts_at is None:
            del self.fields["lock"]
        if visit.slot_starts_at is not None or not words:
            del self.fields["skills"]
        if visit.slot_starts_at is not None:
            del self.fields["minutes"]


@transaction.atomic
def keep_what_suits(visit: Visit, told: dict[str, Any], asker: Asker) -> None:
    """Each of them where it changed.

    Errors: CrewRefused, NobodyToName, NotInThisState, ChangedMeanwhile.
    """
    visit.version = told["version"]
    if told["likes"] != [str(like) for like in visit.likes]:
        actions.like_times(visit, told["likes"], asker=asker)
    if told.get("is_named", visit.is_named) != visit.is_named:
        actions.name_technician(visit, told["is_named"], asker=asker)
    if told.get("lock", visit.lock) != visit.lock:
        actions.lock_visit(visit, told["lock"], asker=asker)
    minutes, skills = told.get("minutes", visit.minutes), told.get("skills", visit.skills_wanted)
    if (minutes, skills) != (visit.minutes, visit.skills_wanted):
        actions.change_need(visit, minutes=minutes, skills=skills, asker=asker)
