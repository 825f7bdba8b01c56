"""Colours of the virtual archive: of jobs on presses, of production, and of the changes between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

Array = NDArray[np.float64]
LIGHTNESS = (25.0, 90.0)
CHROMA = 60.0
PALETTE_DENSITY = 1 / ((LIGHTNESS[1] - LIGHTNESS[0]) * pi * CHROMA**2)
"""Of a colour that can be any, per unit of CIELAB."""
SPREAD_DE = 0.8
"""From part to part of one run, in units of CIEDE2000."""
UNLIKE = 12.0


@dataclass(frozen=True, slots=True, eq=False)
class Colour:
    """The law of a run's colour: centres with shares; parts spread about them."""

    centres: Array
    shares: Array

    @classmethod
    def of(cls, lab: Array) -> Colour:
        """One colour."""
        return cls(lab[None, :], np.ones(1))

    @classmethod
    def any_of(cls, colours: Sequence[Colour], shares: Sequence[float]) -> Colour:
        """One of several."""
        weights = [one.shares * share for one, share in zip(colours, shares, strict=True) if share > 0]
        centres = [one.centres for one, share in zip(colours, shares, strict=True) if share > 0]
        return cls(np.concatenate(centres), np.concatenate(weights))

    def drawn(self, rng: Generator, uncertainty_de: float) -> Array:
        """The colour of one part as measured."""
        centre = self.centres[rng.choice(self.shares.size, p=self.shares / self.shares.sum())]
        return strayed(rng, centre, float(np.hypot(SPREAD_DE, uncertainty_de)))

    def density(self, lab: Array, uncertainty_de: float) -> float:
        """Of a measured colour, per unit of CIELAB."""
        sd = float(np.hypot(SPREAD_DE, uncertainty_de))
        axes, scales = _axes(self.centres)
        z = np.einsum("kij,kj->ki", axes, lab - self.centres) / (scales * sd)
        peak = (2 * pi) ** -1.5 / (scales.prod(axis=1) * sd**3)
        return float(self.shares @ (peak * np.exp(-0.5 * (z**2).sum(axis=1))) / self.shares.sum())


@dataclass(frozen=True, slots=True)
class Press:
    """A press and the colours of the jobs that ran on it, one after the other."""

    jobs: tuple[Colour, ...]

    def running_about(self, rng: Generator) -> list[Colour]:
        """Three jobs in a row: when a trial was is known to so much."""
        first = int(rng.integers(len(self.jobs) - 2))
        return list(self.jobs[first : first + 3])


def make_presses(rng: Generator) -> tuple[Press, ...]:
    """Four presses with five to eight jobs of other products each."""
    return tuple(
        Press(tuple(Colour.of(any_colour(rng)) for _ in range(int(rng.integers(5, 9))))) for _ in range(4)
    )


def any_colour(rng: Generator) -> Array:
    """Any colour that plastics have."""
    chroma, hue = CHROMA * np.sqrt(rng.random()), rng.uniform(0, 2 * pi)
    return np.array([rng.uniform(*LIGHTNESS), chroma * np.cos(hue), chroma * np.sin(hue)])


def an_unlike(rng: Generator, others: Sequence[Colour]) -> Colour:
    """A colour of production that nobody takes for another one of the same part."""
    while True:
        lab = any_colour(rng)
        if all(np.linalg.norm(lab - one.centres[0]) > UNLIKE for one in others):
            return Colour.of(lab)


def mixtures(before: Sequence[Colour], after: Colour, steps: int = 19) -> Colour:
    """What comes out while the press goes from one of several colours to another."""
    at = np.linspace(0.05, 0.95, steps)[:, None]
    centres = np.concatenate([(1 - at) * one.centres + at * after.centres for one in before])
    return Colour(centres, np.full(len(centres), 1 / len(centres)))


def strayed(rng: Generator, lab: Array, sd_de: float) -> Array:
    """A colour some units of CIEDE2000 beside another."""
    axes, scales = _axes(lab[None, :])
    return np.asarray(lab + axes[0].T @ (rng.normal(0, sd_de, 3) * scales[0]))


def _axes(lab: Array) -> tuple[Array, Array]:
    """Lightness, chroma and hue at a colour, and how much CIELAB one unit of CIEDE2000 is along each.

    S_L, S_C and S_H of ISO/CIE 11664-6 without its term for hue.
    """
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    cos, sin = (
        lab[:, 1] / np.maximum(chroma, 1e-9),
        lab[:, 2] / np.maximum(chroma, 1e-9),
    )
    zero, one = np.zeros_like(cos), np.ones_like(cos)
    axes = np.stack(
        [np.stack(row, axis=-1) for row in ((one, zero, zero), (zero, cos, sin), (zero, -sin, cos))],
        axis=1,
    )
    away = (lab[:, 0] - 50) ** 2
    scales = np.stack(
        [1 + 0.015 * away / np.sqrt(20 + away), 1 + 0.045 * chroma, 1 + 0.015 * chroma],
        axis=1,
    )
    return axes, scales
