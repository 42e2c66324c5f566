"""How states, days and amounts read: whole phrases, in the firm's units and clock."""

from datetime import date, datetime, time, timedelta
from typing import Any

from django import template
from django.utils.safestring import SafeString, mark_safe

from drainservice.accounts import wall
from drainservice.accounts.queries import firm as the_firm
from drainservice.engine.drawings.pit_mark import Soon, draw_pit_mark
from drainservice.engine.explain import LOOKS
from drainservice.engine.units import UnitSystem, show
from drainservice.inspections.models import Due
from drainservice.reminders.mail import phrases
from drainservice.visits.models import State, Visit
from drainservice.web.wrong import defect_words

register = template.Library()
CLEAR_DAYS = 60
NOW_DAYS = 7


@register.filter
def day(value: date | None) -> str:
    """Tue 12 May, with the year where it is not this one's neighbour."""
    return f"{value:%a} {value.day} {value:%b}" if value else ""


@register.filter
def long_day(value: date | None) -> str:
    """Tuesday 12 May 2027."""
    return f"{value:%A} {value.day} {value:%B} {value:%Y}" if value else ""


@register.filter
def year_day(value: date | None) -> str:
    """12 May 2027."""
    return f"{value.day} {value:%B} {value:%Y}" if value else ""


@register.filter
def hour(value: time | datetime | None) -> str:
    """8, 8:30: no zeros nobody would say."""
    if value is None:
        return ""
    return f"{value.hour}:{value:%M}" if value.minute else f"{value.hour}"


@register.filter
def window(visit: Visit) -> str:
    """8 to 10."""
    if visit.window_from is None:
        return ""
    return f"{hour(visit.window_from)} to {hour(visit.window_to)}"


@register.filter
def site_time(at: datetime | None, site: Any) -> str:
    """8:05 on the site's clock."""
    return f"{wall.local(at, site.zone):%-H:%M}" if at else ""


@register.filter
def firm_time(at: datetime | None) -> str:
    """Mon 10 May 2027, 8:00 on the firm's clock."""
    if at is None:
        return ""
    firm = the_firm()
    here = wall.local(at, firm.zone if firm else "UTC")
    return f"{here:%a} {here.day} {here:%b} {here:%Y}, {here:%-H:%M}"


@register.filter
def visit_phrase(visit: Visit) -> str:
    """The visit's state as a whole phrase."""
    when = f"{day(visit.day)}, {window(visit)}"
    who = visit.technician.person.name.split()[0] if visit.technician else "Somebody"
    zone = visit.site.zone

    def at(moment: datetime | None) -> str:
        return f"{wall.local(moment, zone):%-H:%M}" if moment else ""

    if visit.state == State.PLANNED:
        if visit.meant_for is None:
            return "Meant to be made; nobody has been told."
        monday = visit.meant_for - timedelta(days=visit.meant_for.weekday())
        return f"Meant for the week of {monday.day} {monday:%B}; nobody has been told."
    if visit.state == State.OFFERED:
        return f"Offered {when}; waiting for the answer."
    if visit.state == State.HELD:
        return f"{when}: kept free until {at(visit.held_until)}."
    if visit.state == State.AGREED:
        if visit.was_moved and visit.moved_from_day:
            return f"Now {when}; it was {day(visit.moved_from_day)}."
        return f"Agreed for {when}."
    if visit.state == State.AT_PIT:
        return f"{who} has been at the pit since {at(visit.arrived_at)}."
    if visit.state == State.MADE:
        return f"Made on {_said_day(visit.day)}; the report has gone out."
    if visit.state == State.NOT_REACHED:
        return "We came and could not reach the lid."
    off = wall.local(visit.called_off_at, zone).date() if visit.called_off_at else None
    return f"Called off by {visit.called_off_by or 'us'} on {_said_day(off)}."


def due_state(due: Due, today: date) -> str:
    """clear, later, now, past or unseen: read off the day, never stored."""
    if due.due_on is None:
        return "unseen"
    left = (due.due_on - today).days
    if left < 0:
        return "past"
    if left <= NOW_DAYS:
        return "now"
    return "later" if left <= CLEAR_DAYS else "clear"


