"""A firm's own catalogue moves the dates of the pumps of that type."""

from dataclasses import replace
from datetime import date

import pytest

from drainservice.engine.asbuilt.facts import AsBuilt
from drainservice.engine.failure_mode import FailureMode
from drainservice.engine.interval.due import DueKind
from drainservice.engine.interval.due_dates import due_dates, replay
from drainservice.engine.interval.facts import (
    AsBuiltSince,
    Consequence,
    Origin,
    PumpFacts,
    SystemFacts,
)
from drainservice.engine.interval.settings import FirmSettings
from drainservice.engine.reliability.history import SightKind
from drainservice.engine.reliability.rates import (
    Catalogue,
    FloatKind,
    PumpClass,
    coverage_of,
    nominal_sum,
    rates_with,
)

TODAY = date(2027, 5, 10)
PUMP = PumpFacts(PumpClass.GOOD_SUBMERSIBLE, FloatKind.VERTICAL)
FACTS = SystemFacts(
    origin=Origin.HANDED_OVER,
    origin_on=TODAY,
    consequence=Consequence.NEAR_STRUCTURE,
    as_built=(AsBuiltSince(TODAY, AsBuilt()),),
    pump=PUMP,
    settings=FirmSettings(),
)


def pump_due(catalogue):
    facts = replace(FACTS, pump=replace(PUMP, catalogue=catalogue))
    return due_dates(facts, today=TODAY).of(DueKind.PUMP)


def test_an_empty_catalogue_keeps_the_nominal_sum():
    assert sum(rates_with([]).values()) == pytest.approx(nominal_sum())


def test_a_rate_of_the_catalogue_stands_as_it_is_told():
    own = Catalogue(rates_per_a=((FailureMode.FLOAT, 0.5),))

    # 0.195 with 0.06 for the float taken out and 0.5 put in; neither the tethered float's 1.5 nor
    # the firm's scale touches the catalogue's own figure: 2 x 0.135 + 0.5 = 0.77.
    rates = rates_with([], float_kind=FloatKind.TETHERED, scale=2.0, catalogue=own)

    assert rates[FailureMode.FLOAT] == pytest.approx(0.5)
    assert sum(rates.values()) == pytest.approx(0.77)


def test_a_type_that_fails_often_is_tested_sooner():
    often = Catalogue(rates_per_a=((FailureMode.PUMP, 0.6),))

    assert pump_due(often).due_on < pump_due(Catalogue()).due_on


def test_a_bucket_that_shows_more_covers_more():
    rates = rates_with([])
    shows = Catalogue(shows=((SightKind.BUCKET, FailureMode.PUMP, 1.0),))

    # The pump's own line rises from 0.6 to 1.0: 0.4 x 0.06 / 0.195 = 0.123 of all failures.
    gained = coverage_of(SightKind.BUCKET, rates, shows) - coverage_of(SightKind.BUCKET, rates)

    assert gained == pytest.approx(0.4 * 0.06 / 0.195)


def test_what_was_counted_by_a_catalogue_is_counted_again_to_the_same():
    catalogue = Catalogue(
        rates_per_a=((FailureMode.FLOAT, 0.2),),
        shows=((SightKind.BUCKET, FailureMode.FLOAT, 0.5),),
        wear_life_a=6.0,
    )
    dates = due_dates(replace(FACTS, pump=replace(PUMP, catalogue=catalogue)), today=TODAY)

    assert replay(dates.as_stored()) == dates
