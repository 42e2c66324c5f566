"""What happened at the homes with a story, on top of their yearly looks."""

from collections.abc import Callable
from datetime import timedelta

from drainservice.inspections import actions as inspections
from drainservice.inspections.models import Down
from drainservice.register import actions as register
from drainservice.visits import actions as visits
from drainservice.web.demo.bookings import Office
from drainservice.web.demo.county import curve_of
from drainservice.web.demo.days import as_account, as_household, machine
from drainservice.web.demo.ground import pump_values
from drainservice.web.demo.history import look_on_visit, mend_later
from drainservice.web.demo.looks import Found, kinds_for, unreached
from drainservice.web.demo.places import Place


def no_spare(office: Office, place: Place) -> None:
    """Found dead five days ago, no spare: down with a clock, a borrowed pump stands in."""
    _visit_and_find(
        office, place, 5, Found(pump_passed=False, note="Dead, and no such pump in the van.")
    )
    at = office.days.at(office.days.ago(5), 17)
    down = _open_down(place)
    inspections.note_stop_gap(
        down,
        asker=as_account(office.county.dispatcher, at),
        stop_gap="a borrowed utility pump with a hose to the street",
        told=True,
    )
    inspections.recommend(
        place.system,
        asker=as_account(office.county.dispatcher, at),
        what="Replace the pump",
        why="It hums and does not turn; the windings are gone.",
    )


def swapped(office: Office, place: Place) -> None:
    """Found dead within its warranty, changed four days later: serials, claim, a new clock."""
    assert place.pump is not None
    _visit_and_find(office, place, 210, Found(pump_passed=False, note="Dead within its warranty."))
    on = office.days.ago(206)
    at = office.days.at(on, 9)
    values = pump_values(place.build, office.county, "measured")
    values |= {"serial": "TV-R-20417", "warranty_claim": "claim 1182, agreed by the maker"}
    register.change_part(
        place.pump, asker=machine(at), warranty_claim="claim 1182, sent with both serials"
    )
    place.pump = register.replace_pump(
        place.pump,
        asker=as_account(place.home.technician, at),
        on=on,
        because="dead within its warranty",
        curve=curve_of(place.build.pump),
        **values,
    )
    _visit_and_find(office, place, 206, Found(work="New pump set and tested."), kinds=["pump"])


def pavers(office: Office, place: Place) -> None:
    """New paving lies on the lid: no access, the dates stay, making it reachable becomes due."""
    days = office.days
    to = office.window(place.home, days.ago(20), step=-1)
    visit = office.agreed([place], to, told_days=12)
    at = office.moment(to.day, to.from_, 25)
    asker = as_account(place.home.technician, at)
    record = unreached(place, to.day, "lid_covered", "Have two pavers lifted over the lid.")
    inspections.record_inspection(place.system, asker=asker, record=record)
    visits.miss_visit(visit, asker=asker, because="New pavers lie on the lid.")
    advice = inspections.recommend(
        place.system,
        asker=as_account(office.county.dispatcher, days.at(to.day, 17)),
        what="Bring the lid up to grade",
        why="New pavers lie on it: nobody can look until it is reachable.",
    )
    inspections.answer_recommendation(
        advice,
        asker=as_account(office.county.dispatcher, days.at(days.ago(14), 11)),
        answer="no_answer",
        on=days.ago(14),
    )


def dog(office: Office, place: Place) -> None:
    """A loose dog nine days ago; asked about it, and agreed again for today."""
    to = office.window(place.home, office.days.ago(9), step=-1)
    visit = office.agreed([place], to, told_days=10)
    at = office.moment(to.day, to.from_, 15)
    asker = as_account(place.home.technician, at)
    record = unreached(place, to.day, "dog", "Ask that the dog stays in.")
    inspections.record_inspection(place.system, asker=asker, record=record)
    visits.miss_visit(visit, asker=asker, because="A dog was loose in the yard.")


def proved_false(office: Office, place: Place) -> None:
    """Their bucket test said it ran; four weeks later it was found dead, then mended."""
    days = office.days
    home = place.home
    inspections.give_self_check(
        place.system,
        asker=as_household(home.person, home.household, days.at(days.ago(62), 11)),
        answer="ran_and_stopped",
        on=days.ago(62),
    )
    _visit_and_find(office, place, 40, Found(pump_passed=False, note="Float stuck for weeks."))
    mend_later(office, place, days.ago(40))


def declined(office: Office, place: Place) -> None:
    """Silt traps were advised and declined."""
    days = office.days
    advice = inspections.recommend(
        place.system,
        asker=as_account(office.county.dispatcher, days.at(days.ago(59), 15)),
        what="Fit leaf traps at the downspouts",
        why="What the gutters carry ends in the pit; it drains slower each year.",
    )
    inspections.answer_recommendation(
        advice,
        asker=as_household(place.home.person, place.home.household, days.at(days.ago(52), 19)),
        answer="declined",
        on=days.ago(52),
    )


def roots(office: Office, place: Place) -> None:
    """The clogging pit: roots at the rim were found and written down as a defect."""
    on = place.last_on
    assert on is not None
    asker = as_account(place.home.technician, office.days.at(on, 16))
    inspections.find_defect(
        place.system,
        asker=asker,
        kind="roots_in_pit",
        part="pit",
        note="Fine roots through the stone on the side of the maple.",
        found_on=on,
    )


def out_of_use(office: Office, place: Place) -> None:
    """The household no longer wants it looked after."""
    at = office.days.at(office.days.ago(420), 14)
    register.set_status(
        place.system, asker=as_account(office.county.dispatcher, at), status="out_of_use"
    )


STORIES: dict[str, Callable[[Office, Place], None]] = {
    "no_spare": no_spare,
    "swapped": swapped,
    "pavers": pavers,
    "dog": dog,
    "proved_false": proved_false,
    "slowing": declined,
    "clogging": roots,
    "out_of_use": out_of_use,
}
# These inspections are the story's own; yearly looks leave them out.
OWN_AGES = {"no_spare": {5}, "swapped": {210, 206}, "pavers": {20}, "proved_false": {36, 40}}


def _visit_and_find(
    office: Office, place: Place, days_ago: int, found: Found, kinds: list[str] | None = None
) -> None:
    on = office.days.ago(days_ago)
    to = office.window(place.home, on, step=-1 if kinds is None else 1)
    told_days = 12 if kinds is None else 1
    visit = office.agreed([place], to, told_days=told_days, looks=kinds)
    visit, arrived_at = office.reach(visit)
    look_on_visit(
        office,
        visit,
        place,
        found,
        arrived_at=arrived_at,
        left_at=arrived_at + timedelta(minutes=55),
        kinds=kinds or kinds_for(place, to.day),
    )


def _open_down(place: Place) -> Down:
    assert place.pump is not None
    down: Down = place.pump.downs.get(proven_at__isnull=True)
    return down
