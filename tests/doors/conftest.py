"""The doors are tried on a Monday, with photos apart and style sheets as they lie."""

import pytest
import time_machine

from tests import makers
from tests.doors.world import make_world


@pytest.fixture
def monday_at_the_doors(settings, tmp_path):
    settings.PHOTOS = tmp_path / "photos"
    settings.STORAGES = {
        "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    with time_machine.travel(makers.MONDAY, tick=False):
        yield


@pytest.fixture
def world(db, monday_at_the_doors):
    """Both houses and the cast."""
    return make_world()
