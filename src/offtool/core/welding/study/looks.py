"""The probability of a good look along the settings, from few runs that settings may part entirely.

Logistic by Firth's penalised likelihood, l + log det(I) / 2, which has an answer also where all good runs lie
on one side. The bound of the probability at a place is where twice the fall of the profile passes chi-square:
the score at the place is held, all else is fitted anew.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

Array = NDArray[np.float64]

STEPS = 60
LONGEST_STEP = 2.0
CLOSE = 1e-8
FARTHEST = 30.0
DOUBLINGS = 7
HALVINGS = 14
"""From a reach of a half, doubled seven times at most, down to a hundredth of a score and less."""
STEP_HALVINGS = 10
TINY = 1e-12


@dataclass(frozen=True, slots=True)
class Looked:
    """Places that were looked at, each once, with how many looked good there and of how many."""

    x: Array
    good: Array
    count: Array

    @classmethod
    def of(cls, x: Array, good: Array) -> Looked:
        """From one row for each piece; `good` is 1 or 0."""
        places, codes = np.unique(x, axis=0, return_inverse=True)
        codes = codes.ravel()
        good_there = np.bincount(codes, weights=good).astype(np.float64)
        return cls(places, good_there, np.bincount(codes).astype(np.float64))


def firth_fit(x: Array, good: Array) -> Array:
    """Coefficients of the score, from one row for each piece."""
    return np.asarray(_fit(Looked.of(x, good), np.zeros((1, x.shape[1])), np.eye(x.shape[1])[None])[0][0])


def good_bounds(x: Array, good: Array, places: Array, confidence: float) -> tuple[Array, Array]:
    """Probability of a good look at each place (a row like those of x), and its one-sided lower bound."""
    looked = Looked.of(x, good)
    beta, best = _fit(looked, np.zeros((1, x.shape[1])), np.eye(x.shape[1])[None])
    middle = places @ beta[0]
    level = float(best[0]) - float(special.ndtri(confidence)) ** 2 / 2
    return special.expit(middle), special.expit(_lower_score(looked, places, middle, level, beta[0]))


def _lower_score(looked: Looked, places: Array, middle: Array, level: float, beta: Array) -> Array:
    """The score below the middle at which the profile has fallen to the level."""
    profile = _Profile(looked, places, beta)
    inner, outer = np.zeros(len(places)), np.full(len(places), 0.5)
    for _ in range(DOUBLINGS):
        above = profile.at(middle - outer) > level
        if not above.any():
            break
        inner, outer = np.where(above, outer, inner), np.where(above, outer * 2, outer)
    for _ in range(HALVINGS):
        half = (inner + outer) / 2
        above = profile.at(middle - half) > level
        inner, outer = np.where(above, half, inner), np.where(above, outer, half)
    return np.asarray(middle - outer)


class _Profile:
    """The largest penalised likelihood with the score held at each place; each call starts at the last."""

    def __init__(self, looked: Looked, places: Array, beta: Array) -> None:
        self.looked, self.places = looked, places
        self.square = (places**2).sum(axis=1)
        self.free = np.linalg.svd(places[:, None, :])[2][:, 1:].transpose(0, 2, 1)
        self.beta = np.tile(beta, (len(places), 1))

    def at(self, score: Array) -> Array:
        off = score - (self.beta * self.places).sum(axis=1)
        self.beta, value = _fit(
            self.looked, self.beta + self.places * (off / self.square)[:, None], self.free
        )
        return value


def _fit(looked: Looked, beta: Array, free: Array) -> tuple[Array, Array]:
    """Newton's steps along the free directions, many fits side by side; each is shortened until it climbs."""
    value, step = _value_and_step(looked, beta, free)
    for _ in range(STEPS):
        length = np.abs(step).max(axis=1, initial=0.0)
        moving = np.flatnonzero(length > CLOSE)
        if not moving.size:
            break
        share = np.minimum(1.0, LONGEST_STEP / np.maximum(length[moving], TINY))
        for _ in range(STEP_HALVINGS):
            tried = beta[moving] + share[:, None] * step[moving]
            new_value, new_step = _value_and_step(looked, tried, free[moving])
            worse = new_value < value[moving] - CLOSE
            if not worse.any():
                break
            share = np.where(worse, share / 2, share)
        better = new_value >= value[moving] - CLOSE
        beta[moving] = np.where(better[:, None], tried, beta[moving])
        step[moving] = np.where(better[:, None], new_step, 0.0)
        value[moving] = np.where(better, new_value, value[moving])
    return beta, value


def _value_and_step(looked: Looked, beta: Array, free: Array) -> tuple[Array, Array]:
    """Penalised log likelihood and the Newton step, for each row of beta."""
    x, good, count = looked.x, looked.good, looked.count
    score = np.clip(beta @ x.T, -FARTHEST, FARTHEST)
    p = special.expit(score)
    weight = count * p * (1 - p) + TINY
    size = x.shape[1]
    squares = (x[:, :, None] * x[:, None, :]).reshape(len(x), size * size)
    information = (weight @ squares).reshape(-1, size, size)
    value = good * score - count * np.logaddexp(0.0, score)
    penalised = value.sum(axis=1) + np.linalg.slogdet(information)[1] / 2
    inverse = np.linalg.inv(information + TINY * np.eye(size))
    leverage = weight * (inverse.reshape(-1, size * size) @ squares.T)
    slope = (good - count * p + leverage * (0.5 - p)) @ x
    turned = free.transpose(0, 2, 1)
    inside = turned @ information @ free + TINY * np.eye(free.shape[2])
    along = turned @ slope[:, :, None]
    return penalised, (free @ np.linalg.solve(inside, along))[:, :, 0]
