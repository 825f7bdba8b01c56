"""From the bytes of a photograph to the colour of a piece: a card and a piece drawn as a camera sees them."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from offtool.core.colour import ciede2000
from offtool.core.colour.spaces import lab_in_light, linear_from_lab, srgb_from_linear
from offtool.core.samples.colour import CardPatch, PieceColour, correct_card, correct_colour
from offtool.exchange.photographed import RegionPixels, regions_of
from tests.core.samples.colour.test_card import MIXING, card_labs

PIECE = (52.0, 28.0, -6.0)
"""Under D50; inside the colours of the card."""
SIDE = 40


def photograph(*, exposure: float, quality: int, glint: bool = False) -> bytes:
    """Five rows of five patches; the last is the piece."""
    labs = np.array([*card_labs().values(), PIECE])
    seen = np.clip(exposure * linear_from_lab(labs, "D50/2") @ MIXING.T, 0, 1)
    light = seen.reshape(5, 5, 3).repeat(SIDE, axis=0).repeat(SIDE, axis=1)
    pixels = srgb_from_linear(light) + np.random.default_rng(6).normal(0, 2, light.shape)
    if glint:
        pixels[-SIDE // 2 - 4 : -SIDE // 2, -SIDE:-4] = 255
    content = io.BytesIO()
    picture = Image.fromarray(np.clip(np.round(pixels), 0, 255).astype(np.uint8))
    picture.save(content, "JPEG", quality=quality, subsampling=0)
    return content.getvalue()


def measured(content: bytes) -> PieceColour:
    """As an archivist marks it: the middle of each patch, then of the piece."""
    regions = [
        ((column + 0.25) / 5, (row + 0.25) / 5, (column + 0.75) / 5, (row + 0.75) / 5)
        for row in range(5)
        for column in range(5)
    ]
    *patches, piece = regions_of(content, "shelf.jpg", regions)
    card = correct_card(
        [patch(name, lab, seen) for (name, lab), seen in zip(card_labs().items(), patches, strict=True)],
        light="D50/2",
    )
    return correct_colour(
        card, piece.rgb_mean, piece.rgb_sd, piece.pixels, piece.clipped_share, piece.dark_share
    )


def patch(name: str, lab: tuple[float, float, float], seen: RegionPixels) -> CardPatch:
    return CardPatch(
        name=name, lab=lab, rgb=seen.rgb_mean, clipped_share=seen.clipped_share, dark_share=seen.dark_share,
        x=seen.x, y=seen.y,
    )  # fmt: skip


@pytest.mark.parametrize("exposure", [0.5, 0.9])
@pytest.mark.parametrize("quality", [85, 97])
@pytest.mark.parametrize("glint", [False, True])
def test_the_colour_of_the_piece_comes_out(exposure: float, quality: int, glint: bool) -> None:
    found = measured(photograph(exposure=exposure, quality=quality, glint=glint))
    apart = float(ciede2000((found.lightness, found.a, found.b), lab_in_light(PIECE, "D50/2", "D65/2")))
    assert apart < 1
    assert apart < 2 * np.sqrt(3) * found.uncertainty_de


def test_a_piece_in_the_glare_is_not_given_a_colour() -> None:
    found = measured(photograph(exposure=4.0, quality=95))
    assert not found.can_be_said
    assert "clipped" in found.words
