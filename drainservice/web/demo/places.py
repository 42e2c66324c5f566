"""One system of the demonstration while its history is written."""

import random
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from drainservice.accounts.codes import SIGNS, check_sign
from drainservice.register import queries as register
from drainservice.register.models import Pump, System
from drainservice.web.demo.builds import Build
from drainservice.web.demo.homes import Home
from drainservice.web.demo.physics import Truth, truth_of


@dataclass(slots=True)
class Place:
    """A system, what is true of it in the ground, and its home."""

    story: str
    home: Home
    build: Build
    system: System
    pump: Pump | None
    rng: random.Random
    cleaned_on: date
    last_on: date | None = None
    is_down: bool = False
    _truth: Truth | None = None

    @property
    def has_frost(self) -> bool:
        """Whether autumn and spring looks are wanted there."""
        return bool(self.home.site.jurisdiction.frost_from)

    def truth(self) -> Truth:
        """What a perfect test would find; `find_truths` comes first."""
        assert self._truth is not None
        return self._truth


def find_truths(places: Iterable[Place], day: date) -> None:
    """What perfect tests would find at all of them, in a fixed number of statements."""
    place_of = {place.system.pk: place for place in places}
    for whole in register.wholes(System.objects.filter(pk__in=place_of), day=day):
        place = place_of[whole.system.pk]
        place._truth = truth_of(place.build, whole)


def draw_lid_code(rng: random.Random) -> str:
    """A code that the same seed draws again."""
    body = "".join(rng.choice(SIGNS) for _ in range(5))
    return body + check_sign(body)
