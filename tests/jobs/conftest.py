"""A real mail server and workers that really die, once for all tests here."""

import contextlib
import os
import sqlite3

import psycopg
import pytest

from tests import mail_fixtures
from tests.services import POSTGRESQL, SERVICES

the_mail_server = mail_fixtures.the_mail_server
mail_server = mail_fixtures.mail_server


@pytest.fixture(scope="session")
def station(the_mail_server, tmp_path_factory, django_db_setup, django_db_blocker):
    """Workers on the database this run is about, with the tables the tests have made."""
    from django.db import connection

    from tests.jobs.station import Station

    is_postgresql = os.environ.get("DRAIN_TEST_DATABASE") == POSTGRESQL
    url = SERVICES.start_postgresql() if is_postgresql else ""

    def copy_to(name):
        with django_db_blocker.unblock():
            if is_postgresql:
                made = connection.settings_dict["NAME"]
                connection.close()
                with psycopg.connect(url, autocommit=True) as line:
                    line.execute(f"CREATE DATABASE {name} TEMPLATE {made}")
                return
            connection.ensure_connection()
            with contextlib.closing(sqlite3.connect(name)) as file:
                connection.connection.backup(file)

    one = Station(tmp_path_factory.mktemp("station"), the_mail_server.url, copy_to, url)
    yield one
    one.end()
