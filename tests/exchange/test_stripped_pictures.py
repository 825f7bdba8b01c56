"""Metadata goes, every pixel stays: JPEG, PNG and WebP without place, owner, texts and hidden pictures."""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any

import pytest
from hypothesis import strategies as st
from PIL import ExifTags, Image, ImageCms, ImageOps, PngImagePlugin

from offtool.exchange.pictures import MAX_BYTES, PictureRefused, check_picture, draw_picture, strip_metadata
from tests.core.laws import law
from tests.exchange.test_pictures import HERE, corner, drawn, nearly_pictures, photograph

FORMS = ("JPEG", "PNG", "WEBP")
PROFILE = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def opened(content: bytes) -> Image.Image:
    picture = Image.open(io.BytesIO(content))
    picture.load()
    return picture


def pixels(content: bytes) -> tuple[str, tuple[int, int], bytes]:
    """As stored, not turned."""
    picture = opened(content)
    return picture.mode, picture.size, picture.tobytes()


def saved(picture: Image.Image, form: str, **more: Any) -> bytes:
    sent = io.BytesIO()
    picture.save(sent, form, **more)
    return sent.getvalue()


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("orientation", range(1, 9))
def test_pixels_stay_as_they_are_and_upright_and_the_place_goes(form: str, orientation: int) -> None:
    sent = photograph(form, orientation=orientation)
    bare = strip_metadata(sent, "a")
    assert HERE in sent
    assert HERE not in bare
    assert pixels(bare) == pixels(sent)
    upright = [ImageOps.exif_transpose(opened(one)).tobytes() for one in (sent, bare)]
    assert upright[0] == upright[1]
    assert corner(draw_picture(bare, "a")) == corner(draw_picture(sent, "a"))
    assert check_picture(bare, "a") == check_picture(sent, "a")
    left = dict(opened(bare).getexif())
    assert left == ({ExifTags.Base.Orientation: orientation} if orientation > 1 else {})


@pytest.mark.parametrize("form", FORMS)
def test_the_colour_profile_stays(form: str) -> None:
    notes = Image.Exif()
    notes[ExifTags.Base.Make] = HERE.decode()
    bare = strip_metadata(saved(drawn(), form, icc_profile=PROFILE, exif=notes), "a")
    assert opened(bare).info["icc_profile"] == PROFILE
    assert HERE not in bare


@pytest.mark.parametrize("form", FORMS)
def test_stripping_twice_is_stripping_once(form: str) -> None:
    once = strip_metadata(photograph(form, orientation=6), "a")
    assert strip_metadata(once, "a") == once


@pytest.mark.parametrize("mode", ["L", "RGB", "CMYK"])
@pytest.mark.parametrize("progressive", [False, True])
def test_jpegs_of_every_kind(mode: str, progressive: bool) -> None:
    sent = saved(
        drawn((301, 203), mode), "JPEG", comment=HERE, progressive=progressive, restart_marker_rows=1,
        xmp=b"<x:xmpmeta>" + HERE,
    )  # fmt: skip
    bare = strip_metadata(sent, "a.jpg")
    assert HERE in sent
    assert HERE not in bare
    assert pixels(bare) == pixels(sent)


def segment(marker: int, data: bytes) -> bytes:
    return struct.pack(">BBH", 0xFF, marker, len(data) + 2) + data


@pytest.mark.parametrize(
    "hidden",
    [
        segment(0xED, b"IPTC\x00" + HERE),
        segment(0xE2, b"MPF\x00" + HERE),
        segment(0xE1, b"http://ns.adobe.com/xap/1.0/\x00" + HERE),
        segment(0xEB, b"JP" + HERE),
        segment(0xE0, b"JFXX\x00\x13" + HERE),
        segment(0xFE, HERE),
        b"\xff\xff" + segment(0xEF, HERE)[1:],
    ],
)
def test_whatever_programs_hide_in_a_jpeg_goes(hidden: bytes) -> None:
    plain = saved(drawn(), "JPEG")
    bare = strip_metadata(plain[:2] + hidden + plain[2:], "a.jpg")
    assert HERE not in bare
    assert bare == strip_metadata(plain, "a.jpg")


def test_a_second_picture_and_what_follows_the_first_go() -> None:
    sent = io.BytesIO()
    second = drawn((60, 40)).rotate(180)
    drawn().save(sent, "MPO", save_all=True, append_images=[second])
    whole = sent.getvalue() + HERE
    bare = strip_metadata(whole, "a.jpg")
    assert opened(whole).n_frames == 2
    assert opened(bare).format == "JPEG"
    assert bare.count(b"\xff\xd8") == 1
    assert HERE not in bare
    assert pixels(bare)[2] == pixels(whole)[2]


