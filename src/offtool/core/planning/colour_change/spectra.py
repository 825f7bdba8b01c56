"""A spectrum for a colour of which only CIELAB is known: the smoothest one that has this colour.

Mixing happens wavelength by wavelength, so three numbers are not enough; the record holds no spectra. Of all
reflectances between 0 and 1 with the given colour, the one is taken whose logit has the least slope.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from offtool.core.colour.spaces import Colours, Lab, lab_from_xyz, xyz_from_lab
from offtool.core.values import ImpossibleInput
from offtool.handbook.light_and_eye import D65_AND_10_DEGREES

Spectrum = NDArray[np.float64]

_TABLE = np.array(D65_AND_10_DEGREES)
WAVELENGTHS = _TABLE[:, 0]
_SEEN = _TABLE[:, 2:] * _TABLE[:, 1:2]
WEIGHTS = _SEEN.T / _SEEN[:, 1].sum()
"""Three rows: what each wavelength gives to X, Y and Z; a white surface has Y = 1."""
WHITE = WEIGHTS.sum(axis=1)
NEAR = 1e-10
"""XYZ is met to this; far finer than any instrument reads."""
_STEPS = 200
_LONGEST = 2.0
"""A step of Newton's method moves no logit further: from far away it would overshoot."""
_TOO_FAR = 60.0
"""A logit beyond this is a reflectance of 0 or 1 to all digits: no surface has the colour."""


def lab_of_spectrum(reflectance: ArrayLike) -> Colours:
    """CIELAB under D65 and 10° of reflectances, their wavelengths in the last axis."""
    return lab_from_xyz(np.asarray(reflectance, dtype=float) @ WEIGHTS.T, WHITE)


def smoothest_spectrum(lab: Lab) -> Spectrum:
    """The smoothest reflectance, 400 to 700 nm every 10 nm, that has a colour under D65 and 10°.

    Raises: ImpossibleInput for a colour that no surface has, such as a fluorescent one.
    """
    return _smoothest(tuple(float(one) for one in lab)).copy()


@lru_cache(maxsize=500)
def _smoothest(lab: tuple[float, ...]) -> Spectrum:
    """Newton's method on the least sum of squared slopes of z, XYZ held; reflectance = 1 / (1 + e^-z)."""
    wanted = xyz_from_lab(lab, WHITE)
    n = len(WAVELENGTHS)
    slope = np.diff(np.eye(n), axis=0)
    bending = 2 * slope.T @ slope
    z, multipliers = np.full(n, _logit_of_grey(float(wanted[1]))), np.zeros(3)
    for _ in range(_STEPS):
        reflectance = 1 / (1 + np.exp(-z))
        first = reflectance * (1 - reflectance)
        held = WEIGHTS * first
        missing = WEIGHTS @ reflectance - wanted
        pull = multipliers @ WEIGHTS
        wrong = np.concatenate([bending @ z + pull * first, missing])
        if np.abs(missing).max() < NEAR and np.abs(wrong).max() < 1e-7:
            return np.asarray(reflectance)
        curve = bending + np.diag(pull * first * (1 - 2 * reflectance))
        matrix = np.block([[curve, held.T], [held, np.zeros((3, 3))]])
        try:
            step = np.linalg.solve(matrix, -wrong)
        except np.linalg.LinAlgError:
            break
        step *= min(1.0, _LONGEST / max(float(np.abs(step[:n]).max()), 1e-12))
        z, multipliers = z + step[:n], multipliers + step[n:]
        if np.abs(z).max() > _TOO_FAR:
            break
    raise no_surface(lab)


def _logit_of_grey(luminance: float) -> float:
    share = float(np.clip(luminance, 1e-4, 1 - 1e-4))
    return float(np.log(share / (1 - share)))


def no_surface(lab: tuple[float, ...]) -> ImpossibleInput:
    """The refusal of a colour that no surface has."""
    shown = ", ".join(f"{one:g}" for one in lab)
    return ImpossibleInput(
        "colour",
        f"L, a, b = {shown}",
        "",
        "no surface that only reflects has this colour under daylight",
        "check the three numbers; a fluorescent colour cannot be planned with",
    )
