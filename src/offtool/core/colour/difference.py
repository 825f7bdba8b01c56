"""How far two colours lie apart: CIEDE2000, for one pair and for arrays."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from offtool.core.colour.spaces import Colours
from offtool.core.formulas import formula
from offtool.core.values import Caution, Range
from offtool.handbook.defects import PRACTICE

Numbers1D = NDArray[np.float64]

SIZES: tuple[tuple[float, str], ...] = (
    (0.5, "a tight match"),
    (1.0, "a good match"),
    (2.0, "a match for general goods"),
    (5.0, "a visible mismatch"),
    (float("inf"), "an odd colour"),
)
"""Up to which difference it is called what: common practice, no source."""
FAR = 20.0
"""The formula was made for small differences; beyond this it ranks, and measures no longer."""
SEEN = 0.5
"""A share below this of a difference goes unnamed; our own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourDifference:
    """CIEDE2000 of the second colour from the first, and its three shares, each weighted as the eye does.

    `lightness`, `chroma` and `hue` are signed: lighter, stronger, turned towards yellow from red are above 0.
    """

    difference: float
    lightness: float
    chroma: float
    hue: float
    words: str
    lab_1: tuple[float, float, float]
    lab_2: tuple[float, float, float]
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True)
class _Terms:
    """The weighted differences of ISO/CIE 11664-6 and the factor that turns chroma against hue."""

    lightness: Numbers1D
    chroma: Numbers1D
    hue: Numbers1D
    turn: Numbers1D

    @property
    def difference(self) -> Numbers1D:
        squares = self.lightness**2 + self.chroma**2 + self.hue**2 + self.turn * self.chroma * self.hue
        return np.sqrt(np.maximum(squares, 0.0))


def ciede2000(lab_1: ArrayLike, lab_2: ArrayLike) -> Numbers1D:
    """CIEDE2000 of colours in the last axis of two arrays, broadcast against each other."""
    return _terms(np.asarray(lab_1, dtype=float), np.asarray(lab_2, dtype=float)).difference


def axis_scales(lab: ArrayLike) -> Colours:
    """How much CIELAB one unit of CIEDE2000 is at a colour: along lightness, chroma and hue."""
    lightness, a, b = np.moveaxis(np.asarray(lab, dtype=float), -1, 0)
    stretch = 1 + _stretch(np.hypot(a, b))
    chroma = np.hypot(a * stretch, b)
    return np.stack(_weights(lightness, chroma, _hue(a * stretch, b)), axis=-1)


def _terms(lab_1: Colours, lab_2: Colours) -> _Terms:
    l_1, a_1, b_1 = np.moveaxis(lab_1, -1, 0)
    l_2, a_2, b_2 = np.moveaxis(lab_2, -1, 0)
    stretch = 1 + _stretch((np.hypot(a_1, b_1) + np.hypot(a_2, b_2)) / 2)
    c_1, c_2 = np.hypot(a_1 * stretch, b_1), np.hypot(a_2 * stretch, b_2)
    h_1, h_2 = _hue(a_1 * stretch, b_1), _hue(a_2 * stretch, b_2)
    is_grey = c_1 * c_2 == 0
    turned = np.where(is_grey, 0.0, (h_2 - h_1 + 180) % 360 - 180)
    turned = np.where((turned == -180) & (h_2 > h_1), 180.0, turned)
    hue = 2 * np.sqrt(c_1 * c_2) * np.sin(np.radians(turned / 2))
    chroma_mean, hue_mean = (c_1 + c_2) / 2, _hue_mean(h_1, h_2, is_grey)
    s_l, s_c, s_h = _weights((l_1 + l_2) / 2, chroma_mean, hue_mean)
    theta = 30 * np.exp(-(((hue_mean - 275) / 25) ** 2))
    turn = -np.sin(np.radians(2 * theta)) * 2 * _saturation(chroma_mean)
    return _Terms((l_2 - l_1) / s_l, (c_2 - c_1) / s_c, hue / s_h, turn)


def _saturation(chroma: Numbers1D) -> Numbers1D:
    return np.sqrt(chroma**7 / (chroma**7 + 25.0**7))


def _stretch(chroma: Numbers1D) -> Numbers1D:
    """G: greys are told apart along a more finely."""
    return 0.5 * (1 - _saturation(chroma))


def _hue(a: Numbers1D, b: Numbers1D) -> Numbers1D:
    return np.degrees(np.arctan2(b, a)) % 360


