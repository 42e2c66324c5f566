"""Forms of a type of the catalogue; of a pump also how it fails and what its tests show."""

from collections.abc import Iterator
from typing import Any

from django import forms

from drainservice.engine.failure_mode import FailureMode
from drainservice.engine.reliability.ageing import PUMP_SCALE_A, STARTS_OF_A_LIFE
from drainservice.engine.reliability.history import SightKind
from drainservice.engine.reliability.rates import NOMINAL, PumpClass, share_shown
from drainservice.register.models import EquipmentType
from drainservice.register.models.equipment import PARTS
from drainservice.web.dispatcher.once import OnceForm

CLASSES = [(word.value, word.value.replace("_", " ")) for word in PumpClass if word != "unknown"]
MODES = {
    FailureMode.POWER: "no power",
    FailureMode.FLOAT: "the float",
    FailureMode.PUMP: "the pump itself",
    FailureMode.VALVE: "the check valve",
    FailureMode.AIR_LOCK: "air lock",
    FailureMode.DISCHARGE: "the line",
}
TESTS = {SightKind.BUCKET: "bucket test", SightKind.PROOF: "proof test"}
FIRST = ("name", "class_word", "shortest_days", "longest_days", "wear_life_years")
# Nobody tells more digits; more would only show how a number is stored.
DIGITS = ".10g"


class TypeForm(OnceForm):
    """One type in the catalogue."""

    part = forms.ChoiceField(choices=[(part, part) for part in PARTS])
    name = forms.CharField(max_length=200)
    class_word = forms.ChoiceField(
        label="class, of a pump", choices=[("", "none of these"), *CLASSES], required=False
    )
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


class KnownTypeForm(TypeForm):
    """A type as it stands; of which part it is never changes. A pump has figures of its own."""

    version = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["part"]
        self.is_pump: bool = self.initial["part"] == "pump"
        if self.is_pump:
            self.fields |= dict(_fields_of_pump())
            self.order_fields([*FIRST, "starts_life"])
            self.initial.update(
                _typed_figures(self.initial["rates_per_year"], self.initial["reveals"])
            )

    def clean(self) -> dict[str, Any]:
        """The figures of a pump become its two tables; what is left empty is not in them."""
        told = self.cleaned_data
        if self.is_pump:
            told["rates_per_year"] = self._take("rate", 1.0)
            # What other tests reveal is not asked here and stays.
            stored = self.initial["reveals"]
            reveals = {test: modes for test, modes in stored.items() if test not in TESTS}
            reveals |= {test.value: self._take(test, 100.0) for test in TESTS}
            told["reveals"] = {test: modes for test, modes in reveals.items() if modes}
        return told

    def _take(self, group: str, scale: float) -> dict[str, float]:
        """Out of what was typed, one group of figures by mode, divided by `scale`."""
        typed = {mode.value: self.cleaned_data.pop(f"{group}_{mode}", None) for mode in MODES}
        return {mode: value / scale for mode, value in typed.items() if value is not None}


def known_type(row: EquipmentType) -> dict[str, Any]:
    """A type as its form shows it."""
    names = (
        "version",
        "part",
        "name",
        "class_word",
        "shortest_days",
        "longest_days",
        "wear_life_years",
        "checklist",
        "rates_per_year",
        "reveals",
    )
    starts = "" if row.starts_life is None else format(row.starts_life, DIGITS)
    return {name: getattr(row, name) for name in names} | {"starts_life": starts}


def _fields_of_pump() -> Iterator[tuple[str, forms.Field]]:
    """How long it lasts, how often each of its failures comes, what two tests show of each."""
    yield "wear_life_years", _figure("Years it lasts", 0.5, 100, PUMP_SCALE_A)
    yield "starts_life", _figure("Starts it lasts", 100, 1e9, STARTS_OF_A_LIFE)
    hint = (
        "Left empty, our usual figure counts, the grey one, raised for some classes of pump; "
        "yours counts as it stands."
    )
    for mode, words in MODES.items():
        label = f"Failures a year: {words}"
        usual = NOMINAL[mode].rate_per_a
        yield f"rate_{mode}", _figure(label, 0.0001, 100, usual, hint)
        hint = ""
    for test, test_words in TESTS.items():
        hint = f"Of 100 such failures, how many a {test_words} shows."
        for mode, words in MODES.items():
            label = f"Shown by a {test_words} (%): {words}"
            yield f"{test}_{mode}", _figure(label, 0, 100, 100 * share_shown(test, mode), hint)
            hint = ""


def _figure(label: str, low: float, high: float, usual: float, hint: str = "") -> forms.Field:
    """A number that may be left empty; what counts then stands in it."""
    sentence = (
        f"Write a number from {low:,.10g} to {high:,.10g}, "
        f"or leave it empty for our usual {usual:,.10g}."
    )
    field = forms.FloatField(
        label=label,
        min_value=low,
        max_value=high,
        help_text=hint,
        error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), sentence),
        required=False,
    )
    field.widget.attrs["placeholder"] = format(usual, DIGITS)
    return field


def _typed_figures(rates: dict[str, float], reveals: dict[str, dict[str, float]]) -> dict[str, str]:
    """Both tables as one would type them: failures a year, and shares as parts of 100."""
    typed = {f"rate_{mode}": format(rate, DIGITS) for mode, rate in rates.items()}
    for test, modes in reveals.items():
        for mode, share in modes.items():
            typed[f"{test}_{mode}"] = format(100 * share, DIGITS)
    return typed
