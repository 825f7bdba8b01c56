"""Any bytes give a picture or a refusal, and what is shown carries nothing that the phone added."""

from __future__ import annotations

import io
import struct
import zlib
from concurrent.futures import ThreadPoolExecutor
from threading import get_ident
from time import sleep
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ExifTags, Image, ImageDraw, ImageFile

from offtool.exchange.pictures import (
    MAX_BYTES,
    MAX_PIXELS,
    SHOWN,
    THUMBNAIL,
    PictureRefused,
    check_picture,
    draw_picture,
)

HERE = b"harbour shed 7"
"""Stands in the metadata as the place of the phone would."""


def drawn(size: tuple[int, int] = (60, 40), mode: str = "RGB") -> Image.Image:
    """A picture whose upper left corner is dark."""
    picture = Image.new("L", size, 230)
    ImageDraw.Draw(picture).rectangle((0, 0, size[0] // 3, size[1] // 3), fill=10)
    return picture.convert(mode)


def photograph(
    form: str = "JPEG", *, size: tuple[int, int] = (60, 40), orientation: int = 1, mode: str = "RGB"
) -> bytes:
    """A photograph as a phone sends it: turned by a note, with the place where it was taken."""
    notes = Image.Exif()
    notes[ExifTags.Base.Orientation] = orientation
    notes[ExifTags.Base.Make] = HERE.decode()
    notes.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSAreaInformation] = HERE
    sent = io.BytesIO()
    drawn(size, mode).save(sent, form, exif=notes)
    return sent.getvalue()


def corner(jpeg: bytes) -> str:
    """Where the dark corner is."""
    picture = Image.open(io.BytesIO(jpeg)).convert("L")
    wide, high = picture.width - 3, picture.height - 3
    places = {
        "upper left": (2, 2),
        "upper right": (wide, 2),
        "lower left": (2, high),
        "lower right": (wide, high),
    }
    return min(places, key=lambda place: picture.getpixel(places[place]))


@pytest.mark.parametrize(
    ("form", "media_type"), [("JPEG", "image/jpeg"), ("PNG", "image/png"), ("WEBP", "image/webp")]
)
def test_three_kinds_are_taken_and_known_by_their_bytes(form: str, media_type: str) -> None:
    found = check_picture(photograph(form), "misnamed.txt")
    assert (found.media_type, found.width, found.height) == (media_type, 60, 40)


@pytest.mark.parametrize(
    ("orientation", "where"), [(1, "upper left"), (3, "lower right"), (6, "upper right"), (8, "lower left")]
)
def test_a_picture_is_shown_upright(orientation: int, where: str) -> None:
    """EXIF 2.32, tag 0x0112: in 6 row 0 is the right side, in 8 the left, in 3 the bottom."""
    sent = photograph(orientation=orientation)
    found, shown = check_picture(sent, "a.jpg"), draw_picture(sent, "a.jpg")
    assert corner(shown) == where
    assert Image.open(io.BytesIO(shown)).size == (found.width, found.height)


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_what_is_shown_tells_nothing_of_the_phone(form: str) -> None:
    sent = photograph(form)
    assert HERE in sent
    shown = draw_picture(sent, "a")
    assert HERE not in shown
    assert b"Exif" not in shown
    assert not Image.open(io.BytesIO(shown)).getexif()
    assert "icc_profile" not in Image.open(io.BytesIO(shown)).info


@pytest.mark.parametrize("longest", [SHOWN, THUMBNAIL])
def test_a_large_picture_is_shown_smaller_and_a_small_one_never_larger(longest: int) -> None:
    large = draw_picture(photograph(size=(2400, 1200)), "a", longest=longest)
    assert Image.open(io.BytesIO(large)).size == (longest, longest // 2)
    small = draw_picture(photograph(), "a", longest=longest)
    assert Image.open(io.BytesIO(small)).size == (60, 40)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "I;16"])
def test_every_kind_of_pixel_can_be_shown(mode: str) -> None:
    picture = (
        drawn().convert("L").point(lambda value: value * 256, "I").convert("I;16")
        if mode == "I;16"
        else drawn(mode=mode)
    )
    sent = io.BytesIO()
    picture.save(sent, "PNG")
    assert corner(draw_picture(sent.getvalue(), "a")) == "upper left"


