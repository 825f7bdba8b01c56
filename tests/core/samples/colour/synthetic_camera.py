"""A camera whose response is known, before surfaces whose spectra are known: what it sees, and the truth.

Observer: the sums of Gaussian lobes of Wyman, Sloan and Shirley 2013, J. Comput. Graph. Tech. 2(2):1, from
memory. The camera's three filters are other curves than the observer's, so that no matrix corrects it wholly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from offtool.core.colour.spaces import WHITES, lab_from_xyz
from offtool.core.samples.colour import CardPatch

Array = NDArray[np.float64]
NM = np.arange(400.0, 701.0, 5.0)


def _lobe(middle: float, below: float, above: float) -> Array:
    return np.exp(-0.5 * ((NM - middle) * np.where(middle > NM, below, above)) ** 2)


OBSERVER = np.array(
    [
        0.362 * _lobe(442.0, 0.0624, 0.0374)
        + 1.056 * _lobe(599.8, 0.0264, 0.0323)
        - 0.065 * _lobe(501.1, 0.0490, 0.0382),
        0.821 * _lobe(568.8, 0.0213, 0.0247) + 0.286 * _lobe(530.9, 0.0613, 0.0322),
        1.217 * _lobe(437.0, 0.0845, 0.0278) + 0.681 * _lobe(459.0, 0.0385, 0.0725),
    ]
)


@dataclass(frozen=True, slots=True)
class Camera:
    """Three filters, exposure and a tone curve that its pictures were written with."""

    filters: Array
    exposure: float = 0.8
    gamma: float = 1.0

    def sees(self, surfaces: Array, lamp: Array) -> Array:
        """Linear light as decoded from its picture; a white surface gives the exposure in green."""
        light = (surfaces * lamp) @ self.filters.T
        white = lamp @ self.filters.T
        return (self.exposure * light / white[1]) ** (1 / self.gamma)


def a_camera(rng: np.random.Generator, *, exposure: float = 0.8, gamma: float = 1.0) -> Camera:
    """Filters about where those of cameras lie, each camera's a little elsewhere."""
    middles = np.array([600.0, 535.0, 460.0]) + rng.normal(0, 6, 3)
    widths = np.array([38.0, 40.0, 30.0]) * np.exp(rng.normal(0, 0.1, 3))
    return Camera(np.exp(-0.5 * ((NM - middles[:, None]) / widths[:, None]) ** 2), exposure, gamma)


def a_lamp(rng: np.random.Generator) -> Array:
    """Daylight, bluer or yellower."""
    slope = rng.normal(0, 0.25)
    return 1 + slope * (NM - 550) / 150 + 0.1 * rng.normal() * np.cos((NM - 550) / 60)


def surfaces(rng: np.random.Generator, count: int) -> Array:
    """Smooth spectra, as pigments have them: steps and humps over a floor."""
    edges, sharp = rng.uniform(430, 660, (count, 1)), rng.uniform(8, 30, (count, 1))
    steps = 1 / (1 + np.exp(-(NM - edges) / sharp * rng.choice([-1, 1], (count, 1))))
    humps = np.exp(-0.5 * ((NM - rng.uniform(420, 660, (count, 1))) / rng.uniform(25, 70, (count, 1))) ** 2)
    share, strong = rng.uniform(0, 1, (count, 1)), rng.uniform(0.1, 0.8, (count, 1))
    return rng.uniform(0.03, 0.15, (count, 1)) + strong * (share * steps + (1 - share) * humps)


def greys(levels: list[float]) -> Array:
    """Flat spectra."""
    return np.array(levels)[:, None] * np.ones_like(NM)


def true_lab(spectra: Array, lamp: Array) -> Array:
    """CIELAB beside the lamp's own white, given as if the white were that of D65."""
    xyz = (spectra * lamp) @ OBSERVER.T / (lamp @ OBSERVER.T)
    return lab_from_xyz(xyz * WHITES["D65/2"], WHITES["D65/2"])


def photographed(camera: Camera, spectra: Array, lamp: Array) -> list[CardPatch]:
    """The patches of a card in a picture of this camera."""
    seen, labs = camera.sees(spectra, lamp), true_lab(spectra, lamp)
    return [
        CardPatch(name=f"patch {place + 1}", lab=tuple(lab), rgb=tuple(light))
        for place, (lab, light) in enumerate(zip(labs.tolist(), seen.tolist(), strict=True))
    ]
