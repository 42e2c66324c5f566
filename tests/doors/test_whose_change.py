"""What a household writes is found again by the number of its request, as in the log."""

import pytest

from drainservice.accounts import links
from drainservice.accounts.models import Account, Change
from drainservice.visits import actions
from drainservice.visits.models import Answer
from tests import makers
from tests.visits.test_actions import TUESDAY

pytestmark = pytest.mark.django_db


def test_a_households_answer_stands_in_history_with_its_request(
    home, dispatcher, technician, client
):
    person, household, site, system = home
    # A Monday, too.
    ahead = makers.MONDAY.replace(year=2098, day=12)
    office = makers.as_account(Account.objects.get(pk=dispatcher.account_id), ahead)
    visit = actions.plan_visit(
        site, asker=office, purpose="yearly look", systems={system: ["pump"]}, meant_for=None
    )
    window = type(TUESDAY)(ahead.date(), TUESDAY.from_, TUESDAY.to)
    andrea = Account.objects.get(pk=technician.account_id)
    actions.offer_visit(visit, to=window, technician=andrea, asker=office.acting())
    link = links.HouseholdLink(person.pk, household.pk, "yard", household.link_number)

    told = client.post(f"/y/{links.write_link(link)}/visits/{visit.pk}/yes", {"sequence": 0})

    assert Answer.objects.count() == 1
    change = Change.objects.filter(subject="visits.visit").latest("pk")
    assert change.asker == f"person:{person.pk}"
    assert change.request_id == told["X-Request-Id"]
