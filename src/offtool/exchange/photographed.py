"""The light of marked regions of a photograph: means without glints, and what is clipped or too dark.

All regions are read from one reading of the file. Light is linear, 0 to 1, by the curve of sRGB.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image

from offtool.core.values import ImpossibleInput
from offtool.exchange.pictures import _in_usual_colours, _opened, refuse_large_picture

Region = tuple[float, float, float, float]
"""Left, top, right and bottom as shares of the upright picture."""

LEAST_PIXELS = 16
MOST_PIXELS = 100_000
"""Of a larger region every second, third … pixel of each row and column is taken: the mean is as good."""
BRIGHTEST, DARKEST = 254, 16
"""A channel this bright is clipped; a pixel whose brightest channel stays below is too dark: its steps are
coarser than 5 % of its light."""
GLINT = 4.0
"""Pixels so many standard deviations brighter or darker than the median are left out; our own."""
_LEAST_STEP = 0.01
"""Below this share of its light a region's unevenness is the grain of 8 bits."""
_SD_OF_MAD = 1.4826
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
_V = np.arange(256) / 255
_LINEAR = np.where(_V <= 0.04045, _V / 12.92, ((_V + 0.055) / 1.055) ** 2.4)
"""IEC 61966-2-1."""

_TURNED = {
    2: (False, True, False),
    3: (False, True, True),
    4: (False, False, True),
    5: (True, False, False),
    6: (True, False, True),
    7: (True, True, True),
    8: (True, True, False),
}
"""How a place in the upright picture becomes one in the picture as stored: across and down change places;
then across runs backwards, then down does. EXIF 2.32, tag 0x0112."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionPixels:
    """Mean and standard deviation of a region's linear light, and the shares of its pixels that tell less.

    `pixels` counts those that were averaged; `clipped_share` and `dark_share` are of them, `left_out_share`
    of the whole region. `x` and `y` are its middle, as shares of the upright picture.
    """

    rgb_mean: tuple[float, float, float]
    rgb_sd: tuple[float, float, float]
    pixels: int
    clipped_share: float
    dark_share: float
    left_out_share: float
    x: float
    y: float


def region_of(content: bytes, name: str, region: Region) -> RegionPixels:
    """The light of one region. Raises as `regions_of` does."""
    return regions_of(content, name, [region])[0]


def regions_of(content: bytes, name: str, regions: Sequence[Region]) -> tuple[RegionPixels, ...]:
    """The light of each region of a photograph, upright and in the colours of sRGB.

    Raises PictureRefused as `check_picture` does, and ImpossibleInput for a region outside the picture, the
    wrong way round, or of too few pixels.
    """
    refuse_large_picture(len(content), name)
    for region in regions:
        _refuse_impossible(region)
    with _opened(content, name) as picture:
        picture.load()
        orientation = int(picture.getexif().get(ExifTags.Base.Orientation, 1))
        return tuple(_region(picture, region, orientation) for region in regions)


def _refuse_impossible(region: Region) -> None:
    x0, y0, x1, y1 = region
    if not (0 <= x0 < x1 <= 1 and 0 <= y0 < y1 <= 1):
        shown = ", ".join(f"{one:g}" for one in region)
        raise ImpossibleInput(
            "region", shown, "", "must be left, top, right and bottom, as shares of 0 to 1",
            "mark it inside the picture, from its upper left to its lower right",
        )  # fmt: skip


def _region(picture: Image.Image, region: Region, orientation: int) -> RegionPixels:
    part = picture.crop(_box(region, orientation, picture.size))
    if part.width * part.height < LEAST_PIXELS:
        raise ImpossibleInput(
            "region", f"{part.width} × {part.height}", "pixels", f"must be at least {LEAST_PIXELS} pixels",
            "mark a larger region, or take the photograph from nearer",
        )  # fmt: skip
    if part.width * part.height > MOST_PIXELS:
        part = _thinned(part)
    stored = _numbers(part) if part.mode == "RGB" else None
    shown = _numbers(_in_usual_colours(part))
    return _measured(shown, _is_clipped(shown if stored is None else stored) | _is_clipped(shown), region)


def _box(region: Region, orientation: int, size: tuple[int, int]) -> tuple[int, int, int, int]:
    """The pixels that lie in a region as a whole; at least one."""
    across, down = (region[0], region[2]), (region[1], region[3])
    swapped, across_back, down_back = _TURNED.get(orientation, (False, False, False))
    if swapped:
        across, down = down, across
    x0, x1 = _whole(*_backwards(across, across_back), size[0])
    y0, y1 = _whole(*_backwards(down, down_back), size[1])
    return x0, y0, x1, y1


def _backwards(ends: tuple[float, float], is_so: bool) -> tuple[float, float]:
    return (1 - ends[1], 1 - ends[0]) if is_so else ends


def _whole(low: float, high: float, size: int) -> tuple[int, int]:
    """Pixels that lie between two shares as a whole."""
    grain = 1e-6  # a mark on the edge of a pixel stays there, whatever a share of a third comes to
    first, last = ceil(low * size - grain), floor(high * size + grain)
    start = min(first, size - 1)
    return start, max(last, start + 1)


def _thinned(part: Image.Image) -> Image.Image:
    step = ceil((part.width * part.height / MOST_PIXELS) ** 0.5)
    size = ceil(part.width / step), ceil(part.height / step)
    return part.transform(
        size, Image.Transform.AFFINE, (step, 0, 0, 0, step, 0), resample=Image.Resampling.NEAREST
    )


def _numbers(part: Image.Image) -> NDArray[np.uint8]:
    return np.asarray(part, dtype=np.uint8).reshape(-1, 3)


def _is_clipped(pixels: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """A channel at its end, above or below; below, the colour lies outside what the picture can hold."""
    most = pixels.max(axis=1)
    return np.asarray((most >= BRIGHTEST) | ((pixels.min(axis=1) == 0) & (most >= DARKEST)))


def _measured(pixels: NDArray[np.uint8], clipped: NDArray[np.bool_], region: Region) -> RegionPixels:
    light = _LINEAR[pixels]
    kept = _without_glints(light @ _LUMINANCE)
    light, dark = light[kept], pixels[kept].max(axis=1) < DARKEST
    mean, sd = light.mean(axis=0), light.std(axis=0)
    return RegionPixels(
        rgb_mean=(float(mean[0]), float(mean[1]), float(mean[2])),
        rgb_sd=(float(sd[0]), float(sd[1]), float(sd[2])),
        pixels=len(light),
        clipped_share=float(clipped[kept].mean()),
        dark_share=float(dark.mean()),
        left_out_share=float(1 - kept.mean()),
        x=(region[0] + region[2]) / 2,
        y=(region[1] + region[3]) / 2,
    )


def _without_glints(bright: NDArray[np.float64]) -> NDArray[np.bool_]:
    """The pixels near the median; glints, scratches and dirt are not."""
    middle = np.median(bright)
    away = np.abs(bright - middle)
    spread = max(_SD_OF_MAD * float(np.median(away)), _LEAST_STEP * float(middle), 1e-4)
    return np.asarray(away <= GLINT * spread)
