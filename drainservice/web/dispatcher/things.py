"""What belongs to a site beside its systems: how each thing is found, entered and changed."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet

from drainservice.accounts import actions as people
from drainservice.accounts.asker import Asker, NotFound
from drainservice.accounts.models import Away, Channel, Household, Kept, Person
from drainservice.register import actions, queries
from drainservice.register.models import (
    Agreement,
    LocateTicket,
    Permit,
    SharedMain,
    Site,
    Surrounding,
)

Values = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Thing:
    """One kind of thing of a site. `owner` finds whose it is, where it is a person's or a
    household's; `acts` are the buttons beside Save, each with what it does."""

    model: type[Kept]
    title: str
    rows: Callable[[Site, date], "QuerySet[Any]"]
    change: Callable[[Any, Site, Asker, Values], Any]
    enter: Callable[[Any, Site, Asker, Values], Any] | None = None
    owner: Callable[[Site, date], "QuerySet[Any]"] | None = None
    off: Callable[..., Any] | None = None
    leave_out: tuple[str, ...] = ()
    lead: str = ""


def _change(row: Any, site: Site, asker: Asker, told: Values) -> Any:
    return actions.change_belonging(row, asker=asker, **told)


def _change_channel(row: Channel, site: Site, asker: Asker, told: Values) -> Any:
    return people.change_channel(row, asker=asker, **told)


def _enter_channel(person: Person, site: Site, asker: Asker, told: Values) -> Any:
    how = told.pop("consent_how")
    row = people.enter_channel(person, asker=asker, **told)
    return people.change_channel(row, asker=asker, consent_how=how) if how else row


def _enter_agreement(_: Any, site: Site, asker: Asker, told: Values) -> Any:
    return actions.enter_agreement(told.pop("payer"), asker=asker, **told)


def _change_agreement(row: Agreement, site: Site, asker: Asker, told: Values) -> Any:
    systems = told.pop("systems")
    actions.change_belonging(row, asker=asker, **told)
    actions.set_agreed(row, site, asker=asker, systems=systems)


THINGS: dict[str, Thing] = {
    "surrounding": Thing(
        Surrounding,
        "what stands near",
        lambda site, day: queries.surroundings_of(site),
        _change,
        lambda _, site, asker, told: actions.note_surrounding(site, asker=asker, **told),
        off=actions.take_off,
        lead="Trees bring roots, structures depend on the pump, nobody marks private lines.",
    ),
    "permit": Thing(
        Permit,
        "a permit",
        lambda site, day: queries.permits_of(site),
        _change,
        lambda _, site, asker, told: actions.note_permit(site, asker=asker, **told),
        off=actions.take_off,
        lead="Under which something was built here, or is kept.",
    ),
    "ticket": Thing(
        LocateTicket,
        "a locate ticket",
        lambda site, day: queries.locate_tickets_of(site),
        _change,
        lambda _, site, asker, told: actions.note_locate_ticket(site, asker=asker, **told),
        off=actions.take_off,
        lead="A dig is agreed within these days only. Private lines, our own pump feed too, are "
        "not marked.",
    ),
    "agreement": Thing(
        Agreement,
        "an agreement",
        queries.agreements_at,
        _change_agreement,
        _enter_agreement,
        off=actions.take_off,
        lead="When it ends asking stops; dangers are still told. No prices stand here.",
    ),
    "main": Thing(
        SharedMain,
        "a shared main",
        lambda site, day: queries.mains_at(site),
        lambda row, site, asker, told: actions.change_part(row, asker=asker, **told),
        lambda _, site, asker, told: actions.enter_main(asker=asker, sites=[site], **told),
        off=actions.take_main_off,
        lead="Recorded once, however many lines join it. A line joins it on its own page.",
    ),
    "person": Thing(
        Person,
        "a person",
        queries.people_at,
        lambda row, site, asker, told: people.change_person(row, asker=asker, **told),
        lead="The name as they write it.",
    ),
    "way": Thing(
        Channel,
        "a way to reach them",
        queries.channels_at,
        _change_channel,
        _enter_channel,
        owner=queries.people_at,
        off=people.take_off,
        leave_out=("consent_at", "bad_since"),
        lead="Mail carries the calendar entry and the whole text; telephone and letter are of "
        "equal standing.",
    ),
    "household": Thing(
        Household,
        "a household",
        queries.households_at,
        lambda row, site, asker, told: people.change_household(row, asker=asker, **told),
        leave_out=("link_number", "asking_stopped_at", "asking_stopped_because"),
        lead="The people who are told together.",
    ),
    "away": Thing(
        Away,
        "days away",
        queries.aways_at,
        lambda row, site, asker, told: people.change_away(row, asker=asker, **told),
        lambda home, site, asker, told: people.enter_away(home, asker=asker, **told),
        owner=queries.households_at,
        off=people.take_off,
        lead="Days on which nobody is home.",
    ),
}
# Buttons beside Save: the word sent, what stands on it, what is said afterwards.
Act = tuple[str, str, str]


def acts_of(what: str, row: Any) -> list[Act]:
    """What else can be done with it as it stands."""
    acts: list[Act] = []
    if what == "way":
        acts = [("good", "It reaches them again", "good")]
        if row.bad_since is None:
            acts = [("bad", "It reaches nobody", "bad")]
    if what == "household":
        acts = [("stop", "Ask them nothing any more", "stopped")]
        if row.asking_stopped_at is not None:
            acts = [("again", "Ask them again", "asked_again")]
        acts.append(("end_links", "End every link they hold", "links_ended"))
    if THINGS[what].off is not None:
        acts.append(("off", "Take it off the record", "taken_off"))
    return acts


def act_on(what: str, row: Any, act: str, asker: Asker) -> None:
    """Do one of them. Errors: NotFound, CannotBeDone."""
    off = THINGS[what].off
    doing: dict[tuple[str, str], Callable[[], Any]] = {
        ("way", "bad"): lambda: people.mark_channel(row, asker=asker, is_bad=True),
        ("way", "good"): lambda: people.mark_channel(row, asker=asker, is_bad=False),
        ("household", "stop"): lambda: people.stop_asking(
            row, asker=asker, because="asked for by telephone"
        ),
        ("household", "again"): lambda: people.ask_again(row, asker=asker),
        ("household", "end_links"): lambda: people.end_links(row, asker=asker),
    }
    if act == "off" and off is not None:
        off(row, asker=asker)
    elif (what, act) in doing:
        doing[what, act]()
    else:
        raise NotFound
