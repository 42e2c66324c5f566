"""Where a photo lies, and which photos an asker may see of a system."""

from pathlib import Path

from django.conf import settings
from django.db.models import QuerySet

from drainservice.accounts.asker import Asker
from drainservice.register.models import Photo, System
from drainservice.register.queries.scope import systems_for

# The only kinds that are kept, and how each is served: never what the sender said it was.
TYPES = {"jpeg": "image/jpeg"}


def photo_path(photo: Photo) -> Path:
    """The kept file; folders by the first two signs, so that none grows without end."""
    name = photo.pk.hex
    return Path(settings.PHOTOS) / name[:2] / f"{name}.jpg"


def photos_of(asker: Asker, system: System) -> QuerySet[Photo]:
    """A system's photos for the firm's people, newest first."""
    found: QuerySet[Photo] = Photo.objects.standing().filter(
        system=system, system__in=systems_for(asker)
    )
    return found.order_by("-taken_at", "pk") if not asker.is_household else found.none()
