"""What a household's parts at a site let its page say and ask."""

from dataclasses import dataclass

from drainservice.accounts.asker import Asker
from drainservice.register.models import PartKind, Site
from drainservice.register.queries import parts_played


@dataclass(frozen=True, slots=True)
class Parts:
    """The parts a household plays at a site today."""

    played: frozenset[str]

    @property
    def may_answer(self) -> bool:
        """Whoever decides, lives there or lets us in is asked for the day."""
        return bool(self.played & {PartKind.DECIDES, PartKind.LIVES, PartKind.ACCESS})

    @property
    def may_test(self) -> bool:
        """Whoever is at the house can pour water."""
        return bool(self.played & {PartKind.DECIDES, PartKind.LIVES, PartKind.ACCESS})

    @property
    def sees_agreement(self) -> bool:
        """What was agreed and advised concerns whoever decides or pays."""
        return bool(self.played & {PartKind.DECIDES, PartKind.PAYS})


def parts_at(asker: Asker, site: Site) -> Parts:
    """The asker's parts at a site."""
    return Parts(frozenset(parts_played(asker, site)))
