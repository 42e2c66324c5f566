"""One world for all doors of a module, on a Monday; whatever a test writes is taken back."""

import pytest
import time_machine
from django.db import transaction
from django.test import override_settings

from tests import makers
from tests.doors.asking import held_by
from tests.doors.world import make_world

PLAIN = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}


@pytest.fixture(scope="module")
def the_world(django_db_setup, django_db_blocker, tmp_path_factory):
    """Built once for a module, and gone with it."""
    photos = tmp_path_factory.mktemp("photos")
    with (
        django_db_blocker.unblock(),
        override_settings(PHOTOS=photos, STORAGES=PLAIN),
        time_machine.travel(makers.MONDAY, tick=False),
        transaction.atomic(),
    ):
        yield make_world()
        transaction.set_rollback(True)


@pytest.fixture
def world(the_world):
    """Both houses and the cast."""
    kept = {asker: held_by(client) for asker, client in the_world.clients.items()}
    with transaction.atomic():
        yield the_world
        transaction.set_rollback(True)
    for asker, cookies in kept.items():
        the_world.clients[asker].cookies = cookies
