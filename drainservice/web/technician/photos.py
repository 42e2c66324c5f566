"""Photos at the pit: kept with an inspection, and shown to the firm's people."""

import uuid
from typing import Any

from django.http import HttpResponse

from drainservice.doors.door import door
from drainservice.inspections.actions import add_photo
from drainservice.inspections.models import Inspection
from drainservice.register.actions import keep_photo
from drainservice.register.models import System
from drainservice.web.photos import serve_photo


@door(to="staff")
def photo(request: Any, photo_id: uuid.UUID) -> HttpResponse:
    """One photo, for the firm's people who may see its system."""
    return serve_photo(request.asker, photo_id)


def keep_uploads(request: Any, system: System, inspection: Inspection) -> bool:
    """Keep the photo that came with a form, if one did, and tie it to its inspection."""
    upload = request.FILES.get("photo")
    if upload is None:
        return False
    try:
        number = uuid.UUID(request.POST.get("photo_id", ""))
    except ValueError:
        number = uuid.uuid4()
    kept = keep_photo(
        system,
        asker=request.asker,
        photo_id=number,
        octets=upload.read(),
        of_what=request.POST.get("of_what", ""),
    )
    add_photo(inspection, kept, asker=request.asker)
    return True
