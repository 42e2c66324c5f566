"""The past of one home: entered, handed over, looked at year by year, mended when it failed."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from drainservice.accounts.asker import Asker
from drainservice.inspections import actions as inspections
from drainservice.inspections.models import Inspection
from drainservice.inspections.models.record import InspectionRecord
from drainservice.visits import actions as visits
from drainservice.visits.models import Visit
from drainservice.web.demo.bookings import Office
from drainservice.web.demo.days import as_account
from drainservice.web.demo.looks import SOUND, Found, kinds_for, write_record
from drainservice.web.demo.places import Place

# Visits are kept since the office books with this server; before, it wrote inspections down.
BOOKED_SINCE_DAYS = 150
DEAD_SHARE = 0.05
FREED = Found(work="Float freed, pump cleaned and tested.")


def look_again(office: Office, places: list[Place], wanted: date) -> None:
    """One yearly look at all systems of a home, on or before the wanted day."""
    home, days = places[0].home, office.days
    windows = 1 if len(places) < 3 else 2
    to = office.window(home, wanted, step=-1, windows=windows)
    if (days.today - to.day).days > BOOKED_SINCE_DAYS:
        for place in places:
            write_down(office, place, to.day)
        return
    told_days = places[0].rng.randint(9, 24)
    visit = office.agreed(places, to, told_days=told_days)
    visit, arrived_at = office.reach(visit)
    for number, place in enumerate(places, start=1):
        left_at = arrived_at + timedelta(minutes=20 + 20 * number)
        dead = _is_dead(place)
        found = Found(pump_passed=not dead, note="Found dead." if dead else "")
        look_on_visit(office, visit, place, found, arrived_at=arrived_at, left_at=left_at)
        if dead:
            mend_later(office, place, to.day)


def look_on_visit(
    office: Office,
    visit: Visit,
    place: Place,
    found: Found,
    *,
    arrived_at: datetime,
    left_at: datetime,
    kinds: Sequence[str] = (),
) -> Inspection:
    """The technician records what was found; the visit is made when every system has its own."""
    assert visit.day is not None
    on = visit.day
    record = write_record(
        place,
        on,
        kinds=list(kinds) or kinds_for(place, on),
        found=found,
        arrived_at=arrived_at,
        left_at=left_at,
    )
    asker = as_account(place.home.technician, left_at)
    visit = office.again(visit, left_at)
    inspection = visits.record_at_visit(place.system, asker=asker, record=record, visit=visit)
    _follow(place, inspection, record, found, asker)
    return inspection


def write_down(office: Office, place: Place, on: date) -> None:
    """An inspection from before the server was there, for the office to write down."""
    record = write_record(
        place,
        on,
        kinds=kinds_for(place, on),
        found=SOUND,
        arrived_at=None,
        left_at=None,
        person_named=place.home.technician.person.name,
        origin="office",
    )
    place.last_on = on
    office.told.append((place.system, record))


def write_down_all(office: Office) -> None:
    """The dispatcher enters the firm's old records on the day the office begins to book here."""
    at = office.days.at(office.days.ago(BOOKED_SINCE_DAYS), 17)
    inspections.record_told(office.told, asker=as_account(office.county.dispatcher, at))


def mend_later(office: Office, place: Place, found_on: date, found: Found = FREED) -> None:
    """A second visit some days later proves the pump again."""
    wanted = found_on + timedelta(days=place.rng.randint(1, 3))
    to = office.window(place.home, wanted, step=1)
    if to.day >= office.days.today:
        return
    visit = office.agreed([place], to, told_days=1, purpose="mend the pump", looks=["pump"])
    visit, arrived_at = office.reach(visit)
    left_at = arrived_at + timedelta(minutes=50)
    look_on_visit(
        office, visit, place, found, arrived_at=arrived_at, left_at=left_at, kinds=["pump"]
    )


def _follow(
    place: Place, inspection: Inspection, record: InspectionRecord, found: Found, asker: Asker
) -> None:
    """What follows at once: downs and defects. Due dates are counted for all at the end."""
    place.last_on = inspection.on
    is_news = not found.pump_passed or place.is_down or record.defects_found or record.kinds_mended
    if is_news:
        inspections.after_inspection(
            asker=asker,
            inspection_id=str(inspection.pk),
            found=[[d.kind, d.part, d.note] for d in record.defects_found],
            mended=list(record.kinds_mended),
        )
        place.is_down = not found.pump_passed


def _is_dead(place: Place) -> bool:
    return place.story == "" and place.pump is not None and place.rng.random() < DEAD_SHARE
