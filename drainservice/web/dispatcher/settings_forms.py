"""Forms of the settings: the firm's row, its people, a place and its rules."""

from datetime import date
from typing import Any

from django import forms

from drainservice.accounts import wall
from drainservice.accounts.models import Firm, Role
from drainservice.engine.units import UnitSystem, show, unit_name
from drainservice.register.actions.shapes import ShapeRefused, rule_months
from drainservice.register.models import Jurisdiction
from drainservice.web.amounts import LONGEST, AmountRefused, read_amount
from drainservice.web.dispatcher.once import OnceForm

CLOCK = forms.TimeInput(attrs={"type": "time"})
DRAIN_FROM = Jurisdiction._meta.get_field("drain_from")
HIGHEST_LEVEL_M = 5.0


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
    """Whose rules hold, and when it is wet there; `initial` names the firm's units."""

    name = forms.CharField(max_length=200)
    drain_limit_h = forms.FloatField(
        label="A pit must drain within (hours)", min_value=1, max_value=720, initial=72
    )
    drain_from = forms.ChoiceField(
        label="counted",
        choices=DRAIN_FROM.choices or [],
        initial=DRAIN_FROM.default,
        error_messages={"invalid_choice": "Choose from when the hours count; it is one of these."},
        required=False,
    )
    drain_to_level_m = forms.CharField(
        help_text="above the hole's floor; left empty, the hours run until the pit is empty",
        max_length=LONGEST,
        required=False,
    )
    drain_source = forms.CharField(label="by which rule", max_length=200, required=False)
    rule_months = forms.CharField(
        label="Looks a rule asks for, one a line",
        help_text="kind of look and months between: percolation 12",
        widget=forms.Textarea(attrs={"rows": 2}),
        max_length=400,
        required=False,
    )
    rule_source = forms.CharField(label="by which rule it asks", max_length=200, required=False)
    rule_form = forms.CharField(label="on which form", max_length=200, required=False)
    signer = forms.CharField(label="signed by whom", max_length=200, required=False)
    wet_seasons = forms.CharField(
        label="Wet seasons, one a line",
        help_text="month-day to month-day: 10-15 to 04-15",
        widget=forms.Textarea(attrs={"rows": 2}),
        max_length=200,
    )
    frost_from = forms.CharField(label="Hard frost from", max_length=5, required=False)
    frost_until = forms.CharField(label="until", max_length=5, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units: UnitSystem = self.initial["units"]
        self.stored_level_m: float = self.initial.get("drain_to_level_m", 0.0)
        self.initial["drain_to_level_m"] = self._typed_level()
        label = f"until the water has fallen to ({unit_name('level', self.units)})"
        self.fields["drain_to_level_m"].label = label

    def _typed_level(self) -> str:
        return show(self.stored_level_m, "level", self.units) if self.stored_level_m else ""

    def clean_drain_from(self) -> str:
        """From when the hours count; where nothing was sent it stays as it is."""
        stands = self.initial.get("drain_from", DRAIN_FROM.default)
        return str(self.cleaned_data["drain_from"] or stands)

    def clean_drain_to_level_m(self) -> float:
        """A level in the firm's units; the one that stood there keeps what was measured."""
        raw = self.cleaned_data["drain_to_level_m"].strip()
        if raw == self._typed_level():
            return self.stored_level_m
        try:
            level_m = read_amount(raw, "level", self.units) if raw else 0.0
        except AmountRefused as refusal:
            raise forms.ValidationError(str(refusal)) from refusal
        if level_m > HIGHEST_LEVEL_M:
            most = show(HIGHEST_LEVEL_M, "level", self.units)
            raise forms.ValidationError(f"Write a level of at most {most}, or leave it empty.")
        return level_m

    def clean_wet_seasons(self) -> list[tuple[str, str]]:
        """Each line a season."""
        found = []
        for line in self.cleaned_data["wet_seasons"].splitlines():
            if line.strip():
                starts, _, ends = line.partition(" to ")
                found.append((month_day(starts), month_day(ends)))
        return found

    def clean_rule_months(self) -> dict[str, float]:
        """Each line a kind of look and months."""
        found: dict[str, float] = {}
        for line in self.cleaned_data["rule_months"].splitlines():
            kind, _, months = line.strip().rpartition(" ")
            if not line.strip():
                continue
            try:
                found[kind.strip()] = float(months)
            except ValueError:
                raise forms.ValidationError(
                    f"“{line.strip()[:40]}”: write a kind of look and months, as percolation 12."
                ) from None
        try:
            return rule_months(found)
        except ShapeRefused as refusal:
            raise forms.ValidationError(str(refusal)) from refusal

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


class KnownJurisdictionForm(JurisdictionForm):
    """A place as it stands."""

    version = forms.IntegerField(widget=forms.HiddenInput)


def known_place(row: Jurisdiction) -> dict[str, Any]:
    """A place as its form shows it."""
    seasons = [f"{season.starts} to {season.ends}" for season in row.wet_seasons.all()]
    names = ["version", "name", "drain_source", "frost_from", "frost_until"]
    names += ["rule_source", "rule_form", "signer", "drain_from", "drain_to_level_m"]
    months = [f"{kind} {count:g}" for kind, count in sorted(row.rule_months.items())]
    told = {name: getattr(row, name) for name in names}
    return told | {
        "drain_limit_h": f"{row.drain_limit_h:g}",
        "wet_seasons": "\n".join(seasons),
        "rule_months": "\n".join(months),
    }


def month_day(text: str) -> str:
    """10-15; a day that no year has is refused."""
    month, _, day = text.strip().partition("-")
    try:
        return f"{date(2000, int(month), int(day)):%m-%d}"
    except ValueError:
        raise forms.ValidationError(
            f"“{text.strip()[:20]}” is no day of the year; write month-day, such as 10-15."
        ) from None
