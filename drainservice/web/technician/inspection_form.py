"""What was tapped and typed on the inspection page, judged, and made into a record."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from drainservice.accounts import wall
from drainservice.accounts.text import TextRefused, clean_line
from drainservice.engine.units import UnitSystem, show
from drainservice.inspections.models import WhyNot
from drainservice.inspections.models.reading_kinds import KINDS
from drainservice.inspections.models.record import (
    DefectRecord,
    InspectionRecord,
    LookRecord,
    ReadingRecord,
)
from drainservice.web.amounts import AmountRefused, read_amount
from drainservice.web.technician.looks import ASIDES, Choice, LookPage, Number
from drainservice.web.wrong import FOUND_ON_SITE, part_of

FINDINGS = range(1, 4)
PLAIN = {"count", "voltage", "yes_no"}


@dataclass
class Asked:
    """One look as it stands on the page: what was chosen, the readings, what is wrong with them."""

    page: LookPage
    is_wanted: bool
    word: str = ""
    why_not: str = ""
    note: str = ""
    readings: dict[str, float] = field(default_factory=dict)
    faults: dict[str, str] = field(default_factory=dict)

    @property
    def choice(self) -> Choice | None:
        """The choice that was tapped, if it is one of the look's own."""
        return next((c for c in self.page.choices if c.word == self.word), None)

    @property
    def is_touched(self) -> bool:
        """Whether anything was said of it."""
        return bool(self.word or self.readings or self.note or self.faults)


