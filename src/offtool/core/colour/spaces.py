"""Colours from one space to the next: sRGB as pictures hold it, linear light, XYZ, and CIELAB under a light.

Arrays hold a colour in their last axis. XYZ is scaled so that the white has Y = 1.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, TypeAlias, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from offtool.core.formulas import formula
from offtool.core.values import Caution, Range

Light = Literal["D65/2", "D65/10", "D50/2", "D50/10"]
"""The illuminant and the observer's degrees, under which CIELAB values were measured."""
Colours: TypeAlias = NDArray[np.float64]
Lab: TypeAlias = tuple[float, float, float]

LIGHTS: tuple[Light, ...] = get_args(Light)
USUAL_LIGHT: Light = "D65/2"
"""What every colour is brought to before it is compared: that of sRGB."""

WHITES: Mapping[Light, Colours] = MappingProxyType(
    {
        "D65/2": np.array([0.95047, 1.0, 1.08883]),
        "D65/10": np.array([0.94811, 1.0, 1.07304]),
        "D50/2": np.array([0.96422, 1.0, 0.82521]),
        "D50/10": np.array([0.96720, 1.0, 0.81427]),
    }
)
"""ASTM E308, from memory."""

_PRIMARIES = np.array([[0.64, 0.33, 0.03], [0.30, 0.60, 0.10], [0.15, 0.06, 0.79]])
"""x, y, z of red, green and blue: IEC 61966-2-1."""
_BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
_BEND, _SLOPE, _OFFSET, _POWER = 0.04045, 12.92, 0.055, 2.4
_KNEE = 6 / 29
"""Below its cube CIELAB is a straight line: CIE 15."""


def _matrix_of_srgb() -> Colours:
    """Linear light to XYZ: the primaries, each as strong as white needs it."""
    strengths = np.linalg.solve(_PRIMARIES.T, WHITES[USUAL_LIGHT])
    return np.asarray(_PRIMARIES.T * strengths)


_TO_XYZ = _matrix_of_srgb()
_FROM_XYZ = np.linalg.inv(_TO_XYZ)


def linear_from_srgb(srgb: ArrayLike) -> Colours:
    """Linear light, 0 to 1, of sRGB values from 0 to 255; each channel alone."""
    v = np.asarray(srgb, dtype=float) / 255
    return np.where(v <= _BEND, v / _SLOPE, ((np.maximum(v, _BEND) + _OFFSET) / (1 + _OFFSET)) ** _POWER)


def srgb_from_linear(linear: ArrayLike) -> Colours:
    """sRGB values, not rounded; light outside 0 to 1 gives values outside 0 to 255."""
    v = np.asarray(linear, dtype=float)
    bend = _BEND / _SLOPE
    power = (1 + _OFFSET) * np.maximum(v, bend) ** (1 / _POWER) - _OFFSET
    return np.asarray(255 * np.where(v <= bend, v * _SLOPE, power))


def xyz_from_linear(linear: ArrayLike) -> Colours:
    """XYZ under D65 and 2° of linear sRGB light."""
    return np.asarray(linear, dtype=float) @ _TO_XYZ.T


def linear_from_xyz(xyz: ArrayLike) -> Colours:
    """Linear sRGB light of XYZ under D65 and 2°; outside 0 to 1 for what no screen shows."""
    return np.asarray(np.asarray(xyz, dtype=float) @ _FROM_XYZ.T)


