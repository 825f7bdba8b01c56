"""A photographed card corrects a camera of known response, and says how far off it still is."""

from __future__ import annotations

import csv
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.colour import ciede2000
from offtool.core.colour.spaces import linear_from_lab
from offtool.core.samples.colour import CardCorrection, CardPatch, correct_card, correct_colour
from offtool.core.samples.colour.card_fit import terms
from offtool.core.values import ImpossibleInput, NotEnoughData
from tests.core.laws import law
from tests.core.samples.colour.synthetic_camera import (
    a_camera,
    a_lamp,
    greys,
    photographed,
    surfaces,
    true_lab,
)
from tests.labels import held, independent

CARD = Path(__file__).parents[3] / "published" / "card_24.csv"
SIX_GREYS = [0.9, 0.6, 0.36, 0.19, 0.09, 0.035]
CAMERAS, PIECES = 40, 20
EVEN = (0.0, 0.0, 0.0)


def card_labs() -> dict[str, tuple[float, float, float]]:
    lines = CARD.read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return {row["patch"]: (float(row["L"]), float(row["a"]), float(row["b"])) for row in rows}


def seen_by(matrix: np.ndarray, *, gamma: float = 1.0, names: list[str] | None = None) -> list[CardPatch]:
    """The card as a camera sees it that mixes the three channels by a matrix, and bends them."""
    labs = card_labs()
    kept = names or [name for name in labs if name != "cyan"]  # its light lies outside sRGB
    light = linear_from_lab([labs[name] for name in kept], "D50/2") @ matrix.T
    return [
        CardPatch(name=name, lab=labs[name], rgb=tuple(rgb))
        for name, rgb in zip(kept, (light ** (1 / gamma)).tolist(), strict=True)
    ]


MIXING = np.array([[0.60, 0.15, 0.02], [0.08, 0.55, 0.10], [0.03, 0.12, 0.50]])


@cache
def errors(coloured: int, levels: tuple[float, ...], gamma: float = 1.0) -> tuple[np.ndarray, np.ndarray]:
    """True errors of pieces along each axis, and what was said of them, over drawn cameras and lamps."""
    found, said = [], []
    for seed in range(CAMERAS):
        rng = np.random.default_rng(seed)
        camera = a_camera(rng, exposure=rng.uniform(0.4, 0.9), gamma=gamma)
        lamp = a_lamp(rng)
        card = np.concatenate([surfaces(rng, coloured), greys(list(levels))])
        correction = correct_card(photographed(camera, card, lamp), light="D65/2")
        pieces = surfaces(rng, PIECES)
        for lab, rgb in zip(true_lab(pieces, lamp), camera.sees(pieces, lamp).tolist(), strict=True):
            piece = correct_colour(correction, tuple(rgb), EVEN, 10_000, 0.0, 0.0)
            found.append(float(ciede2000((piece.lightness, piece.a, piece.b), lab)) / np.sqrt(3))
            said.append(piece.uncertainty_de)
    return np.array(found), np.array(said)


def rms(values: np.ndarray) -> float:
    return float(np.sqrt((values**2).mean()))


def test_a_camera_that_only_mixes_channels_is_corrected_wholly() -> None:
    found = correct_card(seen_by(MIXING), light="D50/2")
    assert found.method == "root polynomial 1"
    assert found.rms_de == pytest.approx(0, abs=1e-6)
    assert np.array(found.fit.matrix) == independent(np.linalg.inv(MIXING), way="inverse", rel=1e-6)


@pytest.mark.parametrize("gamma", [0.8, 1.25])
def test_a_tone_curve_is_found_from_the_greys(gamma: float) -> None:
    found = correct_card(seen_by(np.diag([0.7, 0.8, 0.6]), gamma=gamma), light="D50/2")
    assert found.fit.gamma == pytest.approx(gamma, rel=1e-6)
    assert "tone curve" in " ".join(map(str, found.cautions))


def test_a_straight_camera_is_not_bent() -> None:
    assert correct_card(seen_by(MIXING), light="D50/2").fit.gamma == 1


