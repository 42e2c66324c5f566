"""A small firm with a week of work: two technicians, one yard, sites round it, agreed and planned
visits. The days are those of the week of Monday 10 May 2027."""

from datetime import date, time, timedelta

from drainservice.accounts.models import Account
from drainservice.visits import actions
from drainservice.visits.models import HomeBase, State, Visit
from drainservice.visits.queries import Window
from tests import makers

TUESDAY, WEDNESDAY = date(2027, 5, 11), date(2027, 5, 12)
DAYS = [TUESDAY, WEDNESDAY]
YARD = (47.25, -122.44)


def crew(*handles: str) -> list[Account]:
    """Technicians who start from one yard."""
    people = [makers.make_account(handle) for handle in handles or ("andrea", "basil")]
    if not HomeBase.objects.exists():
        HomeBase.objects.create(name="The yard", latitude=YARD[0], longitude=YARD[1])
    return people


def site(number: int, north: float = 0.0, east: float = 0.0, **values):
    """A property so many degrees from the yard."""
    told = {"latitude": YARD[0] + north, "longitude": YARD[1] + east} | values
    return makers.make_site(f"{number} Alder Rd", **told)


def planned(where, *, minutes: int = 45, meant_for=date(2027, 5, 10), **values) -> Visit:
    """Meant for the week; nobody was told."""
    visit = actions.plan_visit(
        where,
        asker=makers.clock(),
        purpose="look",
        systems={},
        meant_for=meant_for,
        minutes=minutes,
    )
    Visit.objects.filter(pk=visit.pk).update(**values)
    return Visit.objects.get(pk=visit.pk)


def booked(where, who: Account, day: date, from_h: int, *, state=State.AGREED, **values) -> Visit:
    """Promised from an hour on, for two hours; planned to start with the window unless told."""
    visit = planned(where, **values)
    starts_at = Window(day, time(from_h), time(from_h + 2)).starts_at(where.zone)
    Visit.objects.filter(pk=visit.pk).update(
        state=state,
        technician=who,
        day=day,
        window_from=time(from_h),
        window_to=time(from_h + 2),
        window_starts_at=starts_at,
        window_ends_at=starts_at + timedelta(hours=2),
        slot_starts_at=starts_at,
        slot_ends_at=starts_at + timedelta(minutes=visit.minutes),
    )
    return Visit.objects.get(pk=visit.pk)


def week(seed_sites: int = 4) -> dict:
    """Agreed: Andrea Tuesday 8 to 10 in the north and 13 to 15 in the south; Basil Tuesday 9 to 11
    in the south. Planned: some sites, half of them north, half south."""
    andrea, basil = crew()
    agreed = [
        booked(site(1, north=0.05), andrea, TUESDAY, 8),
        booked(site(2, north=-0.05), andrea, TUESDAY, 13),
        booked(site(3, north=-0.04, east=0.01), basil, TUESDAY, 9),
    ]
    meant = [
        planned(site(10 + n, north=0.05 if n % 2 else -0.05, east=0.004 * n))
        for n in range(seed_sites)
    ]
    return {"andrea": andrea, "basil": basil, "agreed": agreed, "meant": meant}


def crew_accounts() -> list[Account]:
    """Everybody who goes out."""
    return list(Account.objects.filter(role="technician").order_by("pk"))
