"""The town of the stories, with a mail server and a broker outside it."""

import pytest

from tests import mail_fixtures
from tests.stories.town import Town

the_mail_server = mail_fixtures.the_mail_server
mail_server = mail_fixtures.mail_server


@pytest.fixture
def open_town(tmp_path, mail_server, broker_url):
    """A function that opens a town at a moment of its own."""
    towns = []

    def open_at(now):
        towns.append(Town(tmp_path, mail_server, broker_url, now))
        return towns[-1]

    yield open_at
    for town in towns:
        town.close()