class InspectionForm:
    """The page's values, kept as typed; `looks` holds them judged."""

    def __init__(
        self,
        values: Mapping[str, str],
        *,
        pages: list[LookPage],
        wanted: set[str],
        system: UnitSystem,
        zone: str,
    ) -> None:
        self.values = values
        self.system = system
        self.zone = zone
        self.faults: list[str] = []
        self.asks_day = bool(values.get("on"))
        self.looks = [self._read_look(page, page.kind in wanted) for page in pages]

    def record(self, *, today: date) -> InspectionRecord | None:
        """The whole record, or None with the reasons standing in `faults` and in each look."""
        number, begun_at = self._id(), self._begun_at()
        on = self._on(begun_at, today)
        self._judge()
        looks = tuple(self._look_record(look) for look in self.looks if look.is_touched)
        if not looks and not self.faults:
            self.faults.append("Say of at least one look what you saw.")
        found = (*self._tapped_defects(), *self._written_defects())
        if self.faults or any(look.faults for look in self.looks):
            return None
        return InspectionRecord(
            id=number,
            on=on,
            looks=looks,
            arrived_at=begun_at if on == self._day_of(begun_at) else None,
            work_lines=self._get("work"),
            note=self._get("note"),
            defects_found=found,
            corrects=uuid.UUID(self._get("corrects")) if self._get("corrects") else None,
            kinds_mended=tuple(k for k in FOUND_ON_SITE if self._get(f"mended.{k}")),
        )

    def _get(self, name: str) -> str:
        return str(self.values.get(name, "")).strip()

    def _note(self, name: str) -> str:
        """A line of the technician's own, as it can be stored."""
        try:
            return clean_line(self._get(name), most=1000, what="What you found")
        except TextRefused as refused:
            self.faults.append(str(refused))
            return ""

    def _id(self) -> uuid.UUID:
        try:
            return uuid.UUID(self._get("id"))
        except ValueError:
            self.faults.append("This page lost its number. Load it again and enter it once more.")
            return uuid.UUID(int=0)

    def _begun_at(self) -> datetime | None:
        try:
            at = datetime.fromisoformat(self._get("begun_at"))
        except ValueError:
            return None
        return at if at.tzinfo else None

    def _day_of(self, at: datetime | None) -> date | None:
        return wall.local(at, self.zone).date() if at else None

    def _on(self, begun_at: datetime | None, today: date) -> date:
        """The day of the look. A page opened on an earlier day is asked which day it tells of;
        nothing else is guessed, so that the same page sent again says the same."""
        opened_on = self._day_of(begun_at) or today
        if self._get("on"):
            try:
                return date.fromisoformat(self._get("on"))
            except ValueError:
                self.faults.append("The day cannot be read; write it like 2027-05-12.")
                return opened_on
        if opened_on != today:
            self.asks_day = True
            self.faults.append(
                f"You opened this page on {opened_on.day} {opened_on:%B}. Write the day on which "
                "you looked, then close again."
            )
        return opened_on

    def _read_look(self, page: LookPage, is_wanted: bool) -> Asked:
        key = page.key
        what, why_not, note = (self._get(f"{key}.{name}") for name in ("what", "why_not", "note"))
        look = Asked(page, is_wanted, what, why_not, note)
        for number in (*page.numbers, *page.more):
            self._read_number(look, number)
        for kind, _, _, _ in ASIDES.get(page.kind, ()):
            if self._get(f"{key}.{kind}") in {"0", "1"}:
                look.readings[kind] = float(self._get(f"{key}.{kind}"))
        if not look.word and any(c.needs in look.readings for c in page.choices if c.needs):
            # A number says by itself that it was measured.
            look.word = next(c.word for c in page.choices if c.needs in look.readings)
        return look

    def _read_number(self, look: Asked, number: Number) -> None:
        typed = self._get(f"{look.page.key}.{number.kind}")
        if not typed:
            return
        row = KINDS[number.kind]
        try:
            value = read_amount(typed, number.quantity, self.system)
        except AmountRefused as refused:
            look.faults[number.kind] = str(refused)
            return
        if not row.low <= value <= row.high:
            low, high = (_say(v, number.quantity, self.system) for v in (row.low, row.high))
            look.faults[number.kind] = (
                f"{typed!r} cannot be: it lies between {low} and {high}. Read it again."
            )
            return
        look.readings[number.kind] = value

    def _judge(self) -> None:
        for look in self.looks:
            if look.word == "not_done" and look.why_not not in WhyNot.values:
                look.faults["what"] = "Say why it could not be done."
            elif look.word and look.word not in {"not_done", "in_part"} and look.choice is None:
                look.faults["what"] = "Choose one of the answers shown."
            elif not look.word and (look.is_wanted or look.is_touched):
                look.faults.setdefault("what", "Say what you saw, or why it could not be done.")
            elif look.choice and look.choice.needs and look.choice.needs not in look.readings:
                look.faults.setdefault(look.choice.needs, "Write the number down.")
            self._judge_pump_down(look)

    def _judge_pump_down(self, look: Asked) -> None:
        """Three numbers make a pump-down; one alone tells no flow."""
        three = {n.kind for n in look.page.numbers} if look.page.kind in SETS else set()
        missing = three - set(look.readings) - set(look.faults)
        if missing and missing != three and not three & set(look.faults):
            words = ", ".join(KINDS[kind].words for kind in sorted(missing))
            look.faults[sorted(missing)[0]] = (
                f"Three numbers belong together; still missing: {words}. Add it, or empty the rest."
            )

    def _look_record(self, look: Asked) -> LookRecord:
        choice = look.choice
        readings = dict(look.readings)
        if choice is not None:
            # A typed number is a measurement and stands; "as last time" is a tap that was meant.
            tapped = dict(choice.readings)
            readings = readings | tapped if choice.word == "same" else tapped | readings
        outcome = choice.outcome if choice else look.word
        if outcome == "not_done":
            readings = {}
        return LookRecord(
            kind=look.page.kind,
            outcome=outcome or "in_part",
            why_not=look.why_not if outcome == "not_done" else "",
            passed=choice.passed if choice else None,
            pump_position=look.page.position,
            note=look.note or (choice.says if choice and choice.passed is False else ""),
            readings=tuple(ReadingRecord(kind, value) for kind, value in sorted(readings.items())),
        )

    def _tapped_defects(self) -> list[DefectRecord]:
        kinds = [look.choice.defect for look in self.looks if look.choice and look.choice.defect]
        seen = {kind: value for look in self.looks for kind, value in look.readings.items()}
        if seen.get("fabric_is_whole") == 0:
            kinds.append("fabric_is_torn")
        if seen.get("roots_seen") == 1:
            kinds.append("roots")
        return [DefectRecord(kind, part_of(kind)) for kind in kinds]

    def _written_defects(self) -> list[DefectRecord]:
        tapped = {defect.kind for defect in self._tapped_defects()}
        found = []
        for place in FINDINGS:
            kind, note = self._get(f"found{place}.kind"), self._note(f"found{place}.note")
            if not kind and note:
                kind = "something_else"
            if kind in FOUND_ON_SITE and kind not in tapped:
                found.append(DefectRecord(kind, part_of(kind), note))
        return found


SETS = {"pump", "percolation"}


def _say(value: float, quantity: str, system: UnitSystem) -> str:
    return f"{value:g}" if quantity in PLAIN else show(value, quantity, system)
