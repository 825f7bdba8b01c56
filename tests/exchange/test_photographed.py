"""Regions of a photograph: the light that was there, without glints, upright, in the colours of a screen."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pytest
from hypothesis import strategies as st
from PIL import ExifTags, Image, ImageCms, ImageOps

from offtool.core.colour.spaces import linear_from_srgb
from offtool.core.values import ImpossibleInput
from offtool.exchange import photographed
from offtool.exchange.photographed import RegionPixels, region_of, regions_of
from offtool.exchange.pictures import PictureRefused
from tests.core.laws import law
from tests.labels import independent

WHOLE = (0.0, 0.0, 1.0, 1.0)
FOUR = np.array([[[200, 30, 40], [30, 160, 60]], [[40, 50, 190], [120, 118, 122]]], dtype=np.uint8)
"""Red and green above blue and grey."""


def sent(pixels: np.ndarray, form: str = "PNG", **more: Any) -> bytes:
    content = io.BytesIO()
    Image.fromarray(pixels).save(content, form, **more)
    return content.getvalue()


def quarters(side: int = 20) -> np.ndarray:
    return FOUR.repeat(side, axis=0).repeat(side, axis=1)


def turned(orientation: int) -> dict[str, Any]:
    notes = Image.Exif()
    notes[ExifTags.Base.Orientation] = orientation
    return {"exif": notes}


QUARTERS = ((0.0, 0.0, 0.5, 0.5), (0.5, 0.0, 1.0, 0.5), (0.0, 0.5, 0.5, 1.0), (0.5, 0.5, 1.0, 1.0))


def test_each_region_gives_the_light_of_its_colour() -> None:
    found = regions_of(sent(quarters()), "a.png", QUARTERS)
    for region, colour in zip(found, FOUR.reshape(4, 3), strict=True):
        assert region.rgb_mean == pytest.approx(linear_from_srgb(colour), rel=1e-12)
        assert region.rgb_sd == pytest.approx((0, 0, 0), abs=1e-12)
        assert (region.pixels, region.clipped_share, region.left_out_share) == (400, 0, 0)
    assert (found[1].x, found[1].y) == (0.75, 0.25)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_regions_are_those_of_the_upright_picture(orientation: int) -> None:
    """Beside Pillow's own turning of the whole picture, with a picture that is not square."""
    rng = np.random.default_rng(2)
    pixels = rng.integers(60, 200, (30, 50, 3), dtype=np.uint8)
    content = sent(pixels, **turned(orientation))
    upright = np.asarray(ImageOps.exif_transpose(Image.open(io.BytesIO(content))))
    high, wide = upright.shape[:2]
    part = upright[high // 5 : high // 5 * 4, wide // 10 : wide // 10 * 5].reshape(-1, 3)
    found = region_of(content, "a.png", (0.1, 0.2, 0.5, 0.8))
    light = linear_from_srgb(part)
    bright = light @ [0.2126, 0.7152, 0.0722]
    away = np.abs(bright - np.median(bright))
    kept = light[away <= 4 * 1.4826 * np.median(away)]
    assert np.array(found.rgb_mean) == independent(
        kept.mean(axis=0), way="the whole picture turned by Pillow"
    )
    assert found.pixels == len(kept)


def test_a_glint_and_a_scratch_do_not_move_the_mean() -> None:
    pixels = np.full((40, 40, 3), (90, 60, 50), dtype=np.uint8)
    pixels = pixels + np.random.default_rng(1).integers(0, 4, pixels.shape, dtype=np.uint8)
    spoiled = pixels.copy()
    spoiled[:5, :20], spoiled[30:32] = 255, 3
    clean, found = (region_of(sent(one), "a", WHOLE) for one in (pixels, spoiled))
    assert np.array(found.rgb_mean) == independent(clean.rgb_mean, way="without glint and scratch", rel=0.005)
    assert found.left_out_share == pytest.approx((5 * 20 + 2 * 40) / 1600, abs=0.01)
    assert found.clipped_share == 0


def test_what_is_clipped_as_a_whole_is_said_and_not_left_out() -> None:
    found = region_of(sent(np.full((20, 20, 3), (255, 180, 90), dtype=np.uint8)), "a", WHOLE)
    assert found.clipped_share == 1
    cut = region_of(sent(np.full((20, 20, 3), (200, 0, 20), dtype=np.uint8)), "a", WHOLE)
    assert cut.clipped_share == 1


def test_what_is_too_dark_is_said() -> None:
    found = region_of(sent(np.full((20, 20, 3), (9, 8, 10), dtype=np.uint8)), "a", WHOLE)
    assert (found.dark_share, found.clipped_share) == (1, 0)


def red_for_blue() -> bytes:
    """The profile of sRGB with the names of its first and third primary exchanged."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return profile.replace(b"rXYZ", b"????").replace(b"bXYZ", b"rXYZ").replace(b"????", b"bXYZ")


def test_a_profile_is_honoured() -> None:
    red, blue = np.full((20, 20, 3), (200, 30, 40), dtype=np.uint8), np.array([40, 30, 200])
    found = region_of(sent(red, icc_profile=red_for_blue()), "a", WHOLE)
    assert found.rgb_mean == pytest.approx(linear_from_srgb(blue), abs=0.01)


def test_a_profile_is_honoured_in_a_thinned_region_too(monkeypatch: pytest.MonkeyPatch) -> None:
    red = np.full((60, 60, 3), (200, 30, 40), dtype=np.uint8)
    whole = region_of(sent(red, icc_profile=red_for_blue()), "a", WHOLE)
    monkeypatch.setattr(photographed, "MOST_PIXELS", 400)
    thin = region_of(sent(red, icc_profile=red_for_blue()), "a", WHOLE)
    assert thin.pixels == 400
    assert thin.rgb_mean == pytest.approx(whole.rgb_mean)


def test_a_colour_that_a_screen_cannot_show_counts_as_clipped() -> None:
    """Of a profile with primaries beyond those of sRGB: here green's and red's light is taken for less."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    place = profile.index(b"gXYZ")
    offset = int.from_bytes(profile[place + 4 : place + 8], "big")
    profile[offset + 8 : offset + 12] = (int(0.20 * 65536)).to_bytes(4, "big")  # X of green, 0.385 in sRGB
    green = np.full((20, 20, 3), (30, 230, 30), dtype=np.uint8)
    assert region_of(sent(green), "a", WHOLE).clipped_share == 0
    assert region_of(sent(green, icc_profile=bytes(profile)), "a", WHOLE).clipped_share == 1


@law(value=st.integers(1, 253))
def test_the_curve_is_that_of_the_core(value: int) -> None:
    found = region_of(sent(np.full((5, 5, 3), value, dtype=np.uint8)), "a", WHOLE)
    assert found.rgb_mean[0] == pytest.approx(float(linear_from_srgb(value)), rel=1e-12)


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_every_form_is_read(form: str) -> None:
    found = regions_of(sent(quarters(40), form, quality=95), "a", QUARTERS)
    for region, colour in zip(found, FOUR.reshape(4, 3), strict=True):
        assert region.rgb_mean == pytest.approx(linear_from_srgb(colour), abs=0.02)


@pytest.mark.parametrize("mode", ["L", "LA", "P", "RGBA", "CMYK"])
def test_every_kind_of_pixel_is_read(mode: str) -> None:
    content = io.BytesIO()
    grey = Image.fromarray(np.full((20, 20, 3), 118, dtype=np.uint8))
    grey = grey.convert(mode, palette=Image.Palette.ADAPTIVE)
    grey.save(content, "JPEG" if mode == "CMYK" else "PNG", **({"quality": 100} if mode == "CMYK" else {}))
    found = region_of(content.getvalue(), "a", WHOLE)
    assert found.rgb_mean == pytest.approx([float(linear_from_srgb(118))] * 3, abs=0.005)


def test_a_large_region_is_thinned_and_comes_out_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    pixels = np.random.default_rng(5).integers(80, 120, (300, 400, 3), dtype=np.uint8)
    whole = region_of(sent(pixels), "a", WHOLE)
    monkeypatch.setattr(photographed, "MOST_PIXELS", 10_000)
    thin = region_of(sent(pixels), "a", WHOLE)
    assert 5_000 < thin.pixels <= 10_000
    assert np.array(thin.rgb_mean) == independent(whole.rgb_mean, way="every pixel", rel=0.01)
    assert thin.rgb_sd == pytest.approx(whole.rgb_sd, rel=0.05)


@pytest.mark.parametrize(
    "region",
    [(0.5, 0.0, 0.5, 1.0), (0.6, 0.0, 0.4, 1.0), (-0.1, 0.0, 1.0, 1.0), (0.0, 0.0, 1.0, 1.1),
     (float("nan"), 0.0, 1.0, 1.0), (0.0, 0.0, 0.01, 0.01)],
)  # fmt: skip
def test_a_region_that_is_none_is_refused(region: Any) -> None:
    with pytest.raises(ImpossibleInput, match="region"):
        region_of(sent(quarters()), "a", region)


def test_what_is_no_picture_is_refused_as_everywhere() -> None:
    with pytest.raises(PictureRefused):
        region_of(b"patch,L,a,b\n", "a", WHOLE)


@law(
    x0=st.floats(0, 0.7), y0=st.floats(0, 0.7), wide=st.floats(0.25, 0.3), high=st.floats(0.25, 0.3),
    orientation=st.integers(1, 8),
)  # fmt: skip
def test_any_region_inside_stays_inside(
    x0: float, y0: float, wide: float, high: float, orientation: int
) -> None:
    found: RegionPixels = region_of(
        sent(quarters(), **turned(orientation)), "a", (x0, y0, x0 + wide, y0 + high)
    )
    assert 40 <= found.pixels <= 144
    assert max(found.rgb_mean) <= 1