def lab_from_xyz(xyz: ArrayLike, white: ArrayLike) -> Colours:
    """CIELAB beside a white."""
    t = np.asarray(xyz, dtype=float) / np.asarray(white, dtype=float)
    line = t / (3 * _KNEE**2) + 4 / 29
    f = np.where(t > _KNEE**3, np.cbrt(t), line)
    x, y, z = np.moveaxis(f, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def xyz_from_lab(lab: ArrayLike, white: ArrayLike) -> Colours:
    """XYZ of CIELAB beside a white."""
    lightness, a, b = np.moveaxis(np.asarray(lab, dtype=float), -1, 0)
    y = (lightness + 16) / 116
    f = np.stack([y + a / 500, y, y - b / 200], axis=-1)
    t = np.where(f > _KNEE, f**3, 3 * _KNEE**2 * (f - 4 / 29))
    return np.asarray(t * np.asarray(white, dtype=float))


def adapted(xyz: ArrayLike, light: Light, wanted: Light) -> Colours:
    """XYZ as the same surface gives it under another light: Bradford, linear.

    From one observer to the other it is an approximation: a spectrum would be needed.
    """
    found = np.asarray(xyz, dtype=float)
    if light == wanted:
        return found
    ratio = (_BRADFORD @ WHITES[wanted]) / (_BRADFORD @ WHITES[light])
    return found @ np.linalg.solve(_BRADFORD, ratio[:, None] * _BRADFORD).T


def lab_in_light(lab: ArrayLike, light: Light, wanted: Light) -> Colours:
    """CIELAB of the same surface under another light."""
    if light == wanted:
        return np.asarray(lab, dtype=float)
    return lab_from_xyz(adapted(xyz_from_lab(lab, WHITES[light]), light, wanted), WHITES[wanted])


def lab_from_linear(linear: ArrayLike, light: Light = USUAL_LIGHT) -> Colours:
    """CIELAB of linear sRGB light."""
    return lab_from_xyz(adapted(xyz_from_linear(linear), USUAL_LIGHT, light), WHITES[light])


def linear_from_lab(lab: ArrayLike, light: Light = USUAL_LIGHT) -> Colours:
    """Linear sRGB light of CIELAB."""
    return linear_from_xyz(adapted(xyz_from_lab(lab, WHITES[light]), light, USUAL_LIGHT))


def as_lab(found: Colours) -> Lab:
    """One colour as three plain numbers."""
    return float(found[0]), float(found[1]), float(found[2])


@dataclass(frozen=True, slots=True, kw_only=True)
class SrgbInLab:
    """An sRGB colour in CIELAB, also by chroma and hue."""

    lightness: float
    a: float
    b: float
    chroma: float
    hue_deg: float
    light: Light
    red: float
    green: float
    blue: float
    cautions: tuple[Caution, ...] = ()


def _channel(name: str) -> Range:
    return Range(meaning=f"{name} of the picture, 8 bit", at_least=0, at_most=255, remedy="give 0 to 255")


@formula(
    limits={
        "red": _channel("red"),
        "green": _channel("green"),
        "blue": _channel("blue"),
        "light": Range(meaning="illuminant and observer of the answer"),
    },
    example={"red": 201.0, "green": 84.0, "blue": 60.0},
    source="sRGB: IEC 61966-2-1; CIELAB: ISO/CIE 11664-4; white points: ASTM E308; adaptation: Bradford; all "
    "from memory",
)
def lab_from_srgb(red: float, green: float, blue: float, *, light: Light = "D65/2") -> SrgbInLab:
    """What a colour of a screen or a picture is in CIELAB.

    v = c / 255; linear = v / 12.92 below 0.04045, else ((v + 0.055) / 1.055) ^ 2.4; XYZ by the primaries;
    L = 116 f(Y/Yn) - 16, a = 500 (f(X/Xn) - f(Y/Yn)), b = 200 (f(Y/Yn) - f(Z/Zn)), f the cube root.

    Returns: SrgbInLab. Raises: ImpossibleInput outside 0 to 255.

    Holds when: the numbers are sRGB. A camera's picture is that only roughly: put a card beside the piece.

    Example: 255, 0, 0 is L 53.24, a 80.09, b 67.20.
    """
    lightness, a, b = as_lab(lab_from_linear(linear_from_srgb([red, green, blue]), light))
    return SrgbInLab(
        lightness=lightness,
        a=a,
        b=b,
        chroma=float(np.hypot(a, b)),
        hue_deg=float(np.degrees(np.arctan2(b, a)) % 360),
        light=light,
        red=red,
        green=green,
        blue=blue,
    )
