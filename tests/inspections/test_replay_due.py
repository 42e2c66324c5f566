"""The command that argues about a date: counted again from what was stored."""

import json

import pytest
from django.core.management import CommandError, call_command

from drainservice.inspections import actions
from drainservice.inspections.models import Due, Reckoning
from tests import makers

pytestmark = pytest.mark.django_db


def replayed(number, capsys):
    capsys.readouterr()
    call_command("replay_due", str(number))
    told = capsys.readouterr()
    return json.loads(told.out), told.err


def test_a_stored_date_comes_out_equal_years_later(home, capsys):
    actions.find_due(asker=makers.clock())
    due = Due.objects.current().first()

    told, words = replayed(due.pk, capsys)

    assert told["is_equal"] is True
    assert told["now"] == told["then"] == due.answer
    assert "comes out equal" in words


def test_other_inputs_are_noticed(home, capsys):
    actions.find_due(asker=makers.clock())
    due = Due.objects.current().first()
    Reckoning.objects.filter(pk=due.reckoning_id).update(inputs={"form": "of another time"})

    told, words = replayed(due.pk, capsys)

    assert told["is_equal"] is False
    assert "cannot be counted again" in words


@pytest.mark.parametrize("number", [10**18, -1])
def test_a_missing_number_says_where_numbers_stand(home, number):
    with pytest.raises(CommandError, match="/due/NUMBER"):
        call_command("replay_due", "--", str(number))
