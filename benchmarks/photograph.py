"""A photograph of 24 megapixels with 30 marked regions, beside plain means of the same regions."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from PIL import Image

from benchmarks.figures import Figure
from benchmarks.tasks import seconds

WIDE, HIGH = 6000, 4000
REGIONS = tuple(
    (0.04 + 0.16 * column, 0.05 + 0.19 * row, 0.15 + 0.16 * column, 0.18 + 0.19 * row)
    for row in range(5)
    for column in range(6)
)
"""A card of 24 patches and six places of a piece, each some 340,000 pixels."""


def photograph(folder: Path) -> Iterator[Figure]:
    """All regions read from the bytes of the file; and its metadata taken off."""
    from offtool.exchange.photographed import regions_of
    from offtool.exchange.pictures import strip_metadata

    content = a_photograph(folder / "photograph.jpg")
    plain = min(seconds(lambda: plain_means(content)) for _ in range(3))
    for what, work, goal in (
        (
            f"photograph of 24 megapixels, {len(REGIONS)} regions",
            lambda: regions_of(content, "bench", REGIONS),
            3.0,
        ),
        ("  its metadata taken off", lambda: strip_metadata(content, "bench"), None),
    ):
        yield Figure(
            what=f"{what}, best of 3", value=min(seconds(work) for _ in range(3)), unit="s", goal=goal,
            beside="plain Pillow and numpy means", baseline=plain,
        )  # fmt: skip


def a_photograph(file: Path) -> bytes:
    """Patches with the grain of a phone's sensor, kept in a file of some megabytes."""
    rng = np.random.default_rng(11)
    patches = rng.integers(30, 220, (5, 6, 3), dtype=np.uint8)
    flat = patches.repeat(HIGH // 5, axis=0).repeat(WIDE // 6, axis=1)
    grain = rng.integers(0, 12, (HIGH, WIDE, 1), dtype=np.uint8)
    Image.fromarray(flat + grain).save(file, "JPEG", quality=92)
    return file.read_bytes()


def plain_means(content: bytes) -> list[np.ndarray]:
    """The baseline: the picture decoded, and the mean of each region as stored."""
    pixels = np.asarray(Image.open(io.BytesIO(content)))
    found = []
    for x0, y0, x1, y1 in REGIONS:
        part = pixels[round(y0 * HIGH) : round(y1 * HIGH), round(x0 * WIDE) : round(x1 * WIDE)]
        found.append(part.reshape(-1, 3).mean(axis=0))
    return found
