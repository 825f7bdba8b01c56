"""Readings sorted by cavity and shot; several readings of one part become their mean."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from offtool.core.values import ImpossibleInput, OfftoolError, Range

CAVITIES = Range(meaning="cavity of each reading")
SHOTS = Range(meaning="shot number of each reading", at_least=0)


@dataclass(frozen=True, slots=True)
class Parts:
    """One row a part: its cavity and shot by code, the mean of its readings less the mean of all."""

    value: NDArray[np.float64]
    cavity: NDArray[np.intp]
    shot: NDArray[np.intp]
    labels: tuple[str, ...]
    shots: NDArray[np.float64]
    centre: float
    readings: int
    per_part: float
    """Harmonic mean of the readings a part."""
    again_squares: float
    again_freedom: int

    @property
    def measured(self) -> NDArray[np.float64]:
        """1 where a cavity was measured in a shot, else 0; [shot, cavity]."""
        where = np.zeros((len(self.shots), len(self.labels)))
        where[self.shot, self.cavity] = 1.0
        return where

    @property
    def complete(self) -> bool:
        """Whether every cavity was measured in every shot."""
        return self.value.size == len(self.shots) * len(self.labels)


def coded(names: object, count: int, argument: str) -> tuple[NDArray[np.intp], tuple[str, ...]]:
    """Codes 0, 1, ... of a list of names and the names; refused when they are not `count` or none."""
    array = np.asarray(names)
    if count == 0 or array.size != count:
        raise ImpossibleInput(argument, array.size, "", f"must name one for each of {count} readings")
    labels, codes = np.unique(array, return_inverse=True)
    return codes, tuple(str(label) for label in labels)


def centred(values: NDArray[np.float64]) -> tuple[NDArray[np.float64], float]:
    """Readings less their mean, and the mean; a large size loses no digit of its spread."""
    apart = values - values[0]
    mean = float(apart.mean())
    finite(float(np.square(apart).sum()))
    return apart - mean, float(values[0] + mean)


def finite(number: float) -> float:
    """The number, refused when slipped exponents made it infinite."""
    if not isfinite(number):
        raise OfftoolError(
            "the readings are too far apart to be calculated with", remedy="look for slipped exponents"
        )
    return number


def parts_of(values: object, cavities: object, shots: object) -> Parts:
    """The parts behind readings; a cavity makes one part a shot."""
    reading = np.asarray(values, dtype=float)
    cavity, labels = coded(cavities, reading.size, "cavities")
    number = np.asarray(shots, dtype=float)
    if number.size != reading.size:
        raise ImpossibleInput("shots", number.size, "", f"must name one for each of {reading.size} readings")
    order, shot = np.unique(number, return_inverse=True)
    apart, centre = centred(reading)
    width = len(labels)
    count = np.bincount(shot * width + cavity, minlength=len(order) * width)
    total = np.bincount(shot * width + cavity, weights=apart, minlength=len(order) * width)
    cell = np.flatnonzero(count)
    mean = total[cell] / count[cell]
    again = reading.size - cell.size
    squares = 0.0
    if again:
        filled = np.zeros(count.size)
        filled[cell] = mean
        squares = float(np.square(apart - filled[shot * width + cavity]).sum())
    return Parts(
        value=mean,
        cavity=cell % width,
        shot=cell // width,
        labels=labels,
        shots=order,
        centre=centre,
        readings=reading.size,
        per_part=float(cell.size / (1 / count[cell]).sum()),
        again_squares=squares,
        again_freedom=again,
    )
