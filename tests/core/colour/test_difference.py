"""CIEDE2000 gives the published differences, and behaves as a difference must."""

from __future__ import annotations

import csv
from math import sqrt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.colour import ciede2000, colour_difference
from offtool.core.colour.difference import SIZES, axis_scales, difference_words
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent, practice, published

PAIRS = Path(__file__).parents[2] / "published" / "ciede2000.csv"
COLOUR = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))


def pairs() -> list[dict[str, str]]:
    lines = PAIRS.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize("pair", pairs(), ids=lambda pair: pair["pair"])
def test_the_published_pairs_come_out_to_all_printed_digits(
    pair: dict[str, str],
) -> None:
    one, other = ([float(pair[f"{axis}{which}"]) for axis in "Lab"] for which in "12")
    wanted = published(pair["dE00"], source="Sharma, Wu and Dalal 2005, table 1")
    assert ciede2000(one, other) == wanted
    assert ciede2000(other, one) == wanted
    assert colour_difference(*one, *other).difference == wanted


def test_all_34_pairs_are_there() -> None:
    assert [int(pair["pair"]) for pair in pairs()] == list(range(1, 35))


@law(one=COLOUR, other=COLOUR)
def test_it_is_the_same_both_ways_and_never_below_zero(
    one: tuple[float, ...], other: tuple[float, ...]
) -> None:
    there, back = float(ciede2000(one, other)), float(ciede2000(other, one))
    assert there >= 0
    assert there == pytest.approx(back, rel=1e-6, abs=1e-6)


@law(one=COLOUR)
def test_a_colour_does_not_differ_from_itself(one: tuple[float, ...]) -> None:
    assert float(ciede2000(one, one)) == 0


@law(lightness=st.floats(0, 100), other=st.floats(0, 100))
def test_of_greys_the_difference_is_that_of_lightness_over_its_weight(lightness: float, other: float) -> None:
    away = ((lightness + other) / 2 - 50) ** 2
    by_hand = abs(lightness - other) / (1 + 0.015 * away / sqrt(20 + away))
    assert float(ciede2000((lightness, 0, 0), (other, 0, 0))) == pytest.approx(by_hand, abs=1e-12)


@law(one=COLOUR, other=COLOUR)
def test_the_three_shares_are_signed_and_change_sign_with_the_order(
    one: tuple[float, float, float], other: tuple[float, float, float]
) -> None:
    there, back = colour_difference(*one, *other), colour_difference(*other, *one)
    assert there.lightness == pytest.approx(-back.lightness, abs=1e-9)
    assert there.chroma == pytest.approx(-back.chroma, abs=1e-9)
    assert there.lightness * (other[0] - one[0]) >= 0


def test_arrays_are_taken_against_each_other() -> None:
    rng = np.random.default_rng(1)
    ones, others = rng.uniform(0, 60, (4, 1, 3)), rng.uniform(0, 60, (5, 3))
    table = ciede2000(ones, others)
    single = [[float(ciede2000(one[0], other)) for other in others] for one in ones]
    assert table == independent(single, way="one pair at a time", rel=1e-12)


def test_the_scales_are_how_far_one_unit_reaches() -> None:
    """Finite differences along lightness, chroma and hue, where no blue turns the axes."""
    lab, step = np.array([62.0, 30.0, 40.0]), 1e-3
    size = np.hypot(lab[1], lab[2])
    along = np.array(
        [
            [1, 0, 0],
            [0, lab[1] / size, lab[2] / size],
            [0, -lab[2] / size, lab[1] / size],
        ]
    )
    found = step / ciede2000(lab - along * step / 2, lab + along * step / 2)
    assert axis_scales(lab) == independent(found, way="finite differences", rel=0.02)


def test_sizes_have_the_words_of_the_trade() -> None:
    steps = ("0.5", "1.0", "2.0", "5.0")
    for step, (most, words), (_, next_words) in zip(steps, SIZES[:-1], SIZES[1:], strict=True):
        assert most == practice(step)
        assert difference_words(most) == words
        assert difference_words(most + 0.01) == next_words


def test_the_way_it_differs_is_named() -> None:
    found = colour_difference(50.0, 30.0, 0.0, 60.0, 20.0, 0.0)
    assert "lighter by" in found.words
    assert "greyer by" in found.words
    assert "hue" not in found.words


def test_a_large_difference_is_said_to_be_no_measure() -> None:
    assert "far apart, not how far" in str(colour_difference(20.0, 0.0, 0.0, 80.0, 0.0, 0.0).cautions[0])
    assert not colour_difference(20.0, 0.0, 0.0, 21.0, 0.0, 0.0).cautions


def test_what_is_no_colour_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="lightness_1"):
        colour_difference(-1.0, 0.0, 0.0, 20.0, 0.0, 0.0)