def test_a_large_picture_of_16_bits_a_pixel_is_shown_smaller() -> None:
    large = Image.new("I;16", (2400, 1200), 32_768)
    sent = io.BytesIO()
    large.save(sent, "PNG")
    shown = Image.open(io.BytesIO(draw_picture(sent.getvalue(), "a", longest=THUMBNAIL)))
    assert (shown.size, shown.getpixel((80, 40))) == ((THUMBNAIL, THUMBNAIL // 2), (128, 128, 128))


def test_pictures_sent_at_once_are_read_one_after_the_other(monkeypatch: pytest.MonkeyPatch) -> None:
    """A large one holds hundreds of megabytes while it is read."""
    reading, most, load = set[int](), list[int](), ImageFile.ImageFile.load

    def slow(picture: ImageFile.ImageFile) -> Any:
        reading.add(get_ident())
        most.append(len(reading))
        sleep(0.02)
        loaded = load(picture)
        reading.discard(get_ident())
        return loaded

    monkeypatch.setattr(ImageFile.ImageFile, "load", slow)
    with ThreadPoolExecutor(4) as pool:
        read = [pool.submit(one, photograph(), "a.jpg") for one in (check_picture, draw_picture) * 2]
    assert all(one.result() for one in read)
    assert max(most) == 1


def test_what_is_clear_is_shown_white() -> None:
    sent = io.BytesIO()
    Image.new("RGBA", (8, 8), (0, 0, 0, 0)).save(sent, "PNG")
    assert Image.open(io.BytesIO(draw_picture(sent.getvalue(), "a"))).getpixel((4, 4)) == (255, 255, 255)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty"),
        (b"cavity,shot\n1,2\n", "is no picture that can be read"),
        (b"\xff\xd8\xff\xe0 no more", "is"),
        (b"\x00\x00\x00\x18ftypheic\x00\x00", "is a HEIC picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "is no picture that can be read"),
        (b"GIF89a\x01\x00\x01\x00\x00\x00\x00;", "is no picture that can be read"),
    ],
)
def test_what_is_no_picture_is_refused_in_words(content: bytes, said: str) -> None:
    with pytest.raises(PictureRefused, match=said) as refusal:
        check_picture(content, "IMG_1.jpg")
    assert refusal.value.where == "IMG_1.jpg"
    assert refusal.value.remedy


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_picture_that_was_cut_off_is_refused(form: str) -> None:
    whole = photograph(form, size=(300, 200))
    with pytest.raises(PictureRefused, match=r"cut off or broken"):
        check_picture(whole[: len(whole) // 2], "a")


def test_a_file_that_is_too_large_is_refused_unread() -> None:
    with pytest.raises(PictureRefused, match="at most 25,000,000 are kept"):
        check_picture(photograph() + bytes(MAX_BYTES), "a")


def a_bomb(width: int, height: int) -> bytes:
    """A PNG of few bytes that claims so many pixels."""

    def piece(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + piece(b"IHDR", head)
        + piece(b"IDAT", zlib.compress(bytes(1000)))
        + piece(b"IEND", b"")
    )


@pytest.mark.parametrize("side", [8001, 12_000, 50_000])
def test_few_bytes_that_claim_many_pixels_are_refused_before_they_are_unpacked(side: int) -> None:
    assert side * side > MAX_PIXELS
    for read in (check_picture, draw_picture):
        with pytest.raises(PictureRefused, match="at most 64 million are read"):
            read(a_bomb(side, side), "bomb.png")


def test_a_strip_longer_than_any_camera_gives_is_refused() -> None:
    with pytest.raises(PictureRefused, match="30,000 × 1 pixels"):
        check_picture(a_bomb(30_000, 1), "strip.png")


WHOLE = [photograph(form, orientation=6) for form in ("JPEG", "PNG", "WEBP")]


@st.composite
def nearly_pictures(draw: st.DrawFn) -> bytes:
    """A picture with some bytes changed, taken out or put in."""
    content = bytearray(draw(st.sampled_from(WHOLE)))
    for _ in range(draw(st.integers(1, 6))):
        at = draw(st.integers(0, len(content)))
        content[at : at + draw(st.integers(0, 8))] = draw(st.binary(max_size=8))
    return bytes(content)


@given(content=st.one_of(st.binary(max_size=200), nearly_pictures()))
@settings(max_examples=300, deadline=None)
def test_any_bytes_give_a_picture_or_a_refusal(content: bytes) -> None:
    try:
        found = check_picture(content, "a")
    except PictureRefused:
        return
    assert found.width * found.height <= MAX_PIXELS
    shown = Image.open(io.BytesIO(draw_picture(content, "a", longest=THUMBNAIL)))
    shown.load()
    assert shown.format == "JPEG"
    assert max(shown.size) <= THUMBNAIL
    assert not shown.getexif()
