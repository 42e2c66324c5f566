"""A form for one part: each value in the firm's units, and how it is known."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.forms import BoundField

from drainservice.accounts.models import Kept
from drainservice.accounts.text import TextRefused, clean_text
from drainservice.engine.units import UnitSystem, number
from drainservice.register.models import FittingKind, LineEnd
from drainservice.register.models.asbuilt import How
from drainservice.web.amounts import AmountRefused, read_amount
from drainservice.web.dispatcher.fields import Field, fields_of, name_of
from drainservice.web.dispatcher.once import OnceForm

HOWS = [(value, words) for value, words in How.choices if value != How.UNKNOWN]
CLAIMS = [("", "not known"), ("yes", "yes"), ("no", "no")]


# A beginning and its end.
ENDS = [("starts_on", "ends_on"), ("valid_from", "valid_until")]


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing, or several, that a part points at, out of what stands."""

    name: str
    label: str
    rows: "QuerySet[Any]"
    empty: str = "none"
    is_needed: bool = False
    is_many: bool = False
    ticked: tuple[int, ...] = ()
    words: Callable[[Any], str] = name_of


class PartForm(OnceForm):
    """The fields of one part; unchanged words keep the stored number to its last digit."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(
        self,
        data: Any = None,
        *,
        model: type[Kept],
        units: UnitSystem,
        row: Any = None,
        has_curve: bool = False,
        has_fittings: bool = False,
        leave_out: tuple[str, ...] = (),
        choices: tuple[Choice, ...] = (),
    ) -> None:
        super().__init__(data)
        self.row, self.units = row, units
        self.specs = [spec for spec in fields_of(model) if spec.name not in leave_out]
        if row is not None:
            self.fields["version"].initial = row.version
            self.fields["version"].required = True
        self.chosen = [choice.name for choice in choices]
        for choice in choices:
            self.fields[choice.name] = _choice_field(choice, row)
        for spec in self.specs:
            self._add(spec)
        if has_curve:
            self.fields["curve"] = forms.CharField(
                label="points of its curve, one a line",
                required=False,
                initial=_curve_of(row, units),
                widget=forms.Textarea(attrs={"rows": 3}),
                help_text="flow at head, from its plate or papers: 25 at 18, then 45 at 6",
                max_length=500,
            )
        if has_fittings:
            counts = {f.kind: f.count for f in row.fittings.all()} if row is not None else {}
            for kind, words in FittingKind.choices:
                self.fields[f"fitting_{kind}"] = forms.IntegerField(
                    label=str(words),
                    min_value=0,
                    max_value=99,
                    required=False,
                    initial=counts.get(kind),
                )

    def _add(self, spec: Field) -> None:
        value = getattr(self.row, spec.name) if self.row else _usual(spec)
        self.fields[spec.name] = _widget_of(spec, spec.typed(value, self.units), self.units)
        if spec.has_how:
            how = getattr(self.row, f"{spec.name}_how") if self.row else How.UNKNOWN
            self.fields[f"{spec.name}_how"] = forms.ChoiceField(
                label=f"{spec.label}: how it is known",
                choices=HOWS,
                required=False,
                initial=How.TOLD if how == How.UNKNOWN else how,
            )

    @property
    def pairs(self) -> Iterator[tuple[BoundField, BoundField | None]]:
        """What it points at, then each value with its how."""
        for name in self.chosen:
            yield self[name], None
        for spec in self.specs:
            yield self[spec.name], self[f"{spec.name}_how"] if spec.has_how else None

    @property
    def extras(self) -> list[BoundField]:
        """Curve and fittings."""
        return [self[n] for n in self.fields if n == "curve" or n.startswith("fitting_")]

    @property
    def has_typed_curve(self) -> bool:
        """Whether the points differ from those that were shown: read back they lose digits."""
        typed = str(self.data.get("curve", "")).split()
        return "curve" in self.fields and typed != str(self["curve"].initial or "").split()

    def clean(self) -> dict[str, Any]:
        """Typed words to SI, each refusal at its field."""
        for spec in self.specs:
            if spec.name in self.cleaned_data:
                self._clean_one(spec)
        for first, last in ENDS:
            self._clean_ends(first, last)
        if self.cleaned_data.get("main") and self.cleaned_data.get("end") != LineEnd.SHARED_MAIN:
            self.add_error("end", "A line that joins a main ends in a shared main; choose that.")
        if self.cleaned_data.get("curve"):
            self._clean_curve()
        return self.cleaned_data

    def _clean_ends(self, first: str, last: str) -> None:
        begins, ends = self.cleaned_data.get(first), self.cleaned_data.get(last)
        if begins and ends and ends < begins:
            self.add_error(last, "This lies before the beginning; mend one of the two.")

    def _clean_one(self, spec: Field) -> None:
        raw = self.cleaned_data[spec.name]
        try:
            if spec.quantity:
                self.cleaned_data[spec.name] = self._amount(spec, raw)
            elif spec.is_claim:
                self.cleaned_data[spec.name] = _claim(raw, may_be_unknown=spec.of.null)
            elif isinstance(raw, str):
                most = spec.of.max_length or 5000
                cleaned = clean_text(raw, most=most, what=f"“{spec.label}”")
                self.cleaned_data[spec.name] = cleaned
        except (AmountRefused, TextRefused) as refusal:
            self.add_error(spec.name, str(refusal))

    def _amount(self, spec: Field, raw: str) -> float | None:
        if not raw.strip():
            return None
        stored = getattr(self.row, spec.name) if self.row else None
        if stored is not None and raw.strip() == spec.typed(stored, self.units):
            return float(stored)
        return read_amount(raw, spec.quantity, self.units)

    def _clean_curve(self) -> None:
        points = []
        for line in self.cleaned_data["curve"].splitlines():
            flow, _, head = line.replace(",", " at ").partition(" at ")
            if not line.strip():
                continue
            try:
                points.append(
                    (read_amount(flow, "flow", self.units), read_amount(head, "head", self.units))
                )
            except AmountRefused:
                self.add_error("curve", f"“{line.strip()[:40]}”: write flow at head, as 25 at 18.")
        self.cleaned_data["curve"] = sorted(points)

    def values(self) -> dict[str, Any]:
        """What the record keeps: an empty value is not known."""
        told: dict[str, Any] = {name: self.cleaned_data[name] for name in self.chosen}
        for spec in self.specs:
            value = self.cleaned_data[spec.name]
            told[spec.name] = value
            if spec.has_how:
                how = self.cleaned_data.get(f"{spec.name}_how") or How.TOLD
                told[f"{spec.name}_how"] = How.UNKNOWN if value in (None, "") else how
        return told

    def fittings(self) -> dict[str, int]:
        """The fittings that are there."""
        found = {k: self.cleaned_data.get(f"fitting_{k}") for k in FittingKind.values}
        return {kind: count for kind, count in found.items() if count}


def _choice_field(choice: Choice, row: Kept | None) -> forms.Field:
    if choice.is_many:
        rows = list(choice.rows)
        return forms.TypedMultipleChoiceField(
            label=choice.label,
            choices=[(str(one.pk), choice.words(one)) for one in rows],
            coerce=lambda pk: next(one for one in rows if str(one.pk) == pk),
            widget=forms.CheckboxSelectMultiple,
            required=False,
            initial=[str(pk) for pk in choice.ticked],
        )
    field: Any = forms.ModelChoiceField(
        label=choice.label,
        queryset=choice.rows,
        required=choice.is_needed,
        empty_label=None if choice.is_needed else choice.empty,
        initial=getattr(row, f"{choice.name}_id", None),
    )
    field.label_from_instance = choice.words
    return field  # type: ignore[no-any-return]


def _curve_of(row: Any, units: UnitSystem) -> str:
    """The points as one would type them."""
    points = sorted(row.curve_points.all(), key=lambda p: p.flow_m3s) if row is not None else []
    return "\n".join(
        f"{number(p.flow_m3s, 'flow', units):.6g} at {number(p.head_m, 'head', units):.6g}"
        for p in points
    )


def _usual(spec: Field) -> Any:
    """What a new part begins with."""
    return spec.of.get_default() if spec.of.has_default() else None


def _claim(raw: str, *, may_be_unknown: bool) -> bool | None:
    told = {"yes": True, "no": False}.get(raw)
    return told if may_be_unknown or told is not None else False


def _widget_of(spec: Field, initial: str, units: UnitSystem) -> forms.Field:
    must = not spec.of.blank and not spec.of.null and not spec.quantity and not spec.has_how
    unit = spec.unit(units)
    common: dict[str, Any] = {
        "label": f"{spec.label} ({unit})" if unit else spec.label,
        "required": must and not spec.of.has_default(),
        "initial": initial,
    }
    if spec.is_claim:
        claims = CLAIMS if spec.of.null else CLAIMS[:0:-1]
        return forms.ChoiceField(choices=claims, **common | {"required": False})
    if spec.choices:
        none = [("", "choose" if must else "not known")]
        none = [] if must and spec.of.has_default() else none
        return forms.ChoiceField(choices=[*none, *spec.choices], **common | {"required": must})
    if spec.of.get_internal_type() == "DateField":
        return forms.DateField(widget=forms.DateInput(attrs={"type": "date"}), **common)
    if spec.of.get_internal_type() == "TimeField":
        return forms.TimeField(widget=forms.TimeInput(attrs={"type": "time"}), **common)
    if spec.of.get_internal_type() == "PositiveSmallIntegerField":
        least = 0 if spec.name == "looks_a_year" else 1
        return forms.IntegerField(min_value=least, max_value=99, **common | {"required": True})
    if spec.of.get_internal_type() == "TextField":
        return forms.CharField(widget=forms.Textarea(attrs={"rows": 3}), max_length=5000, **common)
    return forms.CharField(max_length=spec.of.max_length or 60, **common)
