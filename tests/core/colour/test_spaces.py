"""sRGB, XYZ and CIELAB: published values, round trips, and white that stays white under every light."""

from __future__ import annotations

import csv
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.colour import LIGHTS, Light, lab_from_srgb, lab_in_light
from offtool.core.colour.spaces import (
    WHITES,
    adapted,
    lab_from_linear,
    lab_from_xyz,
    linear_from_lab,
    linear_from_srgb,
    srgb_from_linear,
    xyz_from_lab,
    xyz_from_linear,
)
from tests.core.laws import law
from tests.labels import remembered

CARD = Path(__file__).parents[2] / "published" / "card_24.csv"
COLOUR = st.tuples(st.floats(1, 100), st.floats(-80, 80), st.floats(-80, 80))
LIGHT = st.sampled_from(LIGHTS)


def card() -> list[dict[str, str]]:
    lines = CARD.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize(
    ("srgb", "lab"),
    [
        ((255.0, 0.0, 0.0), ("53.2408", "80.0925", "67.2032")),
        ((0.0, 255.0, 0.0), ("87.7347", "−86.1827", "83.1793")),
        ((128.0, 128.0, 128.0), ("53.585", "0.000", "0.000")),
        ((255.0, 255.0, 255.0), ("100.000", "0.000", "0.000")),
    ],
)
def test_corners_of_srgb(srgb: tuple[float, float, float], lab: tuple[str, str, str]) -> None:
    found = lab_from_srgb(*srgb)
    source = "sRGB to CIELAB with the matrix of seven digits"
    for value, printed in zip((found.lightness, found.a, found.b), lab, strict=True):
        if float(printed.replace("−", "-")):
            assert value == remembered(printed, source=source)
        else:
            assert value == pytest.approx(0, abs=0.0005)


def test_the_matrix_is_that_of_the_primaries() -> None:
    printed = [
        ["0.4124564", "0.3575761", "0.1804375"],
        ["0.2126729", "0.7151522", "0.0721750"],
        ["0.0193339", "0.1191920", "0.9503041"],
    ]
    for channel, light in enumerate(np.eye(3)):
        for row, value in enumerate(xyz_from_linear(light)):
            assert value == remembered(printed[row][channel], source="IEC 61966-2-1 by its primaries")


@pytest.mark.parametrize("patch", card(), ids=lambda patch: patch["patch"])
def test_a_card_measured_by_others_has_the_same_lab(patch: dict[str, str]) -> None:
    """Both its xyY and its CIELAB were printed, under a D50 of this chromaticity: the CIELAB lies among those
    of all numbers that round to the xyY."""
    white_x, white_y = 0.345702914918791, 0.358538596679933
    white = np.array([white_x, white_y, 1 - white_x - white_y]) / white_y
    corners = np.array(list(product((-0.00005, 0, 0.00005), repeat=3)))
    x, y, bright = (np.array([float(patch[name]) for name in ("x", "y", "Y")]) + corners).T
    found = lab_from_xyz(np.stack([x, y, 1 - x - y], axis=-1) * (bright / y)[:, None], white)
    printed = [float(patch[name]) for name in "Lab"]
    assert (found.min(axis=0) <= printed).all()
    assert (found.max(axis=0) >= printed).all()
    assert np.ptp(found, axis=0) == pytest.approx(0, abs=0.4)


@law(values=st.tuples(*[st.floats(0, 255)] * 3))
def test_srgb_to_light_and_back(values: tuple[float, ...]) -> None:
    assert srgb_from_linear(linear_from_srgb(values)) == pytest.approx(values, abs=1e-4)


@law(lab=COLOUR, light=LIGHT)
def test_lab_to_xyz_and_to_light_and_back(lab: tuple[float, ...], light: Light) -> None:
    assert lab_from_xyz(xyz_from_lab(lab, WHITES[light]), WHITES[light]) == pytest.approx(lab, abs=1e-9)
    assert lab_from_linear(linear_from_lab(lab, light), light) == pytest.approx(lab, abs=1e-8)


@law(lab=COLOUR, light=LIGHT, other=LIGHT)
def test_to_another_light_and_back(lab: tuple[float, ...], light: Light, other: Light) -> None:
    there = lab_in_light(lab, light, other)
    assert lab_in_light(there, other, light) == pytest.approx(lab, abs=1e-8)


@law(lightness=st.floats(0, 100), light=LIGHT, other=LIGHT)
def test_greys_stay_grey_under_every_light(lightness: float, light: Light, other: Light) -> None:
    found = lab_in_light((lightness, 0.0, 0.0), light, other)
    assert found == pytest.approx((lightness, 0, 0), abs=1e-9)


def test_adaptation_takes_white_to_white() -> None:
    for light in LIGHTS:
        for other in LIGHTS:
            assert adapted(WHITES[light], light, other) == pytest.approx(WHITES[other], abs=1e-12)


def test_the_adaptation_from_d65_to_d50() -> None:
    printed = [
        ["1.0478112", "0.0228866", "−0.0501270"],
        ["0.0295424", "0.9904844", "−0.0170491"],
        ["−0.0092345", "0.0150436", "0.7521316"],
    ]
    found = np.array([adapted(one, "D65/2", "D50/2") for one in np.eye(3)]).T
    for row, numbers in zip(found, printed, strict=True):
        for value, number in zip(row, numbers, strict=True):
            assert value == remembered(number, source="the Bradford matrix from D65 to D50, seven digits")


@pytest.mark.parametrize(
    ("light", "xy"),
    [
        ("D65/2", ("0.3127", "0.3290")),
        ("D65/10", ("0.3138", "0.3310")),
        ("D50/2", ("0.3457", "0.3585")),
        ("D50/10", ("0.3477", "0.3595")),
    ],
)
def test_white_points_have_the_chromaticities_of_their_illuminants(light: Light, xy: tuple[str, str]) -> None:
    """Another table of CIE 15 than the one that the white points are from."""
    found = WHITES[light] / WHITES[light].sum()
    assert found[0] == pytest.approx(float(xy[0]), abs=1e-4)
    assert found[1] == pytest.approx(float(xy[1]), abs=1e-4)


@law(low=st.floats(0, 254), step=st.floats(0.01, 1))
def test_more_of_every_channel_is_never_darker(low: float, step: float) -> None:
    high = min(low + step, 255.0)
    assert lab_from_srgb(high, high, high).lightness > lab_from_srgb(low, low, low).lightness


def test_chroma_and_hue_are_those_of_a_and_b() -> None:
    found = lab_from_srgb(201.0, 84.0, 60.0)
    assert found.a == pytest.approx(found.chroma * np.cos(np.radians(found.hue_deg)))
    assert found.b == pytest.approx(found.chroma * np.sin(np.radians(found.hue_deg)))
