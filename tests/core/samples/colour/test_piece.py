"""The colour of a region: what it is, how sure, and when it cannot be said."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.colour import lab_in_light
from offtool.core.colour.spaces import lab_from_linear, linear_from_lab
from offtool.core.samples.colour import CardPatch, PieceColour, correct_card, correct_colour
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.samples.colour.test_card import EVEN, MIXING, card_labs, seen_by
from tests.labels import independent

LABS = [lab for name, lab in card_labs().items() if name != "cyan"]
CORRECTION = correct_card(seen_by(MIXING), light="D50/2")
GREY = correct_card([CardPatch(name="grey", lab=(50.0, 0.0, 0.0), rgb=(0.2, 0.2, 0.2))], light="D65/2")


def found(
    rgb: tuple[float, float, float] = (0.2, 0.1, 0.15),
    *,
    sd: tuple[float, float, float] = EVEN,
    pixels: int = 10_000,
    clipped: float = 0.0,
    dark: float = 0.0,
) -> PieceColour:
    return correct_colour(CORRECTION, rgb, sd, pixels, clipped, dark)


def test_a_patch_comes_out_as_its_reference_in_the_light_asked_for() -> None:
    for patch in seen_by(MIXING):
        piece = correct_colour(CORRECTION, patch.rgb, EVEN, 400, 0.0, 0.0, light="D50/2")
        assert (piece.lightness, piece.a, piece.b) == pytest.approx(patch.lab, abs=1e-5)
        usual = correct_colour(CORRECTION, patch.rgb, EVEN, 400, 0.0, 0.0)
        there = lab_in_light(patch.lab, "D50/2", "D65/2")
        assert (usual.lightness, usual.a, usual.b) == pytest.approx(there, abs=1e-5)


def test_a_region_that_is_clipped_or_too_dark_has_no_colour_and_says_so() -> None:
    for piece, why in (
        (found(clipped=0.06), "6% of the region is clipped"),
        (found(dark=0.5), "50% of the region is too dark"),
    ):
        assert piece.lightness is piece.a is piece.uncertainty_de is None
        assert not piece.can_be_said
        assert piece.words.startswith("cannot be said")
        assert why in piece.words
    assert found(clipped=0.02).can_be_said
    assert "clipped" in str(found(clipped=0.02).cautions[0])


def test_the_uncertainty_of_the_card_is_the_least_there_is() -> None:
    piece = correct_colour(GREY, (0.2, 0.2, 0.2), EVEN, 400, 0.0, 0.0)
    assert piece.uncertainty_de == pytest.approx(GREY.uncertainty_de)
    assert piece.sd_lightness == pytest.approx(GREY.uncertainty_de, rel=0.02)


def test_unevenness_is_carried_to_lab_as_a_simulation_has_it() -> None:
    """Many regions with the error of their mean drawn, the three channels together."""
    mean, sd, pixels = np.array([0.30, 0.12, 0.08]), (0.03, 0.012, 0.008), 900
    piece = found(tuple(mean.tolist()), sd=sd, pixels=pixels)
    drawn = np.random.default_rng(4).normal(size=20_000)[:, None] * np.array(sd) / sqrt(pixels / 100)
    spread = lab_from_linear(CORRECTION.fit.light(mean + drawn)).std(axis=0)
    assert [piece.sd_lightness, piece.sd_a, piece.sd_b] == independent(
        spread, way="20,000 drawn means", rel=0.03
    )


@law(pixels=st.integers(100, 100_000), more=st.integers(1, 100_000))
def test_more_pixels_never_make_it_less_sure(pixels: int, more: int) -> None:
    few, many = (found(sd=(0.02, 0.02, 0.02), pixels=one) for one in (pixels, pixels + more))
    assert many.uncertainty_de <= few.uncertainty_de + 1e-12


@law(lab=st.sampled_from(LABS), times=st.floats(0.1, 10))
def test_uncertainty_is_in_proportion_to_unevenness(lab: tuple[float, float, float], times: float) -> None:
    """This card leaves nothing of its own."""
    rgb = linear_from_lab(lab, "D50/2") @ MIXING.T
    once, often = (found(tuple(rgb.tolist()), sd=tuple((by * rgb).tolist())) for by in (0.02, 0.02 * times))
    assert often.uncertainty_de == pytest.approx(times * once.uncertainty_de, rel=1e-3)
    assert often.sd_lightness == pytest.approx(times * once.sd_lightness, rel=1e-3)


def test_a_colour_beyond_those_of_the_card_is_said() -> None:
    inside, outside = found(), found((0.05, 0.60, 0.02))
    assert inside.outside_card == 0
    assert outside.outside_card > 10
    assert "outside those of the card" in str(outside.cautions[0])
    assert correct_colour(GREY, (0.2, 0.1, 0.1), EVEN, 400, 0.0, 0.0).outside_card is None


def test_far_from_the_card_it_is_less_sure() -> None:
    noisy = [
        CardPatch(name=one.name, lab=one.lab, rgb=tuple((np.array(one.rgb) * step).tolist()))
        for one, step in zip(
            seen_by(MIXING),
            np.exp(np.random.default_rng(2).normal(0, 0.03, (23, 3))),
            strict=True,
        )
    ]
    card = correct_card(noisy, light="D50/2")
    near, far = (
        correct_colour(card, rgb, EVEN, 10_000, 0.0, 0.0) for rgb in ((0.2, 0.2, 0.15), (0.02, 0.6, 0.02))
    )
    assert near.uncertainty_de >= card.uncertainty_de - 1e-9
    assert far.uncertainty_de > 1.2 * near.uncertainty_de


@pytest.mark.parametrize(
    "wrong",
    [
        {"pixels": 0},
        {"clipped": 1.2},
        {"dark": -0.1},
        {"rgb": (float("nan"), 0.1, 0.1)},
        {"sd": (-1.0, 0, 0)},
    ],
)
def test_what_is_no_region_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(ImpossibleInput):
        found(**wrong)  # type: ignore[arg-type]
