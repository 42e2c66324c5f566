"""What planning knows of the crew, thing by thing: how each is found, entered, changed, ended."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.urls import reverse

from drainservice.accounts.asker import Asker
from drainservice.accounts.models import Account
from drainservice.visits import actions
from drainservice.visits import queries as visits
from drainservice.visits.models import (
    Absence,
    Area,
    Barrier,
    ClosedDay,
    HomeBase,
    Skill,
    Van,
    VanOut,
)
from drainservice.web.dispatcher.crew_forms import (
    AreaForm,
    BarrierForm,
    BaseForm,
    ClosedForm,
    KnownForm,
    SkillForm,
    SpanForm,
    VanForm,
    VanOutForm,
    known_span,
)

Values = dict[str, Any]


@dataclass(frozen=True, slots=True)
class CrewThing:
    """One kind of thing. `of` says whose it is: nobody's, a technician's ("own") or a van's."""

    title: str
    lead: str
    form: type[KnownForm]
    rows: Callable[[], "QuerySet[Any]"]
    known: Callable[[Any, str], Values]
    enter: Callable[[Any, Asker, Values], Any]
    change: Callable[[Any, Asker, Values], Any]
    off: Callable[..., Any]
    of: str = ""

    @property
    def is_timed(self) -> bool:
        """Whether its form needs the firm's zone."""
        return issubclass(self.form, SpanForm)


def page_of(row: Any) -> str:
    """Where a thing is read: the page of whose it is, else the crew's."""
    account = getattr(row, "account", None)
    return reverse("crew-member", args=[account.handle]) if account else reverse("crew")


def _span(row: Any, zone: str) -> Values:
    return known_span(row.from_at, row.until_at, zone) | {"because": row.because}


def _fields(*names: str) -> Callable[[Any, str], Values]:
    return lambda row, zone: {name: getattr(row, name) for name in names}


def _known_area(row: Area, zone: str) -> Values:
    return {"name": row.name, "corners": _lines(row.corners)}


def _known_barrier(row: Barrier, zone: str) -> Values:
    return {"name": row.name, "line": _lines(row.line), "crossings": _lines(row.crossings)}


def _lines(points: list[list[float]]) -> str:
    return "\n".join(f"{lat}, {lon}" for lat, lon in points)


def _known_van(row: Van, zone: str) -> Values:
    return {"name": row.name, "carries": ", ".join(row.carries)}


def _change_skill(row: Skill, asker: Asker, told: Values) -> Any:
    return actions.change_skill(row, asker=asker, valid_until=told["valid_until"])


def _own(model: Any) -> Callable[[], "QuerySet[Any]"]:
    return lambda: visits.crew_rows(model, "account__person")


THINGS: dict[str, CrewThing] = {
    "absence": CrewThing(
        "an absence",
        "Whole days where no times are typed. The reason is for the office alone.",
        SpanForm,
        _own(Absence),
        _span,
        lambda who, asker, told: actions.enter_absence(who, asker=asker, **told),
        lambda row, asker, told: actions.change_absence(row, asker=asker, **told),
        actions.remove_absence,
        of="own",
    ),
    "skill": CrewThing(
        "a skill",
        "What a visit may need and not everybody may do. What their van carries counts beside it.",
        SkillForm,
        _own(Skill),
        _fields("word", "valid_until"),
        lambda who, asker, told: actions.give_skill(who, asker=asker, **told),
        _change_skill,
        actions.take_skill,
        of="own",
    ),
    "area": CrewThing(
        "an area",
        "Where they usually go. They may be sent elsewhere, at the price that planning goes by.",
        AreaForm,
        _own(Area),
        _known_area,
        lambda who, asker, told: actions.draw_area(who, asker=asker, **told),
        lambda row, asker, told: actions.change_area(row, asker=asker, **told),
        actions.take_area,
        of="own",
    ),
    "base": CrewThing(
        "a base",
        "Where rounds begin and end. Who has no base of their own begins at the first.",
        BaseForm,
        lambda: visits.crew_rows(HomeBase),
        _fields("name", "address", "latitude", "longitude"),
        lambda _, asker, told: actions.enter_base(asker=asker, **told),
        lambda row, asker, told: actions.change_base(row, asker=asker, **told),
        actions.take_base_off,
    ),
    "barrier": CrewThing(
        "water or a ridge",
        "Drives that would cross it are reckoned by the nearest crossing. Times that a road "
        "service told know of it already.",
        BarrierForm,
        lambda: visits.crew_rows(Barrier),
        _known_barrier,
        lambda _, asker, told: actions.draw_barrier(asker=asker, **told),
        lambda row, asker, told: actions.change_barrier(row, asker=asker, **told),
        actions.take_barrier_off,
    ),
    "van": CrewThing(
        "a van",
        "What it carries counts as a skill of whoever drives it.",
        VanForm,
        lambda: visits.crew_rows(Van),
        _known_van,
        lambda _, asker, told: actions.enter_van(asker=asker, **told),
        lambda row, asker, told: actions.change_van(row, asker=asker, **told),
        actions.take_van_off,
    ),
    "out": CrewThing(
        "days on which a van is out",
        "Whoever drives it cannot go then; give them another van if there is one.",
        VanOutForm,
        lambda: visits.crew_rows(VanOut, "van"),
        _span,
        lambda van, asker, told: actions.enter_van_out(van, asker=asker, **told),
        lambda row, asker, told: actions.change_van_out(row, asker=asker, **told),
        actions.remove_van_out,
        of="van",
    ),
    "closed": CrewThing(
        "closed days",
        "Nobody drives then. Public holidays are closed by themselves.",
        ClosedForm,
        lambda: visits.crew_rows(ClosedDay),
        _fields("first_on", "last_on", "name", "is_worked"),
        lambda _, asker, told: actions.close_days(asker=asker, **told),
        lambda row, asker, told: actions.change_closed_days(row, asker=asker, **told),
        actions.take_closed_days_off,
    ),
}


def whose(row: Any) -> Account | Van | None:
    """The technician or the van it is of."""
    return getattr(row, "account", None) or getattr(row, "van", None)
