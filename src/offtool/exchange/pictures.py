"""Photographs: checked before they are kept byte for byte; drawn anew, without what a phone adds, to show.

What a page shows carries no metadata: not where the phone was, not whose it is, not when. The bytes that are
kept of a photograph taken at the press still carry it; they are never handed to a page. `strip_metadata`
gives bytes that carry none, with every pixel as it was.
"""

from __future__ import annotations

import io
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from PIL import ExifTags, Image, ImageCms, ImageOps, UnidentifiedImageError

from offtool.core.values import OfftoolError
from offtool.exchange.picture_bytes import bare_jpeg, bare_png, bare_webp
from offtool.handbook.terms import PictureType

MAX_BYTES = 25_000_000
"""The largest photographs of phones take some 15 MB (common practice, no source)."""
MAX_PIXELS = 64_000_000
"""Measured at so many pixels, held to check and to draw: JPEG 260 and 100 MB, PNG 260 and 360 MB, with clear
pixels 610 MB, WebP 1,030 MB both times."""
MAX_SIDE = 20_000
SHOWN, THUMBNAIL = 1600, 320
"""The longer side, in pixels, of what a page shows."""
QUALITY = 85

MEDIA_TYPES = {
    "JPEG": PictureType.JPEG,
    "MPO": PictureType.JPEG,
    "PNG": PictureType.PNG,
    "WEBP": PictureType.WEBP,
}
"""MPO is a JPEG with a second picture behind the first, as some phones write it; the first is taken."""
_BARE = {PictureType.JPEG: bare_jpeg, PictureType.PNG: bare_png, PictureType.WEBP: bare_webp}
_ONE_AT_A_TIME = threading.Lock()
"""So much is held while a large picture is read: requests that come at once wait for each other."""
_TURNED = range(5, 9)
"""The orientations in which a picture lies on its side."""
_FOREIGN = (
    (b"ftyphei", "is a HEIC picture"),
    (b"ftyphev", "is a HEIC picture"),
    (b"ftypmif1", "is a HEIC picture"),
    (b"ftypmsf1", "is a HEIC picture"),
    (b"ftypavif", "is an AVIF picture"),
    (b"ftyp", "is a film or a picture of another kind"),
)
_SEND = "send it as JPEG, PNG or WebP; phones call that the most compatible format"


class PictureRefused(OfftoolError):
    """A file that is no picture that can be shown; nothing of it is kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """What is known of a photograph that can be shown; width and height as it stands upright."""

    media_type: PictureType
    width: int
    height: int


def check_picture(content: bytes, name: str) -> Picture:
    """What the bytes of a photograph are, every pixel read once.

    Raises PictureRefused for what is no JPEG, PNG or WebP, is cut off or broken, or is too large.
    """
    if not content:
        raise PictureRefused("is empty", where=name, remedy="take the photograph again")
    refuse_large_picture(len(content), name)
    with _opened(content, name) as picture:
        picture.load()
        width, height = picture.size
        if picture.getexif().get(ExifTags.Base.Orientation) in _TURNED:
            width, height = height, width
        return Picture(media_type=MEDIA_TYPES[str(picture.format)], width=width, height=height)


def refuse_large_picture(size: int, name: str) -> None:
    """Raise PictureRefused for a file of more bytes than are kept, before it is read."""
    if size > MAX_BYTES:
        said = f"takes {size:,} bytes, at most {MAX_BYTES:,} are kept"
        raise PictureRefused(said, where=name, remedy="send it smaller")


def draw_picture(content: bytes, name: str, *, longest: int = SHOWN) -> bytes:
    """The photograph as a JPEG to show: upright, at most so many pixels long, without any metadata.

    Raises PictureRefused as `check_picture` does.
    """
    with _opened(content, name) as picture:
        # Pillow makes no picture of 16 bits a pixel smaller
        read = picture.convert("I") if picture.mode.startswith("I") else picture
        read.thumbnail((longest, longest))
        upright = ImageOps.exif_transpose(read)
        bare = Image.new("RGB", upright.size, "white")
        bare.paste(_in_usual_colours(upright))
        drawn = io.BytesIO()
        bare.save(drawn, "JPEG", quality=QUALITY, optimize=True)
    return drawn.getvalue()


def strip_metadata(content: bytes, name: str) -> bytes:
    """The same photograph, pixel for pixel, without place, time, owner, texts, and pictures behind the first.

    Its colour profile stays, and so does the note that turns it upright, alone.

    Raises PictureRefused as `check_picture` does.
    """
    refuse_large_picture(len(content), name)
    with _opened(content, name) as picture:
        picture.load()
        orientation = int(picture.getexif().get(ExifTags.Base.Orientation) or 1)
        return _BARE[MEDIA_TYPES[str(picture.format)]](content, orientation if orientation <= 8 else 1)


@contextmanager
def _opened(content: bytes, name: str) -> Iterator[Image.Image]:
    """The picture, its size known to be allowed; whatever breaks while it is read is said in words."""
    try:
        with _ONE_AT_A_TIME, warnings.catch_warnings():
            warnings.simplefilter("ignore")  # odd metadata is no fault of the picture
            with Image.open(io.BytesIO(content), formats=("JPEG", "PNG", "WEBP")) as picture:
                _refuse_too_large(picture, name)
                yield picture
    except OfftoolError:
        raise
    except Image.DecompressionBombError as error:
        raise _too_large("far more pixels than any camera gives", name) from error
    except UnidentifiedImageError as error:
        raise PictureRefused(_what_it_is(content), where=name, remedy=_SEND) from error
    except Exception as error:  # broken files break readers in every way there is
        raise PictureRefused(
            "is cut off or broken: not every pixel can be read", where=name, remedy="send it again"
        ) from error


def _refuse_too_large(picture: Image.Image, name: str) -> None:
    width, height = picture.size
    if width < 1 or height < 1:
        raise PictureRefused("has no pixels", where=name, remedy="take the photograph again")
    if width * height > MAX_PIXELS or max(width, height) > MAX_SIDE:
        raise _too_large(f"{width:,} × {height:,} pixels", name)


def _too_large(what: str, name: str) -> PictureRefused:
    return PictureRefused(
        f"{what}: at most {MAX_PIXELS // 1_000_000} million are read", where=name, remedy="send it smaller"
    )


def _what_it_is(content: bytes) -> str:
    start = content[4:16]
    return next((said for mark, said in _FOREIGN if start.startswith(mark)), "is no picture that can be read")


def _in_usual_colours(picture: Image.Image) -> Image.Image:
    """Red, green and blue as every screen takes them; what is clear is white."""
    profile = picture.info.get("icc_profile")
    if picture.mode == "I":  # 16 bits a pixel
        picture = picture.point(lambda value: value / 256).convert("L")
    elif picture.has_transparency_data:
        clear = picture.convert("RGBA")
        picture = Image.new("RGB", clear.size, "white")
        picture.paste(clear, mask=clear.getchannel("A"))
    elif profile and picture.mode in ("RGB", "CMYK"):
        picture = _by_profile(picture, bytes(profile))
    return picture if picture.mode == "RGB" else picture.convert("RGB")


def _by_profile(picture: Image.Image, profile: bytes) -> Image.Image:
    """Phones write wider colours than screens show; with a broken profile they stay as they are."""
    try:
        given = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        turned = ImageCms.profileToProfile(picture, given, ImageCms.createProfile("sRGB"), outputMode="RGB")
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return picture
    return turned or picture
