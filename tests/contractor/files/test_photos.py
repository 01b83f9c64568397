"""Photographs of strangers: made anew without what they carried, bounded, for one branch's eyes."""

from io import BytesIO
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image, PngImagePlugin

from contractor.files.photos import MAX_BYTES, Picture, photo_keep, picture_of, picture_read
from contractor.models import Event, Photo
from tests.people import ACTOR, NOW, Company, signed_in

# EXIF 2.32: 0x0112 is the orientation (6 = turn a quarter clockwise), 0x010F the camera's maker,
# 0x8825 the pointer to the GPS directory, in which 2 is the latitude.
ORIENTATION, MAKER, GPS, LATITUDE = 0x0112, 0x010F, 0x8825, 2


def jpeg(width: int = 40, height: int = 20, *, quarter_turn: bool = False) -> bytes:
    """A picture, red on the left and blue on the right, that says where it was taken."""
    image = Image.new("RGB", (width, height), "red")
    image.paste("blue", (width // 2, 0, width, height))
    exif = Image.Exif()
    exif[MAKER] = "Camera of Rosa"
    exif[ORIENTATION] = 6 if quarter_turn else 1
    exif.get_ifd(GPS)[LATITUDE] = (41.0, 36.0, 1.8)
    out = BytesIO()
    image.save(out, "JPEG", exif=exif, comment=b"Quarry Lane 1", quality=95)
    return out.getvalue()


def test_what_the_file_carried_beside_the_picture_is_gone() -> None:
    sent = jpeg()
    assert Image.open(BytesIO(sent)).getexif().get_ifd(GPS)
    kept = picture_of(sent).content
    assert dict(Image.open(BytesIO(kept)).getexif()) == {}
    assert not any(word in kept for word in (b"Exif", b"Camera of Rosa", b"Quarry Lane"))


def test_it_stands_upright_and_is_no_larger_than_a_screen() -> None:
    """Orientation 6 shows the stored left side at the top (EXIF 2.32, tag 0x0112)."""
    kept = picture_of(jpeg(quarter_turn=True))
    assert (kept.width, kept.height) == (20, 40)
    pixel: Any = Image.open(BytesIO(kept.content)).convert("RGB").getpixel((10, 3))
    red, _, blue = pixel
    assert (red > 200, blue < 60) == (True, True)
    large = picture_of(jpeg(4000, 3000))
    assert (large.width, large.height) == (1600, 1200)


def test_a_see_through_png_and_a_webp_become_plain_jpegs() -> None:
    for form in ("PNG", "WEBP"):
        out = BytesIO()
        Image.new("RGBA", (8, 8), (0, 0, 0, 0)).save(out, form)
        kept = Image.open(BytesIO(picture_of(out.getvalue()).content))
        assert kept.format == "JPEG"
        darkest: Any = kept.convert("L").getextrema()[0]
        assert darkest > 250


def png_head(width: int, height: int) -> bytes:
    """The head of a PNG that says its size and holds next to nothing."""
    out = BytesIO()
    out.write(b"\x89PNG\r\n\x1a\n")
    size = width.to_bytes(4) + height.to_bytes(4) + bytes([8, 2, 0, 0, 0])
    PngImagePlugin.putchunk(out, b"IHDR", size)
    PngImagePlugin.putchunk(out, b"IDAT", b"")
    return out.getvalue()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "cannot be read; expected a JPEG, PNG or WebP"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>", "cannot be read"),
        (b"%PDF-1.7", "cannot be read"),
        (b"GIF89a\x01\x00\x01\x00\x00\x00\x00;", "cannot be read"),
        (jpeg(400, 300)[:900], "cannot be read"),
        (png_head(100, 100), "cannot be read"),
        (png_head(40_000, 40_000), "has too many pixels; expected 20 million or fewer"),
        (png_head(6_000, 5_000), "has too many pixels; expected 20 million or fewer"),
    ],
)
def test_what_is_no_picture_is_refused_in_words(content: bytes, said: str) -> None:
    with pytest.raises(ValidationError, match=said):
        picture_read(SimpleUploadedFile("photo.jpg", content, content_type="image/jpeg"))


def test_a_file_too_large_is_refused_before_it_is_read() -> None:
    upload = SimpleUploadedFile("photo.jpg", jpeg() + bytes(MAX_BYTES))
    with pytest.raises(ValidationError, match=r"has 8.0 MB; expected 8 MB or less"):
        picture_read(upload)


def test_a_file_with_something_behind_the_picture_keeps_only_the_picture() -> None:
    kept = picture_of(jpeg() + b"<script>alert(1)</script>").content
    assert b"<script>" not in kept


@pytest.mark.django_db
def test_only_the_office_of_its_branch_sees_it(company: Company) -> None:
    picture = picture_of(jpeg())
    photo = photo_keep(picture=picture, branch=company.fairfield, actor=ACTOR, now=NOW)
    address = f"/photos/{photo.pk}/"
    for person in (company.omar, company.esme, company.olive):
        answer = signed_in(person).get(address)
        assert answer.content == picture.content
        assert answer.headers["Content-Type"] == "image/jpeg"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Cache-Control"] == "private, no-store"
    for other in (company.lena, company.cleo):
        assert signed_in(other).get(address).status_code == 404
    assert Client().get(address).status_code == 302
    assert Event.objects.get(noun="photo").what["width"] == 40


@pytest.mark.django_db
def test_it_says_who_sent_it(company: Company) -> None:
    photo_keep(picture=Picture(b"", 1, 1), branch=company.fairfield, actor=ACTOR, now=NOW)
    assert ACTOR.who in str(Photo.objects.get())
