"""Photographs from strangers' phones: read with care, made anew, kept for one branch."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO

from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from PIL import Image, ImageOps

from contractor.access import Scope
from contractor.events import Actor, event_record
from contractor.models import Branch, Photo

MAX_BYTES = 8 * 1024 * 1024
# A JPEG is decoded at a fraction of its size, so that the largest of today's phones fit; another
# form of file is decoded whole, at four bytes for a pixel.
MAX_JPEG_PIXELS = 64_000_000
MAX_OTHER_PIXELS = 20_000_000
LONGEST_SIDE_PX = 1600
QUALITY = 80
JPEG_FORMS = ("JPEG", "MPO")  # a phone's JPEG with a second picture behind is opened as MPO
FORMS = ("JPEG", "PNG", "WEBP")


@dataclass(frozen=True)
class Picture:
    """A photograph made anew: JPEG bytes and pixels; place, camera and comments are gone."""

    content: bytes
    width: int
    height: int


def picture_read(upload: UploadedFile[bytes]) -> Picture:
    """Make the uploaded photograph anew, upright, 1600 pixels at most on its longer side.

    Raises ValidationError, with what was expected, for a file that is too large, has too many
    pixels, or is no JPEG, PNG or WebP that can be read to its end.
    """
    if (upload.size or 0) > MAX_BYTES:
        words = _("The photo has %(found)s MB; expected %(most)s MB or less.")
        found = f"{(upload.size or 0) / 1024**2:.1f}"
        raise ValidationError(words % {"found": found, "most": MAX_BYTES // 1024**2})
    upload.seek(0)
    return picture_of(upload.read())


def picture_of(content: bytes) -> Picture:
    """Return the same of bytes, whose number has been looked at."""
    try:
        # A warning of Pillow's about pixels is our business here: we count them ourselves.
        with warnings.catch_warnings(action="ignore"):
            image = Image.open(BytesIO(content), formats=FORMS)
            _pixels_check(image)
            return _made_anew(image)
    except ValidationError:
        raise
    except Image.DecompressionBombError as error:
        raise _too_many_pixels(MAX_OTHER_PIXELS) from error
    except Exception as error:  # decoders meet broken bytes with errors of every kind
        words = _("The photo cannot be read; expected a JPEG, PNG or WebP picture.")
        raise ValidationError(words) from error


def photos_visible(scope: Scope) -> QuerySet[Photo]:
    """Return the photographs of the scope's branches; of none for who sees a crew's days only."""
    if scope.all_branches:
        return Photo.objects.all()
    return Photo.objects.filter(branch_id__in=scope.branch_ids)


def photo_keep(*, picture: Picture, branch: Branch, actor: Actor, now: datetime) -> Photo:
    """Keep a picture for the branch, in the caller's transaction."""
    photo = Photo.objects.create(
        branch=branch,
        content=picture.content,
        width=picture.width,
        height=picture.height,
        sent_by=actor.who[:120],
        sent_at=now,
    )
    what = {"width": picture.width, "height": picture.height, "bytes": len(picture.content)}
    event_record(actor=actor, now=now, verb="kept", thing=photo, branch=branch, what=what)
    return photo


def _pixels_check(image: Image.Image) -> None:
    """Refuse, by what the head of the file says, what would fill the memory when decoded."""
    most = MAX_JPEG_PIXELS if image.format in JPEG_FORMS else MAX_OTHER_PIXELS
    if image.width * image.height > most:
        raise _too_many_pixels(most)


def _too_many_pixels(most: int) -> ValidationError:
    words = _("The photo has too many pixels; expected %(most)s million or fewer.")
    return ValidationError(words % {"most": most // 1_000_000})


def _made_anew(image: Image.Image) -> Picture:
    side = (LONGEST_SIDE_PX, LONGEST_SIDE_PX)
    image.draft("RGB", side)
    image.thumbnail(side)
    upright = ImageOps.exif_transpose(image)
    plain = Image.new("RGB", upright.size, "white")
    pixels = upright.convert("RGBA")
    plain.paste(pixels, mask=pixels.getchannel("A"))
    out = BytesIO()
    # A new image carries no EXIF, no comment and no profile, so that none can be written.
    plain.save(out, "JPEG", quality=QUALITY, optimize=True)
    return Picture(out.getvalue(), *plain.size)
