"""The colour of a piece from a corrected photograph, and how sure; or the reason why it cannot be said."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull, QhullError

from offtool.core.colour.difference import axis_scales
from offtool.core.colour.spaces import USUAL_LIGHT, Colours, Light, as_lab, lab_from_linear
from offtool.core.samples.colour.card import CardCorrection
from offtool.core.values import Caution, ImpossibleInput

MOST_CLIPPED, MOST_DARK = 0.05, 0.25
"""Share of a region's pixels beyond which its colour cannot be said. Our own."""
SOME = 0.005
ALIKE = 100
"""Pixels beside each other see the same grain of a surface: so many count as one reading. Our own."""
OUTSIDE = 3.0
"""So far outside the colours of the card, in CIELAB, is said. Our own."""
_STEP = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceColour:
    """The CIELAB of a region; None with the reason in `words` where it cannot be said.

    `sd_lightness`, `sd_a` and `sd_b` are standard uncertainties; `uncertainty_de` is that along each axis of
    CIEDE2000. `outside_card` is how far the colour lies outside those of the card, in CIELAB.
    """

    lightness: float | None
    a: float | None
    b: float | None
    light: Light
    uncertainty_de: float | None
    sd_lightness: float | None
    sd_a: float | None
    sd_b: float | None
    outside_card: float | None
    words: str
    rgb_mean: tuple[float, float, float]
    rgb_sd: tuple[float, float, float]
    pixels: int
    clipped_share: float
    dark_share: float
    cautions: tuple[Caution, ...] = ()

    @property
    def can_be_said(self) -> bool:
        return self.lightness is not None


def correct_colour(
    correction: CardCorrection,
    rgb_mean: tuple[float, float, float],
    rgb_sd: tuple[float, float, float],
    pixels: int,
    clipped_share: float,
    dark_share: float,
    *,
    light: Light = USUAL_LIGHT,
) -> PieceColour:
    """The colour of a region of a photograph, from the mean of its linear light.

    Uncertainty: what the card leaves, larger the farther the colour lies from the card's, and the unevenness
    of the region.

    Returns: PieceColour; without a colour where more than 5 % of the region is clipped or more than a quarter
    too dark. Raises: ImpossibleInput for a region without pixels, or shares that are none.

    Holds when: the region lies in the light that the card lay in, is of one colour, and shows no glint.
    """
    _refuse_impossible(rgb_mean, rgb_sd, pixels, clipped_share, dark_share)
    given = {
        "light": light, "rgb_mean": rgb_mean, "rgb_sd": rgb_sd, "pixels": pixels,
        "clipped_share": clipped_share, "dark_share": dark_share,
    }  # fmt: skip
    if why := _why_not(clipped_share, dark_share):
        return PieceColour(
            lightness=None, a=None, b=None, uncertainty_de=None, sd_lightness=None, sd_a=None, sd_b=None,
            outside_card=None, words=f"cannot be said: {why}", **given,  # type: ignore[arg-type]
        )  # fmt: skip
    seen = np.array(rgb_mean, dtype=float)
    lab = lab_from_linear(correction.fit.light(seen), light)
    by_card = correction.uncertainty_de * sqrt(_farther(correction, seen))
    covariance = _by_card(lab, by_card) + _by_unevenness(correction, seen, rgb_sd, pixels, light)
    sds, scales = np.sqrt(np.diag(covariance)), axis_scales(lab)
    uncertainty = _along_axes(covariance, lab, scales)
    usual = lab_from_linear(correction.fit.light(seen))
    outside = _outside(usual, np.array(correction.labs))
    lightness, a, b = as_lab(lab)
    return PieceColour(
        lightness=lightness, a=a, b=b, uncertainty_de=uncertainty, sd_lightness=float(sds[0]),
        sd_a=float(sds[1]), sd_b=float(sds[2]), outside_card=outside,
        words=f"L {lightness:.1f}, a {a:.1f}, b {b:.1f}, give or take {2 * sqrt(3) * uncertainty:.1f} ΔE00",
        cautions=tuple(_cautions(clipped_share, dark_share, outside)), **given,  # type: ignore[arg-type]
    )  # fmt: skip


