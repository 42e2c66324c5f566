"""The mail server, and a visit to Juno Greenlaw's house as a play in scenes."""

import pytest

from tests import mail_fixtures
from tests.reminders.play import Play

the_mail_server = mail_fixtures.the_mail_server
mail_server = mail_fixtures.mail_server


@pytest.fixture
def play(home, dispatcher):
    """A yearly look at Juno Greenlaw's house, planned; nobody was told."""
    return Play(*home, dispatcher)
