"""A time as it is chosen: one of the free times, or typed."""

from datetime import date, time
from typing import Any

from django import forms

from drainservice.accounts import queries as accounts
from drainservice.accounts.models import Account
from drainservice.visits.queries import FreeTime, Window
from drainservice.web.words import day as said_day
from drainservice.web.words import hour

REASONS = [
    ("the household asked for it", "the household asked for it"),
    ("a technician is ill", "a technician is ill"),
    ("the weather", "the weather"),
    ("a part is missing", "a part is missing"),
    ("it was entered by mistake", "it was entered by mistake"),
]


class TimeForm(forms.Form):
    """A typed time: day, from, to, who comes."""

    # It stands in a form where a free time may be chosen in its place.
    use_required_attribute = False

    day = forms.DateField(widget=forms.DateInput(attrs={"type": "date"}))
    from_ = forms.TimeField(label="From", widget=forms.TimeInput(attrs={"type": "time"}))
    to = forms.TimeField(label="to", widget=forms.TimeInput(attrs={"type": "time"}))
    technician = forms.ChoiceField(label="by")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        chosen: Any = self.fields["technician"]
        chosen.choices = [(a.handle, a.person.name) for a in accounts.technicians()]

    def chosen(self) -> tuple[Window, Account]:
        """Window and technician."""
        told = self.cleaned_data
        who = accounts.technicians().get(handle=told["technician"])
        return Window(told["day"], told["from_"], told["to"]), who


class CallOffForm(forms.Form):
    """Ending a visit before it was made."""

    by = forms.ChoiceField(label="By", choices=[("the household", "the household"), ("us", "us")])
    because = forms.ChoiceField(label="because", choices=REASONS)
    more = forms.CharField(label="in other words", max_length=120, required=False)


def word_of(free: FreeTime) -> str:
    """A free time as a form carries it: 2027-05-12_0800_1000_andrea."""
    window = free.window
    return f"{window.day}_{window.from_:%H%M}_{window.to:%H%M}_{free.technician.handle}"


def read_word(word: str) -> tuple[Window, Account] | None:
    """The time again, or None where the word is not one of ours."""
    parts = word.split("_")
    if len(parts) != 4:
        return None
    try:
        day = date.fromisoformat(parts[0])
        from_, to = (time(int(p[:2]), int(p[2:])) for p in parts[1:3])
    except ValueError:
        return None
    who = accounts.technicians().filter(handle=parts[3]).first()
    return (Window(day, from_, to), who) if who else None


def say_free(free: FreeTime) -> str:
    """Tue 12 May, 8 to 10, by Andrea."""
    window = free.window
    who = free.technician.person.name.split()[0]
    return f"{said_day(window.day)}, {hour(window.from_)} to {hour(window.to)}, by {who}"