def _refuse_impossible(
    mean: tuple[float, ...], sd: tuple[float, ...], pixels: int, clipped: float, dark: float
) -> None:
    if pixels < 1:
        raise ImpossibleInput("pixels", pixels, "", "must be at least 1", "mark a region")
    for name, share in (("clipped_share", clipped), ("dark_share", dark)):
        if not 0 <= share <= 1:
            raise ImpossibleInput(name, share, "", "must be 0 to 1", "give a share, not per cent")
    for name, values in (("rgb_mean", mean), ("rgb_sd", sd)):
        if len(values) != 3 or not all(0 <= value < float("inf") for value in values):
            raise ImpossibleInput(name, values, "", "must be three numbers of at least 0")


def _why_not(clipped: float, dark: float) -> str:
    if clipped > MOST_CLIPPED:
        return (
            f"{clipped:.0%} of the region is clipped; expose less, turn it out of the glare, or measure so "
            "strong a colour with an instrument"
        )
    if dark > MOST_DARK:
        return f"{dark:.0%} of the region is too dark; expose more"
    return ""


def _farther(correction: CardCorrection, seen: Colours) -> float:
    """By how much the variance grows from the card's own patches to this colour; never below 1."""
    return max((1 + float(correction.fit.leverage(seen))) / (1 + correction.mean_leverage), 1.0)


def _axes(lab: Colours) -> Colours:
    """Lightness, chroma and hue at a colour, as directions in CIELAB; a grey's are those of a and b."""
    size = float(np.hypot(lab[1], lab[2]))
    a, b = (lab[1] / size, lab[2] / size) if size > 0 else (1.0, 0.0)
    return np.array([[1.0, 0.0, 0.0], [0.0, a, b], [0.0, -b, a]])


def _by_card(lab: Colours, uncertainty_de: float) -> NDArray[np.float64]:
    """The covariance in CIELAB of so much along each axis of CIEDE2000."""
    spans = _axes(lab) * (uncertainty_de * axis_scales(lab))[:, None]
    return np.asarray(spans.T @ spans)


def _by_unevenness(
    correction: CardCorrection, seen: Colours, sd: tuple[float, ...], pixels: int, light: Light
) -> NDArray[np.float64]:
    """The covariance of the mean over the region; the light of its three channels rises and falls together
    at worst."""
    error = np.array(sd) / sqrt(max(pixels / ALIKE, 1.0))
    moved = [lab_from_linear(correction.fit.light(seen + sign * _STEP * error), light) for sign in (1, -1)]
    slope = (moved[0] - moved[1]) / (2 * _STEP)
    return np.asarray(np.outer(slope, slope))


def _along_axes(covariance: NDArray[np.float64], lab: Colours, scales: Colours) -> float:
    """The root mean square over the three axes, in CIEDE2000."""
    axes = _axes(lab) / scales[:, None]
    return sqrt(float(np.trace(axes @ covariance @ axes.T)) / 3)


def _outside(lab: Colours, labs: Colours) -> float | None:
    """How far outside the hull of the card's colours; None where they span no hull."""
    if len(labs) < 4:
        return None
    try:
        hull = ConvexHull(labs)
    except QhullError:
        return None
    return max(float((hull.equations[:, :3] @ lab + hull.equations[:, 3]).max()), 0.0)


def _cautions(clipped: float, dark: float, outside: float | None) -> Iterator[Caution]:
    if clipped > SOME:
        yield Caution(f"{clipped:.1%} of the region is clipped: the colour may be a little stronger")
    if dark > SOME:
        yield Caution(f"{dark:.1%} of the region is too dark to be measured well")
    if outside is not None and outside > OUTSIDE:
        yield Caution(
            f"the colour lies {outside:.0f} outside those of the card: the correction is carried on"
        )