def _hue_mean(h_1: Numbers1D, h_2: Numbers1D, is_grey: NDArray[np.bool_]) -> Numbers1D:
    """The hue between two, the short way round; a grey has none, so the other's counts."""
    total = h_1 + h_2
    round_the_end = np.where(total < 360, total + 360, total - 360)
    mean = np.where(np.abs(h_1 - h_2) > 180, round_the_end, total) / 2
    return np.where(is_grey, total, mean)


def _weights(
    lightness: Numbers1D, chroma: Numbers1D, hue: Numbers1D
) -> tuple[Numbers1D, Numbers1D, Numbers1D]:
    """S_L, S_C and S_H."""
    away = (lightness - 50) ** 2
    t = (
        1
        - 0.17 * np.cos(np.radians(hue - 30))
        + 0.24 * np.cos(np.radians(2 * hue))
        + 0.32 * np.cos(np.radians(3 * hue + 6))
        - 0.20 * np.cos(np.radians(4 * hue - 63))
    )
    return 1 + 0.015 * away / np.sqrt(20 + away), 1 + 0.045 * chroma, 1 + 0.015 * chroma * t


def _lightness(which: str) -> Range:
    return Range(
        meaning=f"L* of the {which} colour", at_least=0, at_most=150, usual=(0, 100), source="CIELAB"
    )


def _opponent(letter: str, which: str) -> Range:
    return Range(
        meaning=f"{letter}* of the {which} colour",
        at_least=-500,
        at_most=500,
        usual=(-128, 128),
        source="CIELAB",
    )


@formula(
    limits={
        "lightness_1": _lightness("first"),
        "a_1": _opponent("a", "first"),
        "b_1": _opponent("b", "first"),
        "lightness_2": _lightness("second"),
        "a_2": _opponent("a", "second"),
        "b_2": _opponent("b", "second"),
    },
    example={"lightness_1": 50.0, "a_1": 2.5, "b_1": 0.0, "lightness_2": 56.0, "a_2": -27.0, "b_2": -3.0},
    source="ISO/CIE 11664-6; Sharma, Wu and Dalal 2005, Color Res. Appl. 30:21; words for its size: "
    f"{PRACTICE}",
)
def colour_difference(
    lightness_1: float, a_1: float, b_1: float, lightness_2: float, a_2: float, b_2: float
) -> ColourDifference:
    """How different two colours look, in one number, and in which way.

    ΔE00 = sqrt(l² + c² + h² + R c h): l, c and h the differences of lightness, chroma and hue, each over its
    weight S; R turns chroma against hue among blues.

    Returns: ColourDifference. Raises: ImpossibleInput for what is no CIELAB colour.

    Holds when: both were measured under the same light, by the same observer, on a like surface; and the
    difference is small. The same number in another formula means something else.

    Example: 50, 2.5, 0 and 56, -27, -3 lie 31.9030 apart.
    """
    lab_1, lab_2 = (lightness_1, a_1, b_1), (lightness_2, a_2, b_2)
    terms = _terms(np.array(lab_1), np.array(lab_2))
    difference, chroma, hue = float(terms.difference), float(terms.chroma), float(terms.hue)
    return ColourDifference(
        difference=difference,
        lightness=float(terms.lightness),
        chroma=chroma,
        hue=hue,
        words="; ".join([difference_words(difference), *_ways(float(terms.lightness), chroma, hue)]),
        lab_1=lab_1,
        lab_2=lab_2,
        cautions=tuple(_cautions(difference)),
    )


def difference_words(difference: float) -> str:
    """What a difference of that size is called."""
    return next(words for most, words in SIZES if difference <= most)


def _ways(lightness: float, chroma: float, hue: float) -> Iterator[str]:
    """In which ways the second colour differs, the seen ones only."""
    if abs(lightness) > SEEN:
        yield f"{'lighter' if lightness > 0 else 'darker'} by {abs(lightness):.1f}"
    if abs(chroma) > SEEN:
        yield f"{'stronger' if chroma > 0 else 'greyer'} by {abs(chroma):.1f}"
    if abs(hue) > SEEN:
        yield f"another hue by {abs(hue):.1f}"


def _cautions(difference: float) -> Iterator[Caution]:
    if difference > FAR:
        yield Caution(
            f"the formula was made for small differences: {difference:.0f} says far apart, not how far"
        )
