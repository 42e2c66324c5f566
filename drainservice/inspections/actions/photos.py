"""Photos follow their record: tied to an inspection after it was closed."""

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.inspections.models import Inspection
from drainservice.register.models import Photo


class AnotherSystemsPhoto(CannotBeDone):
    """The photo shows another system than the inspection looked at."""


@transaction.atomic
def add_photo(inspection: Inspection, photo: Photo, *, asker: Asker) -> None:
    """Tie a photo to an inspection of the same system; tying it again changes nothing."""
    if photo.system_id != inspection.system_id:
        raise AnotherSystemsPhoto(
            "This photo belongs to another system; take it again at this one."
        )
    history.add_to(inspection, "photos", [photo], asker=asker)
