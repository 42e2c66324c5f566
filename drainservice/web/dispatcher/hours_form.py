"""The form of a week of working hours: one row a weekday."""

from typing import Any

from django import forms

from drainservice.visits.actions import DayHours
from drainservice.visits.models import WorkingHours
from drainservice.visits.models.crew import WEEKDAYS
from drainservice.web.dispatcher.crew_forms import ClockField, DayField
from drainservice.web.dispatcher.once import OnceForm

DAY_FIELDS = {
    "starts": (ClockField, "from"),
    "ends": (ClockField, "to"),
    "break_minutes": (forms.IntegerField, "break, min"),
    "break_earliest": (ClockField, "between"),
    "break_latest": (ClockField, "and"),
    "overtime_minutes": (forms.IntegerField, "over at most, min"),
}


class HoursForm(OnceForm):
    """A week of working hours; a weekday without times is off, empty minutes are none."""

    valid_from = DayField(label="These hours hold from")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for weekday, (name, (kind, label)) in _day_names():
            field = kind(label=label, required=False)
            field.widget.attrs["aria-label"] = f"{WEEKDAYS[weekday]}, {label}"
            self.fields[f"{name}_{weekday}"] = field

    @property
    def weekdays(self) -> list[tuple[str, list[Any]]]:
        """Each weekday with its fields, as the page shows them."""
        return [
            (name, [self[f"{field}_{weekday}"] for field in DAY_FIELDS])
            for weekday, name in enumerate(WEEKDAYS)
        ]

    def clean(self) -> dict[str, Any]:
        """`days`, with what was typed for them taken out."""
        told = super().clean() or {}
        told["days"] = [
            day for weekday in range(7) if (day := self._day(told, weekday)) is not None
        ]
        return told

    def _day(self, told: dict[str, Any], weekday: int) -> DayHours | None:
        typed = {name: told.pop(f"{name}_{weekday}", None) for name in DAY_FIELDS}
        if typed["starts"] is None and typed["ends"] is None:
            return None
        for name, word in (("starts", "begins"), ("ends", "ends")):
            if typed[name] is None and f"{name}_{weekday}" not in self.errors:
                self.add_error(
                    f"{name}_{weekday}", f"Say when it {word}, or empty both for a day off."
                )
        if typed["starts"] is None or typed["ends"] is None:
            return None
        for name in ("break_minutes", "overtime_minutes"):
            typed[name] = typed[name] or 0
        return DayHours(weekday, **{name: v for name, v in typed.items() if v is not None})


def known_hours(rows: list[WorkingHours]) -> dict[str, Any]:
    """A pattern as its form shows it."""
    return {
        f"{name}_{row.weekday}": getattr(row, name)
        for row in rows
        for name in DAY_FIELDS
        if row.break_minutes or name not in {"break_earliest", "break_latest"}
    }


def _day_names() -> list[tuple[int, Any]]:
    return [(weekday, field) for weekday in range(7) for field in DAY_FIELDS.items()]
