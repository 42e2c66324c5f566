"""A photo for the household in whose time it was taken."""

import uuid
from typing import Any

from django.http import HttpResponse

from drainservice.doors.door import door
from drainservice.web.photos import serve_photo


@door(to="homeowner")
def household_photo(request: Any, photo_id: uuid.UUID) -> HttpResponse:
    """One photo of a system at a site where the household plays a part."""
    return serve_photo(request.asker, photo_id)