def due_phrase(due: Due, today: date) -> str:
    """When it is due, as a phrase."""
    state = due_state(due, today)
    if due.due_on is None:
        return "Cannot be judged: nothing to judge by."
    left = (due.due_on - today).days
    on = f"{due.due_on.day} {due.due_on:%B}" + ("" if abs(left) < 330 else f" {due.due_on:%Y}")
    if state == "past":
        over = -left
        return f"Due since {on}, {over} {'day' if over == 1 else 'days'} over."
    if state == "now":
        return "Due today." if left == 0 else f"Due this week, by {on}."
    if state == "later":
        return f"Due {on}, {left} days left."
    return f"Nothing due before {due.due_on.day} {due.due_on:%B} {due.due_on:%Y}."


@register.simple_tag
def due_words(due: Due, today: date) -> str:
    """The phrase, in a template."""
    return due_phrase(due, today)


@register.simple_tag
def due_mark(due: Due, today: date) -> SafeString:
    """The pit mark: how soon, as a drawing of our own with its own words."""
    return mark_safe(draw_pit_mark(Soon(due_state(due, today)), f"due-{due.pk}"))


@register.filter
def amount(value: float | None, quantity: str) -> str:
    """A number in SI as the firm reads it: 38 gpm, 4 ft 6 in; "not known" where it is empty."""
    if value is None:
        return "not known"
    firm = the_firm()
    return show(value, quantity, UnitSystem(firm.units if firm else "trade"))


@register.filter
def lid(code: str) -> str:
    """K7Q-4MD."""
    return f"{code[:3]}-{code[3:]}"


@register.filter
def count_of(number: int, words: str) -> str:
    """2 systems, 1 system: "system,systems"."""
    one, many = words.split(",")
    return f"{number} {one if number == 1 else many}"


@register.filter
def look_words(kind: str) -> str:
    """What a kind of look or due asks for: Test the pump."""
    return LOOKS.get(kind) or {"mend": "Mend it", "access": "Make the lid reachable"}.get(
        kind, kind
    )


@register.filter
def wrong_words(kind: str) -> str:
    """What a kind of defect is called."""
    return defect_words(kind)


@register.filter
def fact_words(fact: str) -> str:
    """pit.depth_m as it is said: pit, depth."""
    part, _, name = fact.partition(".")
    for unit in ("_m3", "_m2", "_m", "_w", "_kg", "_ms"):
        name = name.removesuffix(unit)
    return f"{part}, {name.replace('_', ' ')}" if name else part


@register.filter
def plainly(word: str) -> str:
    """A stored word as it is said: no_weep_hole is no weep hole."""
    return str(word).replace("_", " ")


@register.filter
def telephone(number: str) -> str:
    """503-555-0142: digits as they are read out."""
    digits, _, extension = number.partition(" x")
    if digits.isdigit() and len(digits) == 10:
        digits = f"{digits[:3]}-{digits[3:6]}-{digits[6:]}"
    return f"{digits} x{extension}" if extension else digits


# What gave a due date its day, as an answer to "why this day?".
CHOSEN_BY = {
    "interval": "the pump's own interval",
    "season": "the wet season",
    "cap": "no look waits longer",
    "type_cap": "your catalogue",
    "rule": "a rule of the place",
    "trend": "the trend of its readings",
    "frost": "hard frost",
    "never_looked_at": "nobody has looked yet",
    "down": "the pump is down",
    "lid_covered": "the lid cannot be reached",
    "defect": "a defect that cannot wait",
}


@register.filter
def firm_day(at: datetime | None) -> str:
    """12 May 2027 on the firm's clock."""
    if at is None:
        return ""
    firm = the_firm()
    return year_day(wall.local(at, firm.zone if firm else "UTC").date())


@register.filter
def inspection_words(inspection: Any) -> str:
    """Last seen 12 May 2027: what its tests said."""
    if inspection is None:
        return ""
    says: list[str] = []
    for look in inspection.looks.all():
        if look.kind == "pump" and look.passed is not None:
            says.append("the pump ran and stopped" if look.passed else "the pump did not pump")
        # "Well within the limit" says nothing without what was looked at.
        name = "" if look.kind == "pump" else f"{look.get_kind_display()}: "
        says += [f"{name}{r.verdict_words}" for r in look.results.all() if r.verdict]
    words = "; ".join(dict.fromkeys(says)) or "no test was measured"
    return f"Last looked at on {year_day(inspection.on)}: {words}."


def _said_day(value: date | None) -> str:
    return f"{value.day} {value:%B}" if value else "an unknown day"


@register.filter
def first_name(name: str) -> str:
    """Andrea, of Andrea Holm."""
    return name.split()[0] if name.split() else name


@register.filter
def promised(visit: Visit) -> str:
    """Tuesday 12 May 2027, 8 to 10 am, in the language that is spoken."""
    return phrases.when(visit)
