"""Forms of a site: the property, how to get in, a person, a system before its parts."""

from typing import Any

from django import forms

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.models import Household
from drainservice.accounts.text import TextRefused, clean_email, clean_name, clean_phone
from drainservice.register import queries
from drainservice.register.models import Consequence, Origin, PartKind, Span
from drainservice.web.dispatcher.once import OnceForm

AREA = forms.Textarea(attrs={"rows": 2})


class SiteForm(OnceForm):
    """A property."""

    address = forms.CharField(label="Street and number", max_length=200)
    city = forms.CharField(max_length=80, required=False)
    region = forms.CharField(label="State or region", max_length=40, required=False)
    postcode = forms.CharField(max_length=20, required=False)
    jurisdiction: Any = forms.ModelChoiceField(queryset=None, label="Whose rules hold there")
    zone = forms.CharField(label="Time zone", max_length=64)
    latitude = forms.FloatField(required=False, min_value=-90, max_value=90)
    longitude = forms.FloatField(required=False, min_value=-180, max_value=180)
    access_note = forms.CharField(
        label="To get in: gate, key, where to park", max_length=5000, required=False, widget=AREA
    )
    dog_note = forms.CharField(label="Dog", max_length=200, required=False)
    codes = forms.CharField(
        label="Gate or key-box codes",
        help_text="kept encrypted; shown from the evening before a visit",
        max_length=400,
        required=False,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        chosen: Any = self.fields["jurisdiction"]
        chosen.queryset = queries.jurisdictions()
        chosen.label_from_instance = lambda row: row.name
        self.fields["zone"].initial = accounts.the_firm().zone

    def clean_zone(self) -> str:
        """A zone that clocks know."""
        try:
            wall.find_zone(self.cleaned_data["zone"])
        except wall.ZoneIsUnknown as refusal:
            raise forms.ValidationError(str(refusal)) from refusal
        return str(self.cleaned_data["zone"])

    def clean(self) -> dict[str, Any]:
        """Both coordinates or none."""
        told = self.cleaned_data
        if (told.get("latitude") is None) != (told.get("longitude") is None):
            self.add_error("longitude", "Give both latitude and longitude, or neither.")
        return told


class AccessForm(forms.Form):
    """How to get in."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    access_note = forms.CharField(
        label="Gate, key, where to park", max_length=5000, required=False, widget=AREA
    )
    dog_note = forms.CharField(label="Dog", max_length=200, required=False)
    codes = forms.CharField(label="Gate or key-box codes", max_length=400, required=False)
    is_confirmed = forms.BooleanField(
        label="Somebody who lives there said today that this is right", required=False
    )


class PersonForm(OnceForm):
    """A person, how they are reached, and the parts they play here."""

    name = forms.CharField(max_length=120)
    mail = forms.CharField(label="Mail address", max_length=254, required=False)
    telephone = forms.CharField(max_length=60, required=False)
    household = forms.ChoiceField(required=False)
    language = forms.ChoiceField(choices=[("en", "English"), ("es", "Spanish")], initial="en")
    parts = forms.MultipleChoiceField(
        label="This person", choices=PartKind.choices, widget=forms.CheckboxSelectMultiple
    )
    starts_on = forms.DateField(label="since", widget=forms.DateInput(attrs={"type": "date"}))

    def __init__(self, *args: Any, households: list[Household], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = [(str(h.pk), f"with {h.name}") for h in households]
        chosen: Any = self.fields["household"]
        chosen.choices = [*known, ("", "a household of their own")]

    def clean(self) -> dict[str, Any]:
        """Name and addresses through the one cleaner."""
        cleaners = {"name": clean_name, "mail": clean_email, "telephone": clean_phone}
        for field, cleaner in cleaners.items():
            value = self.cleaned_data.get(field)
            if value:
                try:
                    self.cleaned_data[field] = cleaner(value)
                except TextRefused as refusal:
                    self.add_error(field, str(refusal))
        return self.cleaned_data


class SystemForm(OnceForm):
    """A system that was put in the ground, before its parts."""

    place = forms.CharField(label="Where on the property", help_text="by the driveway")
    installed_on = forms.DateField(
        label="Built on", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    installed_span = forms.ChoiceField(
        label="as precise as", choices=[("", "not known"), *Span.choices], required=False
    )
    installed_by = forms.CharField(label="by", max_length=200, required=False)
    origin = forms.ChoiceField(label="It was", choices=Origin.choices, initial=Origin.OURS)
    consequence = forms.ChoiceField(
        label="A dead pump would reach",
        choices=[("", "nobody has said"), *Consequence.choices],
        required=False,
    )

    def clean(self) -> dict[str, Any]:
        """A day of building says how precise it is."""
        told = self.cleaned_data
        if told.get("installed_on") and not told.get("installed_span"):
            told["installed_span"] = Span.DAY
        if not told.get("installed_on"):
            told["installed_span"] = ""
        return told
