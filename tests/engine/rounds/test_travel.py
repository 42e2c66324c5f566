"""Seconds of driving, worked by hand, and the table against the loop."""

import math
import random

import pytest

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.barriers import Barrier
from drainservice.engine.rounds.roads.learning import Factor, Factors
from drainservice.engine.rounds.roads.places import PlaceCannotBe
from drainservice.engine.rounds.roads.terms import Stretch, TermsCannotBe, TravelTerms
from drainservice.engine.rounds.roads.travel import drive_s, drive_table, haversine_km

TERMS = TravelTerms()
HOME = Place(45.0, -100.0)


def north(degrees):
    return Place(45.0 + degrees, -100.0)


@pytest.mark.parametrize(
    ("degrees", "s"),
    [
        # One degree of a meridian is pi / 180 x 6371.0088 = 111.195080 km; roads are 1.3 times it.
        # 0.01: 1.111951 km, 1.445536 km of road at 30 km/h (120 s/km) = 173.46; + 120 = 293.46
        (0.01, 294),
        # 0.1: 14.455360 km; 3 at 120 = 360, 11.455360 at 90 = 1030.98; + 120 = 1510.98
        (0.1, 1511),
        # 0.2: 28.910721 km; 360 + 12 x 90 = 1080 + 13.910721 at 60 = 834.64; + 120 = 2394.64
        (0.2, 2395),
        # 1: 144.553604 km; 360 + 1080 + 129.553604 x 60 = 7773.22; + 120 = 9333.22
        (1.0, 9334),
    ],
)
def test_drives_reckoned_by_hand(degrees, s):
    assert drive_s(HOME, north(degrees), TERMS) == s


def test_the_same_place_takes_nothing_and_a_step_away_takes_parking_and_walking():
    assert drive_s(HOME, HOME, TERMS) == 0
    # 0.00001 degrees are 1.1 m: 0.17 s of road.
    assert drive_s(HOME, north(0.00001), TERMS) == 121


def test_a_barrier_lengthens_the_drive_across():
    """By a bridge 0.1 degrees farther north than both: twice 0.1 degrees of meridian, and back."""
    river = Barrier((Place(44, -100.05), Place(46, -100.05)), (Place(45.1, -100.05),))
    west = Place(45.0, -100.1)

    # Half of it: 0.1 degrees north = 11.1195 km, 0.05 east at 45.05 north = 5.5598 x 0.70649 =
    # 3.9279 km, together sqrt(11.1195^2 + 3.9279^2) = 11.7929; all of it 23.5858 km, 30.6615 of
    # road; 360 + 1080 + 15.6615 x 60 = 939.69; + 120 = 2499.69.
    assert drive_s(HOME, west, TravelTerms(barriers=(river,))) == 2500
    assert drive_s(HOME, west, TERMS) < 1300


def test_a_learned_factor_multiplies_the_whole_drive():
    terms = TravelTerms(factors=Factors((Factor(0, None, 1.2, 30), Factor(0, 1, 1.5, 30))))

    # 293.464 x 1.2 = 352.16; at ten o'clock 293.464 x 1.5 = 440.20; at eight as at all hours.
    assert drive_s(HOME, north(0.01), terms) == 353
    assert drive_s(HOME, north(0.01), terms, hour=10) == 441
    assert drive_s(HOME, north(0.01), terms, hour=8) == 353


def test_whatever_was_learned_a_longer_way_is_never_quicker():
    """Near drives 1.6 times, far ones 0.7 times: past 3 km the near ones' longest stands until
    the far ones take longer."""
    terms = TravelTerms(factors=Factors((Factor(0, None, 1.6, 30), Factor(1, None, 0.7, 30))))
    drives = [drive_s(HOME, north(degrees / 1000), terms) for degrees in range(1, 400)]

    # 3 km: 3.9 of road, 360 + 0.9 x 90 + 120 = 561 s; 1.6 times it is 897.6.
    assert drives == sorted(drives)
    assert drive_s(HOME, north(0.0270), terms) == 898


def test_the_table_is_the_loop():
    lots = random.Random(7)
    places = [Place(lots.uniform(44.5, 45.5), lots.uniform(-101, -99)) for _ in range(60)]
    places += [places[0], HOME, Place(10.0, 20.0), north(0.00001)]
    river = Barrier(
        (Place(44, -100.05), Place(46, -100.02)), (Place(45.1, -100), Place(44.7, -100))
    )
    factors = Factors((Factor(0, None, 1.6, 30), Factor(1, None, 0.7, 30), Factor(2, 1, 1.1, 30)))
    for terms in (TERMS, TravelTerms(barriers=(river,), factors=factors)):
        for hour in (None, 10):
            loop = tuple(tuple(drive_s(a, b, terms, hour) for b in places) for a in places)

            assert drive_table(places, terms, hour) == loop


def test_the_table_is_the_loop_where_a_drive_takes_whole_seconds():
    """Speeds by which a drive takes whole seconds but for rounding, which differs by the order in
    which one multiplies and divides."""
    places = [HOME, north(0.01)]
    km = haversine_km(*places)
    for whole_s in range(40, 400):
        speed = Stretch(math.inf, km * 3600 / whole_s)
        terms = TravelTerms(detour=1, stretches=(speed,), park_and_walk_s=60)

        s = drive_s(*places, terms)

        assert drive_table(places, terms) == ((0, s), (s, 0))
        assert 0 <= s - (whole_s + 60) <= 1


def test_a_table_of_nothing_and_of_one_place():
    assert drive_table([], TERMS) == ()
    assert drive_table([HOME], TERMS) == ((0,),)


def test_a_place_that_cannot_be_is_named_by_its_number():
    with pytest.raises(PlaceCannotBe, match="Place 2 has latitude 0"):
        drive_table([HOME, Place(0, 0)], TERMS)
    with pytest.raises(PlaceCannotBe, match="swapped"):
        drive_s(HOME, Place(-100.0, 45.0), TERMS)


@pytest.mark.parametrize(
    ("terms", "words"),
    [
        ({"detour": 0.9}, "1 to 3 times"),
        ({"detour": math.nan}, "1 to 3 times"),
        ({"detour": 3.01}, "1 to 3 times"),
        ({"park_and_walk_s": 3601}, "from 0 to 3600"),
        ({"stretches": ()}, "must not fall"),
        ({"stretches": (Stretch(3, 50), Stretch(math.inf, 40))}, "must not fall"),
        ({"stretches": (Stretch(math.inf, 131),)}, "up to 130"),
        ({"stretches": (Stretch(math.inf, 0),)}, "above 0"),
        ({"stretches": (Stretch(3, 30),)}, "without end"),
        ({"stretches": (Stretch(math.inf, 30), Stretch(math.inf, 30))}, "length above 0"),
        ({"park_and_walk_s": -1}, "from 0 to 3600"),
    ],
)
def test_terms_nobody_drives_by_are_refused_in_words(terms, words):
    with pytest.raises(TermsCannotBe, match=words):
        TravelTerms(**terms)


def test_terms_at_their_limits_can_be():
    slow, fast = Stretch(3, 0.5), Stretch(math.inf, 130)

    terms = TravelTerms(detour=3, stretches=(slow, fast), park_and_walk_s=3600)

    # 1.111951 km x 3 = 3.335852 km: 3 at 0.5 km/h = 21,600 s, 0.335852 at 130 = 9.3 s; + 3600.
    assert drive_s(HOME, north(0.01), terms) == 25_210
