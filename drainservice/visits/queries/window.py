"""A promise to come, as it is said: day, from and to on the clock at the site."""

from dataclasses import dataclass
from datetime import date, datetime, time

from drainservice.accounts import wall


@dataclass(frozen=True, slots=True)
class Window:
    """A promise in the site's wall time."""

    day: date
    from_: time
    to: time

    def starts_at(self, zone: str) -> datetime:
        """Its first instant."""
        return wall.instant(self.day, self.from_, zone)

    def ends_at(self, zone: str) -> datetime:
        """Its last instant."""
        return wall.instant(self.day, self.to, zone)
