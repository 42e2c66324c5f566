"""The form of what planning goes by."""

from collections.abc import Callable
from typing import Any

from django import forms

from drainservice.visits.models import PlanningTerms


class TermsForm(forms.ModelForm):  # type: ignore[type-arg]
    """What planning goes by; units are minutes of a technician."""

    version = forms.IntegerField(widget=forms.HiddenInput)

    class Meta:
        model = PlanningTerms
        fields = (
            "country",
            "subdivision",
            "window_minutes",
            "grid_minutes",
            "reserve_percent",
            "arriving_minutes",
            "closing_minutes",
            "defect_minutes",
            "detour",
            "not_usual_units",
            "outside_area_units",
            "overtime_units",
            "move_offer_units",
            "move_promise_units",
            "weeks_before_season",
        )
        labels = {
            "country": "Public holidays of the country",
            "subdivision": "and of its part",
            "window_minutes": "A promised window lasts, minutes",
            "grid_minutes": "and begins every so many minutes",
            "reserve_percent": "Kept free for what is urgent, percent of a day",
            "arriving_minutes": "Arriving at a site, minutes",
            "closing_minutes": "Closing there, minutes",
            "defect_minutes": "Each further defect to mend, minutes",
            "detour": "Roads are longer than the straight line, times",
            "not_usual_units": "Sending somebody else than usual is worth, minutes of driving",
            "outside_area_units": "Sending somebody outside their area, minutes",
            "overtime_units": "A minute of overtime counts as, minutes",
            "move_offer_units": "Moving an offer nobody has answered, minutes",
            "move_promise_units": "Moving a promise, minutes",
            "weeks_before_season": "A season's looks are spread over, weeks before it",
        }
        help_texts = {
            "country": "two letters, as US; empty: no public holidays",
            "subdivision": "its own code, as WA; empty: those of the whole country",
            "detour": "1.3 where roads are dense; more along water",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, (low, high) in _ranges().items():
            self.fields[name].validators = [_between(low, high)]

    def clean_country(self) -> str:
        """Small letters mean the same."""
        return str(self.cleaned_data["country"]).strip().upper()

    def clean_subdivision(self) -> str:
        """Small letters mean the same."""
        return str(self.cleaned_data["subdivision"]).strip().upper()


def _ranges() -> dict[str, tuple[float, float]]:
    """From where to where each number may lie, as the record itself has it."""
    found = {}
    for rule in PlanningTerms._meta.constraints:
        for part in getattr(getattr(rule, "condition", None), "children", []):
            if isinstance(part, tuple) and str(part[0]).endswith("__range"):
                found[str(part[0]).removesuffix("__range")] = part[1]
    return found


def _between(low: float, high: float) -> Callable[[float], None]:
    def is_within(value: float) -> None:
        if not low <= value <= high:
            raise forms.ValidationError(f"Write a number from {low:g} to {high:g}.")

    return is_within
