"""The firm's row is read once a request, and no request sees what another read."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from drainservice.accounts import actions, queries
from tests import makers

pytestmark = pytest.mark.django_db


@pytest.fixture
def firm():
    """The firm."""
    return makers.make_firm()


def test_is_read_once_within_a_request(firm):
    with CaptureQueriesContext(connection) as asked, queries.firm_read_once():
        assert queries.the_firm().name == queries.firm().name == firm.name
    assert len(asked) == 1


def test_is_read_each_time_outside_of_one(firm):
    with CaptureQueriesContext(connection) as asked:
        queries.the_firm()
        queries.the_firm()
    assert len(asked) == 2


def test_the_next_request_reads_anew(firm):
    with queries.firm_read_once():
        queries.the_firm()
    actions.change_firm(firm, asker=makers.clock(), name="New Drains")
    with queries.firm_read_once():
        assert queries.the_firm().name == "New Drains"


def test_a_change_is_seen_within_the_request_that_made_it(firm):
    with queries.firm_read_once():
        actions.change_firm(queries.the_firm(), asker=makers.clock(), name="New Drains")
        assert queries.the_firm().name == "New Drains"


def test_what_one_asker_writes_into_its_row_no_other_sees(firm):
    with queries.firm_read_once():
        queries.the_firm().name = "Typed but not saved"
        assert queries.the_firm().name == firm.name


def test_a_firm_that_is_not_there_yet_is_looked_for_again(db):
    with queries.firm_read_once():
        assert queries.firm() is None
        makers.make_firm()
        assert queries.firm() is not None


def test_a_request_that_fails_leaves_nothing_behind(firm):
    @queries.firm_read_once()
    def fail():
        queries.the_firm()
        raise ValueError("broken")

    with pytest.raises(ValueError, match="broken"):
        fail()
    with CaptureQueriesContext(connection) as asked:
        queries.the_firm()
    assert len(asked) == 1
