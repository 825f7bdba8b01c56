"""Which colour a mixture of two coloured plastics has, and how little of the old is still seen.

Kubelka and Munk, one constant: what a mixture absorbs over what it scatters is the mean of the two, by mass,
at each wavelength. Dark absorbs so much more that a trace of it is seen in light, and not the other way.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from offtool.core.colour.difference import ciede2000
from offtool.core.colour.spaces import Colours, Lab, as_lab
from offtool.core.formulas import formula
from offtool.core.planning.colour_change.spectra import (
    Spectrum,
    lab_of_spectrum,
    no_surface,
    smoothest_spectrum,
)
from offtool.core.values import Caution, Range
from offtool.handbook.defects import PRACTICE

Shares = NDArray[np.float64]

LEAST_REFLECTANCE = 1e-4
"""Blacker than any plastic; below it absorption over scattering runs away."""
_LOG_SHARES = np.concatenate([np.log(np.geomspace(1e-7, 0.5, 400)), np.log(np.linspace(0.5, 1.0, 101)[1:])])
MIXES_BY_SPECTRUM = Caution(
    "Only CIELAB of the colours is known, so their spectra are the smoothest that fit. Beside the true "
    "spectra of a 24-patch chart the share of old that is just seen is within a factor of 1.5 for 95 of "
    "100 pairs, and of 2.1 for all. The intervals hold that.",
    "measured with published reflectances",
)
HIDING = Caution(
    "Holds for plastics that hide what is behind them. Clear, metallic, pearl and fluorescent colours mix in "
    "another way: judge those by shots.",
    PRACTICE,
)


def absorption_over_scattering(reflectance: ArrayLike) -> Spectrum:
    """K/S of a layer through which nothing shows: (1 - R)² / 2R."""
    r = np.maximum(np.asarray(reflectance, dtype=float), LEAST_REFLECTANCE)
    return np.asarray((1 - r) ** 2 / (2 * r))


def reflectance_of(absorbs: ArrayLike) -> Spectrum:
    """The reflectance of a K/S, 1 + K/S - sqrt((K/S)² + 2 K/S), in the form that keeps its digits."""
    k = np.asarray(absorbs, dtype=float)
    return np.asarray(1 / (1 + k + np.sqrt(k * (k + 2))))


def mixed_lab(old: Lab, new: Lab, share: ArrayLike, strength: float = 1.0) -> Colours:
    """CIELAB, D65 and 10°, of mixtures with shares of the old; `strength` is how much more it scatters."""
    k_old, k_new = _absorbs(old), _absorbs(new)
    s = counted_share(share, strength)[..., None]
    return lab_of_spectrum(reflectance_of(s * k_old + (1 - s) * k_new))


def counted_share(share: ArrayLike, strength: ArrayLike = 1.0) -> Shares:
    """The share of the old as it counts in the colour, where it scatters `strength` times as much."""
    s = np.asarray(share, dtype=float)
    return np.asarray(s * strength / (s * strength + 1 - s))


def true_share(counted: ArrayLike, strength: ArrayLike = 1.0) -> Shares:
    """The share by mass of one that counts so much: the way back of `counted_share`."""
    return counted_share(counted, 1 / np.asarray(strength, dtype=float))


@lru_cache(maxsize=2000)
def share_seen(old: Lab, new: Lab, limit_de: float) -> float:
    """The largest share of old up to which a mixture stays within a difference of the new colour.

    1 where all of the old does. A mixture may leave the limit and come back; the first leaving counts.
    """
    differences = _differences(old, new)
    beyond = np.flatnonzero(differences > limit_de)
    if not beyond.size:
        return 1.0
    place = int(beyond[0])
    if place == 0:
        return float(np.exp(_LOG_SHARES[0]))
    low, high = differences[place - 1], differences[place]
    part = (limit_de - low) / (high - low)
    return float(np.exp(_LOG_SHARES[place - 1] + part * (_LOG_SHARES[place] - _LOG_SHARES[place - 1])))


def difference_of_share(old: Lab, new: Lab, counted: ArrayLike) -> Shares:
    """CIEDE2000 from the new colour of shares of old as they count, read off a fine table."""
    shares = np.maximum(np.asarray(counted, dtype=float), 1e-12)
    found = np.interp(np.log(shares), _LOG_SHARES, _differences(old, new))
    # below the table the difference is in proportion to the share
    least = float(np.exp(_LOG_SHARES[0]))
    return np.asarray(np.where(shares < least, found * shares / least, found))


@lru_cache(maxsize=2000)
def _differences(old: Lab, new: Lab) -> Shares:
    found = ciede2000(mixed_lab(old, new, np.exp(_LOG_SHARES)), lab_of_spectrum(_reflects(new)))
    found.flags.writeable = False
    return found


@lru_cache(maxsize=500)
def _absorbs(lab: Lab) -> Spectrum:
    return absorption_over_scattering(smoothest_spectrum(lab))


def _reflects(lab: Lab) -> Spectrum:
    return reflectance_of(_absorbs(lab))


@dataclass(frozen=True, slots=True, kw_only=True)
class MixedColour:
    """The colour of a mixture, how far it is from the new colour, and the share of old that is just in."""

    lightness: float
    a: float
    b: float
    difference: float
    share_within: float
    words: str
    share: float
    limit_de: float
    old: Lab
    new: Lab
    cautions: tuple[Caution, ...] = ()


def lightness_range(which: str) -> Range:
    """What L* of a surface may be."""
    return Range(meaning=f"L* of the {which} colour", above=0, below=100, source="CIELAB")


def opponent_range(letter: str, which: str) -> Range:
    """What a* and b* of a surface may be."""
    return Range(meaning=f"{letter}* of the {which} colour", at_least=-150, at_most=150, source="CIELAB")


LIMIT_DE = Range(
    meaning="largest colour difference ΔE00 that passes",
    above=0,
    at_most=100,
    usual=(0.3, 5),
    source=f"1 passes usually, 0.5 is tight; {PRACTICE}",
)


@formula(
    limits={
        "share": Range(meaning="share of the old in the mixture", at_least=0, at_most=1),
        "lightness_old": lightness_range("old"),
        "a_old": opponent_range("a", "old"),
        "b_old": opponent_range("b", "old"),
        "lightness_new": lightness_range("new"),
        "a_new": opponent_range("a", "new"),
        "b_new": opponent_range("b", "new"),
        "limit_de": LIMIT_DE,
    },
    example={
        "share": 0.01,
        "lightness_old": 25.0,
        "a_old": 0.0,
        "b_old": 0.0,
        "lightness_new": 93.0,
        "a_new": 0.0,
        "b_new": 2.0,
    },
    source="Kubelka and Munk 1931, one constant; the smoothest spectrum, as Burns 2020, Color Res. Appl., "
    "both from memory",
)
def colour_of_mixture(
    share: float,
    *,
    lightness_old: float,
    a_old: float,
    b_old: float,
    lightness_new: float,
    a_new: float,
    b_new: float,
    limit_de: float = 1.0,
) -> MixedColour:
    """Which colour comes out while some of the old is still in the new, and from when on it passes.

    K/S = (1 - R)² / 2R at each wavelength; K/S of the mixture = s K/S old + (1 - s) K/S new; R = 1 + K/S -
    sqrt((K/S)² + 2 K/S); to CIELAB under D65 and 10°, and ΔE00 from the new colour.

    Returns: MixedColour. Raises: ImpossibleInput for a colour that no surface has.

    Holds when: both hide what is behind them and scatter alike, as plastics with white in them do. The gloss
    of the surface is left in: no correction for what it reflects.

    Example: 1 % of a black (L 25) in a white (L 93) is far outside a limit of 1; 1 % of the white in the
    black is not seen.
    """
    old, new = (lightness_old, a_old, b_old), (lightness_new, a_new, b_new)
    found = mixed_lab(old, new, share)
    difference = float(ciede2000(found, new))
    within = share_seen(old, new, limit_de)
    lightness, a, b = as_lab(found)
    return MixedColour(
        lightness=lightness,
        a=a,
        b=b,
        difference=difference,
        share_within=within,
        words=_words(share, difference, limit_de, within),
        share=share,
        limit_de=limit_de,
        old=old,
        new=new,
        cautions=(HIDING, MIXES_BY_SPECTRUM),
    )


def _words(share: float, difference: float, limit_de: float, within: float) -> str:
    side = "inside" if difference <= limit_de else "outside"
    said = f"{share:.2%} of the old is ΔE {difference:.1f} off, {side} the limit of {limit_de:g}"
    if within >= 1:
        return f"{said}; even all of the old is inside"
    return f"{said}; up to {within:.2%} is inside"


__all__ = [
    "HIDING",
    "MIXES_BY_SPECTRUM",
    "MixedColour",
    "colour_of_mixture",
    "difference_of_share",
    "mixed_lab",
    "no_surface",
    "share_seen",
]