def test_one_grey_gives_white_balance_and_exposure() -> None:
    patch = CardPatch(name="grey", lab=(50.0, 0.0, 0.0), rgb=(0.30, 0.20, 0.10))
    found = correct_card([patch], light="D65/2")
    piece = correct_colour(found, (0.30, 0.20, 0.10), EVEN, 400, 0.0, 0.0)
    assert found.method == "white balance"
    assert found.rms_de is None
    assert (piece.lightness, piece.a, piece.b) == pytest.approx((50, 0, 0), abs=1e-9)
    assert "white balance and exposure only" in str(found.cautions[0])


@law(
    exposure=st.floats(0.1, 1.1),
    degree=st.sampled_from(["root polynomial 1", "root polynomial 2"]),
)
def test_exposure_drops_out_of_every_term(exposure: float, degree: Any) -> None:
    rgb = np.array([0.2, 0.5, 0.7])
    assert terms(rgb * exposure, degree, 1.0) == pytest.approx(exposure * terms(rgb, degree, 1.0))


@law(examples=10, exposure=st.floats(0.3, 1.5))
def test_the_same_card_and_piece_exposed_otherwise_give_the_same_colour(
    exposure: float,
) -> None:
    patches = seen_by(MIXING)
    brighter = [replace(one, rgb=tuple((np.array(one.rgb) * exposure).tolist())) for one in patches]
    piece = np.array([0.2, 0.1, 0.15])
    colours = [
        correct_colour(
            correct_card(card, light="D50/2"),
            tuple((piece * by).tolist()),
            EVEN,
            400,
            0.0,
            0.0,
        )
        for card, by in ((patches, 1.0), (brighter, exposure))
    ]
    assert colours[0].lightness == pytest.approx(colours[1].lightness, abs=1e-6)
    assert colours[0].a == pytest.approx(colours[1].a, abs=1e-6)


@pytest.mark.parametrize("coloured", [18, 90])
def test_what_it_says_it_leaves_is_what_it_leaves(coloured: int) -> None:
    """Over drawn cameras, lamps and surfaces that were not on the card, within a fifth."""
    found, said = errors(coloured, tuple(SIX_GREYS))
    assert 0.8 < rms(said) / rms(found) < 1.25
    assert np.mean(found < 2 * said) > 0.9


def test_a_card_does_better_than_a_grey_and_a_large_card_better_than_a_small_one() -> None:
    one, small, large = (errors(*which) for which in ((0, (0.19,)), (8, (0.19, 0.6)), (90, tuple(SIX_GREYS))))
    assert rms(one[0]) > 3 * rms(small[0])
    assert rms(small[0]) > rms(large[0])


def test_the_uncertainty_of_a_white_balance_covers_what_drawn_cameras_leave() -> None:
    for levels in ((0.19,), tuple(SIX_GREYS)):
        found, said = errors(0, levels)
        assert rms(found) < rms(said) < 1.5 * rms(found)
        assert np.mean(found < 2 * said) > 0.95


def test_a_tone_curve_costs_nothing_once_the_greys_show_it() -> None:
    straight, bent = errors(18, tuple(SIX_GREYS)), errors(18, tuple(SIX_GREYS), 1.2)
    assert rms(bent[0]) == pytest.approx(rms(straight[0]), rel=0.01)


def test_greys_alone_never_pass_for_a_card_of_colours() -> None:
    found = correct_card(
        [CardPatch(name=f"g{place}", lab=(level, 0.0, 0.0), rgb=(level / 200,) * 3)
         for place, level in enumerate(range(20, 96, 5))],
        light="D65/2",
    )  # fmt: skip
    assert found.method == "white balance"
    assert found.uncertainty_de == 5.0


