"""Forms of the crew: absences, skills, areas, vans, bases, closed days."""

from datetime import date, datetime, time, timedelta
from typing import Any

from django import forms

from drainservice.accounts import wall
from drainservice.visits import queries as visits
from drainservice.visits.models import HomeBase, Van
from drainservice.web.dispatcher.once import OnceForm

FIRST, LAST = date(2000, 1, 1), date(2199, 12, 31)
MIDNIGHT = time(0)
DAY = timedelta(days=1)


class DayField(forms.DateField):
    """A day that a firm may mean."""

    widget = forms.DateInput(attrs={"type": "date"})

    def clean(self, value: Any) -> Any:
        """Errors: a day of another century."""
        day = super().clean(value)
        if day is not None and not FIRST <= day <= LAST:
            raise forms.ValidationError("Write a day of this century, such as 2027-05-12.")
        return day


class ClockField(forms.TimeField):
    """A time on the wall."""

    widget = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")


class KnownForm(OnceForm):
    """A form that shows a row as it stands, or enters one: `version` only where there is one."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)


class SpanForm(KnownForm):
    """From when until when, on the firm's clock: whole days where no times are typed."""

    from_on = DayField(label="from")
    from_time = ClockField(label="at", required=False)
    until_on = DayField(label="until, that day too", required=False)
    until_time = ClockField(label="back at", required=False)
    because = forms.CharField(label="why", max_length=200, required=False)

    def __init__(self, *args: Any, zone: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.zone = zone

    def clean(self) -> dict[str, Any]:
        """`from_at` and `until_at`, with what was typed for them taken out."""
        told = super().clean() or {}
        from_on, from_time = told.pop("from_on", None), told.pop("from_time", None)
        until_on, until_time = told.pop("until_on", None), told.pop("until_time", None)
        if from_on is None or self.errors:
            return told
        told["from_at"] = wall.instant(from_on, from_time or MIDNIGHT, self.zone)
        until_on = until_on or from_on
        if until_time is None:
            until_on, until_time = until_on + DAY, MIDNIGHT
        told["until_at"] = wall.instant(until_on, until_time, self.zone)
        if told["until_at"] <= told["from_at"]:
            self.add_error("until_on", "That is over before it begins; choose a later end.")
        return told


class WhoSpanForm(SpanForm):
    """Who cannot come, from when until when."""

    who = forms.ChoiceField()
    field_order = ("who", "from_on", "from_time", "until_on", "until_time", "because")

    def __init__(self, *args: Any, crew: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["who"].choices = crew  # type: ignore[attr-defined]


class VanOutForm(SpanForm):
    """From when until when a van cannot be driven."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["because"].required = True


def known_span(from_at: datetime, until_at: datetime, zone: str) -> dict[str, Any]:
    """A time away as its form shows it: midnight is not typed."""
    first, last = wall.local(from_at, zone), wall.local(until_at, zone)
    is_whole = last.time() == MIDNIGHT
    return {
        "from_on": first.date(),
        "from_time": first.time() if first.time() != MIDNIGHT else None,
        "until_on": last.date() - DAY if is_whole else last.date(),
        "until_time": None if is_whole else last.time(),
    }


class SkillForm(KnownForm):
    """Something a visit may need, until when it holds."""

    word = forms.CharField(
        label="what they can do",
        max_length=40,
        help_text="one word, the same on the visits that need it: electric, camera",
    )
    valid_until = DayField(
        label="a licence ends on", required=False, help_text="its last day; empty: it does not end"
    )


class AreaForm(KnownForm):
    """A part of the county."""

    name = forms.CharField(max_length=200)
    corners = forms.CharField(
        help_text="three corners or more, going round, one a line: latitude, longitude in degrees "
        "as 47.25, -122.44",
        widget=forms.Textarea(attrs={"rows": 6}),
        max_length=10_000,
    )


class BaseForm(KnownForm):
    """Where rounds begin and end."""

    name = forms.CharField(max_length=200)
    address = forms.CharField(max_length=200, required=False)
    latitude = forms.FloatField(help_text="in degrees, north positive: 47.2500")
    longitude = forms.FloatField(help_text="in degrees, east positive, so here negative: -122.4400")


class BarrierForm(KnownForm):
    """Water or a ridge, and where roads cross it."""

    name = forms.CharField(max_length=200, help_text="Salt Creek, the railway")
    line = forms.CharField(
        label="its course",
        help_text="two points or more, one a line: latitude, longitude in degrees as "
        "47.25, -122.44. Draw it past its ends: a drive that would go round an end counts as "
        "one that does not cross",
        widget=forms.Textarea(attrs={"rows": 6}),
        max_length=10_000,
    )
    crossings = forms.CharField(
        label="where roads cross it",
        help_text="bridges, fords, tunnels, one a line in the same way",
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=3_000,
        required=False,
    )


class VanForm(KnownForm):
    """A van and what it carries."""

    name = forms.CharField(max_length=200)
    carries = forms.CharField(
        label="carries, that a visit may need",
        help_text="words with commas between: camera, ladder",
        max_length=400,
        required=False,
    )

    def clean_carries(self) -> list[str]:
        """One word after another."""
        return [word.strip() for word in self.cleaned_data["carries"].split(",") if word.strip()]


class ClosedForm(KnownForm):
    """Days on which nobody drives."""

    first_on = DayField(label="from")
    last_on = DayField(label="until, that day too", required=False, help_text="empty: one day")
    name = forms.CharField(label="what is then", max_length=200)
    is_worked = forms.BooleanField(
        label="We work then, though it is a public holiday", required=False
    )

    def clean(self) -> dict[str, Any]:
        """One day where no last one is typed."""
        told = super().clean() or {}
        told["last_on"] = told.get("last_on") or told.get("first_on")
        return told


class StartForm(KnownForm):
    """Where somebody's rounds begin, and in which van."""

    base = forms.ModelChoiceField(
        visits.crew_rows(HomeBase), label="begins at", required=False, empty_label="the first base"
    )
    van = forms.ModelChoiceField(
        visits.crew_rows(Van), label="drives", required=False, empty_label="no van of ours"
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("base", "van"):
            choice: Any = self.fields[name]
            choice.label_from_instance = lambda row: row.name