def test_a_small_picture_inside_the_first_piece_goes() -> None:
    plain = saved(drawn(), "JPEG")
    length = struct.unpack(">H", plain[4:6])[0]
    dot = bytes([1, 1, 200, 100, 50])
    with_small = plain[:4] + struct.pack(">H", length + 3) + plain[6:18] + dot + plain[20:]
    assert opened(with_small).size == (60, 40)
    assert strip_metadata(with_small, "a.jpg") == strip_metadata(plain, "a.jpg")


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def test_texts_times_and_unknown_pieces_of_a_png_go_wherever_they_stand() -> None:
    notes = PngImagePlugin.PngInfo()
    notes.add_text("Comment", HERE.decode())
    notes.add_text("Author", HERE.decode(), zip=True)
    notes.add_itxt("XML:com.adobe.xmp", HERE.decode())
    sent = saved(drawn(mode="RGBA"), "PNG", pnginfo=notes)
    end = chunk(b"IEND", b"")
    late = chunk(b"tIME", b"\x07\xea\x01\x02\x03\x04\x05") + chunk(b"tEXt", b"late\x00" + HERE)
    odd = sent.removesuffix(end) + late + chunk(b"haRb", HERE) + end + HERE
    bare = strip_metadata(odd, "a.png")
    assert HERE not in bare
    assert b"tIME" not in bare
    assert not {b"tEXt", b"zTXt", b"iTXt"} & {bare[place : place + 4] for place in range(len(bare))}
    assert pixels(bare) == pixels(odd)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "I;16"])
def test_pngs_of_every_kind(mode: str) -> None:
    picture = drawn().convert("I").convert("I;16") if mode == "I;16" else drawn(mode=mode)
    more = {"transparency": 0} if mode == "P" else {}
    sent = saved(picture, "PNG", dpi=(300, 300), **more)
    assert pixels(strip_metadata(sent, "a")) == pixels(sent)


@pytest.mark.parametrize("lossless", [False, True])
@pytest.mark.parametrize("mode", ["RGB", "RGBA"])
def test_webps_of_every_kind(mode: str, lossless: bool) -> None:
    exif = Image.Exif()
    exif[ExifTags.Base.Make] = HERE.decode()
    sent = saved(drawn((61, 43), mode), "WEBP", lossless=lossless, exif=exif, xmp=b"<x>" + HERE) + HERE
    bare = strip_metadata(sent, "a.webp")
    assert HERE not in bare
    assert pixels(bare) == pixels(sent)
    assert struct.unpack("<I", bare[4:8])[0] == len(bare) - 8
    assert not bare[20] & 0x0C  # neither note is announced
    assert len(bare) % 2 == 0


@pytest.mark.parametrize("form", FORMS)
def test_what_is_no_whole_picture_is_refused(form: str) -> None:
    whole = photograph(form, size=(300, 200))
    for content in (b"", b"cavity,shot\n", whole[: len(whole) // 2], whole + bytes(MAX_BYTES)):
        with pytest.raises(PictureRefused):
            strip_metadata(content, "a")


SIZES = st.tuples(st.integers(1, 70), st.integers(1, 70))


@law(
    examples=80,
    size=SIZES,
    form=st.sampled_from(FORMS),
    orientation=st.integers(1, 8),
    seed=st.binary(min_size=9),
)
def test_any_picture_keeps_its_pixels(size: Any, form: str, orientation: int, seed: bytes) -> None:
    noise = (seed * (1 + 3 * size[0] * size[1] // len(seed)))[: 3 * size[0] * size[1]]
    notes = Image.Exif()
    notes[ExifTags.Base.Orientation] = orientation
    notes[ExifTags.Base.Make] = HERE.decode()
    sent = saved(Image.frombytes("RGB", size, noise), form, exif=notes)
    bare = strip_metadata(sent, "a")
    assert HERE not in bare
    assert pixels(bare) == pixels(sent)
    assert opened(bare).getexif().get(ExifTags.Base.Orientation, 1) == orientation


@law(examples=300, content=st.one_of(st.binary(max_size=200), nearly_pictures()))
def test_any_bytes_are_stripped_or_refused(content: bytes) -> None:
    try:
        bare = strip_metadata(content, "a")
    except PictureRefused:
        return
    shown = opened(bare)
    assert (shown.mode, shown.size, shown.tobytes()) == pixels(content)
    assert set(shown.getexif()) <= {ExifTags.Base.Orientation}
