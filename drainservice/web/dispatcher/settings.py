"""Settings of the firm: its row, its people, whose rules hold, its catalogue."""

from datetime import date
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.text import slugify

from drainservice.accounts import actions as accounts_actions
from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import CannotBeDone, NotFound
from drainservice.accounts.models import Firm, Role
from drainservice.accounts.text import TextRefused
from drainservice.doors.door import door
from drainservice.register import actions, queries
from drainservice.register.models.equipment import PARTS
from drainservice.web.dispatcher.done import done, go_to
from drainservice.web.dispatcher.once import OnceForm, acting_once, was_done

CLOCK = forms.TimeInput(attrs={"type": "time"})


class FirmForm(forms.ModelForm):  # type: ignore[type-arg]
    """The firm's one row; the targets as people say them, of 100 days."""

    version = forms.IntegerField(widget=forms.HiddenInput)

    class Meta:
        model = Firm
        fields = (
            "name",
            "address",
            "telephone",
            "zone",
            "units",
            "quiet_from",
            "quiet_until",
            "answer_wanted_days",
            "get_ready_days",
            "bucket_test_days",
            "asks_a_year",
            "dead_of_100",
            "target_yard",
            "target_near_structure",
            "target_living_space",
            "season_rule",
        )
        labels = {
            "zone": "Time zone",
            "quiet_from": "No messages from",
            "quiet_until": "until",
            "answer_wanted_days": "Ask again for an answer, days before",
            "get_ready_days": "Say “get ready”, days before",
            "bucket_test_days": "Days between bucket tests",
            "asks_a_year": "Asks a year and household, at most",
            "dead_of_100": "Of 100 pumps opened in spring, how many do not pump?",
            "target_yard": "Share of time a pump may be dead: yard only",
            "target_near_structure": "near a structure or patio",
            "target_living_space": "living space below grade, or flooded before",
            "season_rule": "Look before the wet season",
        }
        help_texts = {
            "dead_of_100": "The one question. Leave it empty and our judgement stands until your "
            "own tests answer it.",
            "target_yard": "0.20 is one day in five",
        }
        widgets = {"quiet_from": CLOCK, "quiet_until": CLOCK}

    def clean_zone(self) -> str:
        """A zone that clocks know."""
        try:
            wall.find_zone(self.cleaned_data["zone"])
        except wall.ZoneIsUnknown as refusal:
            raise forms.ValidationError(str(refusal)) from refusal
        return str(self.cleaned_data["zone"])


class AccountForm(OnceForm):
    """Somebody of the firm who signs in."""

    person = forms.CharField(label="Name", max_length=120)
    name = forms.CharField(label="Sign-in name", max_length=60)
    role = forms.ChoiceField(choices=Role.choices)


class JurisdictionForm(OnceForm):
    """Whose rules hold, and when it is wet there."""

    name = forms.CharField(max_length=200)
    drain_limit_h = forms.FloatField(
        label="A pit must drain within (hours)", min_value=1, max_value=720, initial=72
    )
    drain_source = forms.CharField(label="by which rule", max_length=200, required=False)
    wet_seasons = forms.CharField(
        label="Wet seasons, one a line",
        help_text="month-day to month-day: 10-15 to 04-15",
        widget=forms.Textarea(attrs={"rows": 2}),
        max_length=200,
    )
    frost_from = forms.CharField(label="Hard frost from", max_length=5, required=False)
    frost_until = forms.CharField(label="until", max_length=5, required=False)

    def clean_wet_seasons(self) -> list[tuple[str, str]]:
        """Each line a season."""
        found = []
        for line in self.cleaned_data["wet_seasons"].splitlines():
            if line.strip():
                starts, _, ends = line.partition(" to ")
                found.append((month_day(starts), month_day(ends)))
        return found

    def clean(self) -> dict[str, Any]:
        """Frost has both ends or none."""
        told = self.cleaned_data
        ends = [told.get("frost_from", ""), told.get("frost_until", "")]
        if any(ends):
            for name in ("frost_from", "frost_until"):
                try:
                    told[name] = month_day(told.get(name, ""))
                except forms.ValidationError as refusal:
                    self.add_error(name, refusal)
        return told


