"""The cast: who may do everything, who sees today's round, who sees one house, who sees nothing."""

import pytest

from tests import makers


@pytest.fixture
def monday():
    """A Monday at 8:00 in the firm's zone."""
    return makers.MONDAY


@pytest.fixture
def dispatcher(db):
    """May do everything in the office."""
    return makers.as_account(makers.make_account("dora", "dispatcher"))


@pytest.fixture
def technician(db):
    """Sees what a visit opens."""
    return makers.as_account(makers.make_account("andrea", "technician"))


@pytest.fixture
def home(db):
    """Juno Greenlaw's house with a sound system: person, household, site, system."""
    person, household, site = makers.make_home()
    return person, household, site, makers.make_system(site)


@pytest.fixture
def homeowner(home):
    """Sees one house."""
    person, household, _, _ = home
    return makers.as_household(person, household)


@pytest.fixture
def neighbour(db):
    """Has a house of their own and must see nothing of ours."""
    person = makers.make_person("Otis Dellwood", mail="otis@example.org")
    person, household, site = makers.make_home(person, makers.make_site("116 Maple Ridge Rd"))
    makers.make_system(site)
    return makers.as_household(person, household)