def test_errors_are_those_of_fits_made_without_the_patch() -> None:
    patches = seen_by(MIXING)
    strange = replace(patches[5], rgb=(0.3, 0.3, 0.3))
    card = [*patches[:5], strange, *patches[6:]]
    found = correct_card(card, light="D50/2")
    without = correct_card([*patches[:5], *patches[6:]], light="D50/2")
    piece = correct_colour(without, strange.rgb, EVEN, 400, 0.0, 0.0, light="D50/2")
    own = float(ciede2000((piece.lightness, piece.a, piece.b), strange.lab))
    # made under D50 here, compared under D65 there: a little else
    assert found.errors[5].difference == pytest.approx(own, rel=0.05)
    assert strange.name in " ".join(map(str, found.cautions))


def test_clipped_and_dark_patches_are_left_out_and_named() -> None:
    patches = seen_by(MIXING)
    spoiled = [
        replace(patches[0], clipped_share=0.3),
        replace(patches[1], dark_share=0.9),
        *patches[2:],
    ]
    found = correct_card(spoiled, light="D50/2")
    assert [one.name for one in found.left_out] == [patches[0].name, patches[1].name]
    assert "30% of it is clipped" in found.left_out[0].why
    assert patches[0].name not in found.used
    assert "left out" in " ".join(map(str, found.cautions))


def test_uneven_light_is_seen_where_places_are_known() -> None:
    fall = 0.4
    places = [(place % 6 / 5, place // 6 / 3) for place in range(24)]

    def lit(by: float) -> CardCorrection:
        rng = np.random.default_rng(3)
        return correct_card(
            [
                replace(
                    one, x=x, y=y,
                    rgb=tuple((np.array(one.rgb) * np.exp(by * x + rng.normal(0, 0.01))).tolist()),
                )
                for one, (x, y) in zip(seen_by(MIXING), places, strict=False)
            ],
            light="D50/2",
        )  # fmt: skip

    assert lit(fall).light_fall == independent(np.expm1(fall), way="as it was lit", rel=0.3)
    assert "across the card" in " ".join(map(str, lit(fall).cautions))
    assert lit(0.0).light_fall < 0.02
    assert correct_card(seen_by(MIXING), light="D50/2").light_fall is None


@pytest.mark.parametrize(
    ("patches", "said"),
    [
        ([], "no patch of the card can be used"),
        (
            [
                CardPatch(
                    name="a",
                    lab=(50.0, 0.0, 0.0),
                    rgb=(1.0, 1.0, 1.0),
                    clipped_share=1.0,
                )
            ],
            "no patch",
        ),
    ],
)
def test_a_card_without_a_patch_to_use_is_refused(patches: list[CardPatch], said: str) -> None:
    with pytest.raises(NotEnoughData, match=said):
        correct_card(patches, light="D65/2")


@pytest.mark.parametrize(
    "change",
    [
        {"rgb": (-0.1, 0.2, 0.2)},
        {"rgb": (float("nan"), 0.2, 0.2)},
        {"lab": (50.0, 900.0, 0.0)},
    ],
)
def test_impossible_patches_are_refused(change: dict[str, Any]) -> None:
    good = CardPatch(name="a", lab=(50.0, 0.0, 0.0), rgb=(0.2, 0.2, 0.2))
    with pytest.raises(ImpossibleInput):
        correct_card([replace(good, **change)], light="D65/2")
    with pytest.raises(ImpossibleInput, match="names two patches"):
        correct_card([good, good], light="D65/2")


def test_any_few_patches_give_an_answer() -> None:
    """Also coloured ones alone, alike ones, and black."""
    labs = card_labs()
    for names in (
        ["red"],
        ["red", "red2"],
        ["black 2", "white 9.5"],
        list(labs)[:6],
        list(labs)[:3],
    ):
        patches = [
            CardPatch(name=name, lab=labs.get(name, labs["red"]), rgb=(0.2, 0.1, 0.05)) for name in names
        ]
        found = correct_card(patches, light="D50/2")
        assert np.isfinite(found.uncertainty_de)
        assert found.method == "white balance" or len(names) >= 6


def test_the_error_of_a_card_of_24_is_held() -> None:
    found, _ = errors(18, tuple(SIX_GREYS))
    assert rms(found) == held(1.0162, rel=1e-3)
