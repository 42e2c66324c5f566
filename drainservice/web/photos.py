"""A kept photo as an answer: its type from our own table, in a sandbox of its own."""

import uuid

from django.http import HttpResponse

from drainservice.accounts.asker import Asker, NotFound
from drainservice.register import queries as register


def serve_photo(asker: Asker, photo_id: uuid.UUID) -> HttpResponse:
    """The photo, if this asker may see it. Errors: NotFound."""
    found = register.photo_for(asker, photo_id)
    path = register.photo_path(found)
    if not path.is_file():
        raise NotFound
    answer = HttpResponse(path.read_bytes(), content_type=register.TYPES[found.kind])
    answer["Content-Security-Policy"] = "default-src 'none'; sandbox"
    answer["Content-Disposition"] = "inline"
    return answer
