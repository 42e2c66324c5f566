"""The mail server as a fixture: started once, its log empty for each test."""

import pytest

from tests.mailserver import MailServer


@pytest.fixture(scope="session")
def the_mail_server(tmp_path_factory):
    server = MailServer(tmp_path_factory.mktemp("mail") / "server")
    yield server
    server.end()


@pytest.fixture
def mail_server(the_mail_server):
    """Takes all mail, its log empty."""
    the_mail_server.forget()
    return the_mail_server