class TypeForm(OnceForm):
    """One type in the catalogue."""

    part = forms.ChoiceField(choices=[(part, part) for part in PARTS])
    name = forms.CharField(max_length=200)
    shortest_days = forms.IntegerField(
        label="Shortest days between looks", min_value=1, max_value=3660, initial=30
    )
    longest_days = forms.IntegerField(label="longest", min_value=1, max_value=3660, initial=366)
    wear_life_years = forms.FloatField(
        label="Years it lasts", min_value=0.5, max_value=100, required=False
    )
    checklist = forms.CharField(
        label="What to look at, one a line",
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=5000,
        required=False,
    )


def month_day(text: str) -> str:
    """10-15; a day that no year has is refused."""
    month, _, day = text.strip().partition("-")
    try:
        return f"{date(2000, int(month), int(day)):%m-%d}"
    except ValueError:
        raise forms.ValidationError(
            f"“{text.strip()[:20]}” is no day of the year; write month-day, such as 10-15."
        ) from None


FORMS: dict[str, tuple[type[OnceForm], str, str]] = {
    "account": (AccountForm, "Somebody of the firm", "They come in by a link that works once."),
    "jurisdiction": (JurisdictionForm, "A place and its rules", "Local code stands above all."),
    "type": (TypeForm, "A type of part", "Its intervals bound the dates of every such part."),
}


@door(to="owner", methods="GET POST")
def settings(request: Any) -> HttpResponse:
    """The firm's row, and what else is set here."""
    firm = accounts.the_firm()
    form = FirmForm(request.POST or None, instance=firm, initial={"version": firm.version})
    if request.method == "POST" and form.is_valid():
        told = dict(form.cleaned_data)
        fresh = accounts.the_firm()
        fresh.version = told.pop("version")
        try:
            accounts_actions.change_firm(fresh, asker=request.asker, **told)
            return go_to(reverse("settings"), "saved")
        except CannotBeDone as refusal:
            form.add_error(None, str(refusal))
    context = {
        "here": "settings",
        "form": form,
        "people": accounts.technicians_and_office().order_by("role", "handle"),
        "jurisdictions": queries.jurisdictions().prefetch_related("wet_seasons"),
        "types": [(part, list(queries.equipment_types(part))) for part in PARTS],
        "link": "",
    }
    status = 422 if form.errors else 200
    return render(request, "dispatcher/settings.html", context | done(request), status=status)


@door(to="owner", methods="GET POST")
def new_setting(request: Any, what: str) -> HttpResponse:
    """A person of the firm, a jurisdiction, a type."""
    if what not in FORMS:
        raise NotFound
    form_class, title, lead = FORMS[what]
    form = form_class(request.POST or None)
    if request.method == "POST" and form.is_valid():
        told = dict(form.cleaned_data)
        once = told.pop("once")
        try:
            if not was_done(request.asker, once):
                _enter(what, told, acting_once(request.asker, once))
            return go_to(reverse("settings"), "entered")
        except (CannotBeDone, TextRefused) as refusal:
            form.add_error(None, str(refusal))
    context = {"here": "settings", "form": form, "title": title, "lead": lead}
    status = 422 if form.errors else 200
    return render(request, "dispatcher/form.html", context, status=status)


@door(to="owner", methods="POST")
def let_in_link(request: Any, handle: str) -> HttpResponse:
    """A link that works once, shown once: only this page ever holds it."""
    account = accounts.account_for(request.asker, handle)
    link = accounts_actions.let_in_link(account, at=request.asker.at)
    context = {"here": "settings", "account": account, "link": link}
    return render(request, "dispatcher/let_in_link.html", context)


def _enter(what: str, told: dict[str, Any], asker: Any) -> None:
    if what == "account":
        person = accounts_actions.enter_person(asker=asker, name=told["person"])
        handle = slugify(told["person"].split()[0])[:40] or "staff"
        taken = set(accounts.technicians_and_office().values_list("handle", flat=True))
        if handle in taken:
            handle = slugify(told["person"])[:40]
        accounts_actions.enter_account(
            asker=asker, person=person, name=told["name"], role=told["role"], handle=handle
        )
    elif what == "jurisdiction":
        actions.enter_jurisdiction(asker=asker, **told)
    else:
        actions.enter_equipment_type(asker=asker, **told)
