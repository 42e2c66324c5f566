"""Keeping photos: judged before they are decoded, drawn anew, on disk before the row says so."""

import hashlib
import io
import os
import tempfile
import uuid
from datetime import datetime, timedelta
from pathlib import Path

from django.db import transaction
from PIL import Image, ImageOps

from drainservice.accounts import history, wall
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.text import clean_line
from drainservice.register.models import Photo, System
from drainservice.register.queries import photo_path

FORMATS = ("JPEG", "PNG", "WEBP")
MOST_OCTETS = 12 * 1024 * 1024
MOST_PIXELS = 40_000_000
LONGEST_PX = 1600
TOO_LARGE = "This photo has more than 40 million points; send it in a smaller size."
# Exif 2.32: DateTimeOriginal and OffsetTimeOriginal, in the Exif IFD.
EXIF_IFD, TAKEN_TAG, OFFSET_TAG = 0x8769, 0x9003, 0x9011


class PhotoRefused(CannotBeDone):
    """The file is no photo we can keep; the sentence says what to do."""


@transaction.atomic
def keep_photo(
    system: System,
    *,
    asker: Asker,
    photo_id: uuid.UUID,
    octets: bytes,
    of_what: str,
    taken_at: datetime | None = None,
) -> Photo:
    """Keep a photo of something at a system; the same id and octets again are the same photo.

    Only the picture is kept, turned upright and at most 1600 px long: no place, no comment, no
    octets after its end. When it was taken and the hash of what was taken stay as fields.
    Errors: PhotoRefused, TextRefused.
    """
    assert asker.account_id is not None  # only someone of the firm takes photos
    as_taken = hashlib.sha256(octets).hexdigest()
    standing = Photo.objects.filter(pk=photo_id).first()
    if standing is not None:
        if (standing.hash_as_taken, standing.system_id) != (as_taken, system.pk):
            raise PhotoRefused("Another photo was sent before this one; choose it once more.")
        return standing  # type: ignore[no-any-return]
    what = clean_line(of_what, most=200, what="What the photo shows")
    kept, seen_at = _draw_anew(octets, system.site.zone)
    photo = Photo(
        id=photo_id,
        system=system,
        of_what=what or "at the pit",
        taken_at=_believable(taken_at or seen_at, asker.at),
        taken_by_id=asker.account_id,
        hash_as_taken=as_taken,
        hash_as_kept=hashlib.sha256(kept).hexdigest(),
    )
    _write(photo_path(photo), kept)
    return history.enter(photo, asker=asker)


def _draw_anew(octets: bytes, zone: str) -> tuple[bytes, datetime | None]:
    """JPEG octets of the bare picture, and when the camera says it was taken."""
    if len(octets) > MOST_OCTETS:
        raise PhotoRefused("This photo is larger than 12 MB; send it in a smaller size.")
    try:
        return _decode(octets, zone)
    except PhotoRefused:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as too_large:
        raise PhotoRefused(TOO_LARGE) from too_large
    # A decoder may raise anything at all on octets made to break it.
    except Exception as broken:
        raise PhotoRefused(
            "This file is no photo we can read. Send it as JPEG, PNG or WebP; a phone can be set "
            "to take JPEG."
        ) from broken


def _decode(octets: bytes, zone: str) -> tuple[bytes, datetime | None]:
    with Image.open(io.BytesIO(octets), formats=FORMATS) as picture:
        if picture.width * picture.height > MOST_PIXELS:
            raise PhotoRefused(TOO_LARGE)
        taken_at = _taken_at(picture, zone)
        # Lets the JPEG decoder skip detail that would be thrown away.
        picture.draft("RGB", (LONGEST_PX, LONGEST_PX))
        upright = ImageOps.exif_transpose(picture)
        upright.thumbnail((LONGEST_PX, LONGEST_PX))
        # A plain re-save would keep a comment; a fresh canvas keeps nothing but the picture.
        canvas = Image.new("RGB", upright.size, "white")
        with_alpha = upright.convert("RGBA")
        canvas.paste(with_alpha, mask=with_alpha)
    out = io.BytesIO()
    canvas.save(out, "JPEG", quality=85, optimize=True)
    return out.getvalue(), taken_at


def _taken_at(picture: Image.Image, zone: str) -> datetime | None:
    """The camera's clock, by its own offset or else by the site's."""
    try:
        told = picture.getexif().get_ifd(EXIF_IFD)
        at = datetime.strptime(str(told[TAKEN_TAG])[:19], "%Y:%m:%d %H:%M:%S")  # noqa: DTZ007
        if OFFSET_TAG in told:
            return datetime.strptime(f"{at:%Y-%m-%d %H:%M:%S}{told[OFFSET_TAG]}", "%Y-%m-%d %X%z")
        return wall.instant(at.date(), at.time(), zone)
    except (KeyError, ValueError, OverflowError):
        return None


def _believable(taken_at: datetime | None, at: datetime) -> datetime | None:
    """A camera whose clock runs ahead of ours proves nothing."""
    return taken_at if taken_at is None or taken_at <= at + timedelta(days=1) else None


def _write(path: Path, octets: bytes) -> None:
    """Whole or not at all: temporary file, fsync, rename, and fsync of the folder."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, beside = tempfile.mkstemp(dir=path.parent, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(octets)
            file.flush()
            os.fsync(file.fileno())
        Path(beside).rename(path)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
