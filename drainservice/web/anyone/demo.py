"""The household whose page the demonstration shows."""

from datetime import datetime

from drainservice.accounts import asker as askers
from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.links import HouseholdLink, write_link
from drainservice.accounts.models import Household, Person
from drainservice.register.queries import people_asked
from drainservice.visits import queries as visits
from drainservice.visits.models import Visit


def household_address(*, at: datetime) -> str:
    """The page of a household that answers as a rule and is asked now; empty where there is none,
    or no demonstration."""
    firm = accounts.firm()
    if firm is None or not firm.is_demo:
        return ""
    asker = askers.command(at, door="demo")
    for visit in visits.unanswered(asker, today=wall.today_in(firm.zone, at)):
        if not visits.visits_of_site(asker, visit.site).filter(answers__word="yes").exists():
            continue
        found = _who_is_asked(visit)
        if found is not None:
            person, household = found
            link = HouseholdLink(
                person_id=person.pk,
                household_id=household.pk,
                purpose="yard",
                link_number=household.link_number,
            )
            return f"/y/{write_link(link)}/"
    return ""


def _who_is_asked(visit: Visit) -> tuple[Person, Household] | None:
    """Somebody of an English-speaking household that is still asked."""
    assert visit.day is not None  # an offered visit has one: a constraint says so
    for person in people_asked(visit.site, visit.day):
        joined = accounts.memberships_on(visit.day).filter(
            person=person, household__asking_stopped_at__isnull=True, household__language="en"
        )
        membership = joined.select_related("household").first()
        if membership is not None and visit.needs_person_since is None:
            return person, membership.household
    return None
