"""Photos are judged, drawn anew and on disk before the record says so."""

import hashlib
import io
import struct
import uuid
import zlib
from datetime import UTC, datetime

import pytest
from PIL import Image

from drainservice.accounts.asker import NotFound
from drainservice.accounts.models import Account
from drainservice.register import queries
from drainservice.register.actions import PhotoRefused, keep_photo
from drainservice.register.models import Photo
from tests import makers

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _photos_lie_apart(settings, tmp_path):
    settings.PHOTOS = tmp_path / "photos"


def jpeg(width=80, height=40, *, colour=(200, 30, 30), exif=None, **options):
    out = io.BytesIO()
    picture = Image.new("RGB", (width, height), colour)
    picture.save(out, "JPEG", exif=Image.Exif() if exif is None else exif, **options)
    return out.getvalue()


def keep(system, asker, octets, **values):
    told = {"photo_id": uuid.uuid4(), "of_what": "the lid"} | values
    return keep_photo(system, asker=asker, octets=octets, **told)


def opened(photo):
    return Image.open(io.BytesIO(queries.photo_path(photo).read_bytes()))


def test_keeps_the_hash_of_what_was_taken_and_of_what_is_kept(dispatcher):
    octets = jpeg(comment=b"who lives here")

    photo = keep(makers.make_system(), dispatcher, octets)

    kept = queries.photo_path(photo).read_bytes()
    assert photo.hash_as_taken == hashlib.sha256(octets).hexdigest()
    assert photo.hash_as_kept == hashlib.sha256(kept).hexdigest()
    assert b"who lives here" not in kept


def test_turns_a_photo_upright_by_its_exif_and_drops_the_exif(dispatcher):
    # Exif 2.32: orientation 6 is a picture to be turned a quarter, so 80 x 40 stands 40 x 80.
    exif = Image.Exif()
    exif[0x0112] = 6

    photo = keep(makers.make_system(), dispatcher, jpeg(exif=exif))

    assert opened(photo).size == (40, 80)
    assert not opened(photo).getexif()


def test_shrinks_to_1600_pixels_on_the_longer_side(dispatcher):
    photo = keep(makers.make_system(), dispatcher, jpeg(3200, 1000))

    assert opened(photo).size == (1600, 500)


def test_reads_when_it_was_taken_by_the_clock_of_the_site(dispatcher):
    # 8:00 on 10 May by America/Los_Angeles, seven hours behind UTC in summer.
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = "2027:05:10 08:00:00"

    photo = keep(makers.make_system(), dispatcher, jpeg(exif=exif))

    assert photo.taken_at == datetime(2027, 5, 10, 15, 0, tzinfo=UTC)


def test_what_follows_the_picture_in_the_file_is_not_kept(dispatcher):
    photo = keep(makers.make_system(), dispatcher, jpeg() + b"<script>alert(1)</script>")

    assert b"script" not in queries.photo_path(photo).read_bytes()


@pytest.mark.parametrize("side", [7_000, 12_000, 30_000])
def test_refuses_a_picture_of_too_many_points_before_decoding_it(dispatcher, side):
    # A PNG head (RFC 2083, 11.2) that promises side x side points and holds none of them.
    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    chunk = b"IHDR" + head
    octets = b"\x89PNG\r\n\x1a\n" + struct.pack(">I", 13) + chunk
    octets += struct.pack(">I", zlib.crc32(chunk))
    octets += b"\0\0\0\0IDAT" + struct.pack(">I", zlib.crc32(b"IDAT"))

    with pytest.raises(PhotoRefused, match="40 million"):
        keep(makers.make_system(), dispatcher, octets)


@pytest.mark.parametrize(
    "octets", [b"", b"GIF89a", b"<svg/>", jpeg()[:200], b"\x89PNG\r\n\x1a\n" + b"\0" * 60]
)
def test_says_in_words_that_a_file_is_no_photo(dispatcher, octets):
    with pytest.raises(PhotoRefused, match="Send it as JPEG"):
        keep(makers.make_system(), dispatcher, octets)


def test_the_same_photo_sent_twice_is_one_photo(dispatcher):
    system, number, octets = makers.make_system(), uuid.uuid4(), jpeg()

    first = keep(system, dispatcher, octets, photo_id=number)
    second = keep(system, dispatcher, octets, photo_id=number)

    assert first == second
    assert Photo.objects.count() == 1


def test_another_photo_under_the_same_number_is_refused(dispatcher):
    system, number = makers.make_system(), uuid.uuid4()
    keep(system, dispatcher, jpeg(), photo_id=number)

    with pytest.raises(PhotoRefused, match="choose it once more"):
        keep(system, dispatcher, jpeg(colour=(0, 0, 0)), photo_id=number)


def test_no_half_written_file_and_no_row_stay_where_the_disk_is_full(dispatcher, monkeypatch):
    def full(handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    system = makers.make_system()

    with pytest.raises(OSError, match="No space"):
        keep(system, dispatcher, jpeg())

    folders = queries.photo_path(Photo(id=uuid.uuid4(), system=system)).parent.parent
    assert [path for path in folders.rglob("*") if path.is_file()] == []
    assert not Photo.objects.exists()


def test_a_household_sees_no_photo_from_before_its_time(home, homeowner, dispatcher):
    # Their part began on 1 January 2020.
    _, _, _, system = home
    before = keep(system, dispatcher, jpeg(), taken_at=datetime(2019, 6, 1, tzinfo=UTC))
    since = keep(system, dispatcher, jpeg(), taken_at=datetime(2021, 6, 1, tzinfo=UTC))

    assert queries.photo_for(homeowner, since.pk) == since
    with pytest.raises(NotFound):
        queries.photo_for(homeowner, before.pk)


def test_a_neighbour_sees_no_photo_of_ours(home, neighbour, dispatcher):
    photo = keep(home[3], dispatcher, jpeg(), taken_at=datetime(2021, 6, 1, tzinfo=UTC))

    with pytest.raises(NotFound):
        queries.photo_for(neighbour, photo.pk)


def test_says_who_took_it(dispatcher):
    photo = keep(makers.make_system(), dispatcher, jpeg())

    assert photo.taken_by == Account.objects.get(handle="dora")
