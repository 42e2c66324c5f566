"""A time as it is chosen: one of the good times, or typed."""

from dataclasses import dataclass
from datetime import date, time, timedelta
from typing import Any

from django import forms

from drainservice.accounts import queries as accounts
from drainservice.accounts.models import Account
from drainservice.visits import queries as visits
from drainservice.visits.models.crew import WEEKDAYS
from drainservice.visits.queries import GoodTime, Wanted, Window
from drainservice.web.words import day as said_day
from drainservice.web.words import hour

SHOWN, SHOWN_MORE = 3, 9
LIKES = [
    ("morning", "mornings"),
    ("afternoon", "afternoons"),
    *((str(number), f"{name}s") for number, name in enumerate(WEEKDAYS[:5])),
]
GONE = "Someone took that time a moment ago, so nothing was booked. These are free now."

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


@dataclass(frozen=True, slots=True)
class Choice:
    """A good time as a page shows it: the word a form carries, the time in words, and the driving
    it adds with the reason."""

    word: str
    words: str
    reason: str


def show_times(request: Any, wanted: Wanted) -> dict[str, Any]:
    """The good times for a page, why there are fewer, and the way to more and to later ones."""
    has_more = bool(request.GET.get("more"))
    told = visits.good_times(
        wanted,
        at=request.asker.at,
        from_day=_asked_day(request),
        most=SHOWN_MORE if has_more else SHOWN,
    )
    kept = request.GET.copy()
    for name in ("more", "from", "done", "act", "found"):
        kept.pop(name, None)
    later = kept.copy()
    later["from"] = str(told.last_day + timedelta(days=1))
    if request.GET.get("from"):
        kept["from"] = request.GET["from"]
    kept["more"] = "1"
    return {
        "free": [Choice(word_of(one), say_time(one), one.reason) for one in told.times],
        "why_fewer": told.why_fewer,
        "notes": told.notes,
        "later": f"?{later.urlencode()}",
        "more": "" if has_more or len(told.times) < SHOWN else f"?{kept.urlencode()}",
    }


def _asked_day(request: Any) -> date | None:
    try:
        return date.fromisoformat(request.GET.get("from", ""))
    except ValueError:
        return None


def word_of(good: GoodTime) -> str:
    """A good time as a form carries it: 2027-05-12_0800_1000_andrea."""
    return window_word(good.window, good.technician)


def window_word(window: Window, technician: Account) -> str:
    """The same of a window and who comes."""
    return f"{window.day}_{window.from_:%H%M}_{window.to:%H%M}_{technician.handle}"


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


def say_time(good: GoodTime) -> str:
    """Tue 12 May, 8 to 10, by Andrea."""
    window = good.window
    who = good.technician.person.name.split()[0]
    return f"{said_day(window.day)}, {hour(window.from_)} to {hour(window.to)}, by {who}"
