"""From the light that a camera saw to the light that was there: a tone curve, then one of three methods."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from offtool.core.colour.spaces import Colours, lab_from_linear, xyz_from_linear

Method = Literal["white balance", "root polynomial 1", "root polynomial 2"]

Rows: TypeAlias = tuple[tuple[float, ...], ...]

LEAST_PATCHES: dict[Method, tuple[int, int]] = {
    "white balance": (1, 0),
    "root polynomial 1": (6, 4),
    "root polynomial 2": (12, 8),
}
"""The methods, the plainest first: how many patches each needs, twice its terms, and how many of them
coloured, since greys show nothing of how a camera sees colours. Our own."""
GREY_CHROMA = 5.0
"""A patch of less chroma counts as grey."""
LEAST_GREYS = 4
"""So many greys show a tone curve."""
GAMMAS = (0.4, 2.5)
LEAST_LIGHT = 1e-4
_SURE = 3.0
"""A tone curve is believed beyond so many of its standard errors, and beyond `_SEEN`."""
_SEEN = 0.02
_DARKEST = 0.01


@dataclass(frozen=True, slots=True)
class CardFit:
    """How a camera's linear light is corrected: seen ** gamma, its terms, and a row of weights a channel.

    `spread` is what the fit's errors are multiplied by on their way to another colour: the inverse of its
    normal matrix; empty for a white balance, which has no shape to err in.
    """

    method: Method
    gamma: float
    matrix: Rows
    spread: Rows

    def light(self, seen: Colours) -> Colours:
        """Corrected linear light."""
        return np.asarray(terms(seen, self.method, self.gamma) @ np.array(self.matrix).T)

    def leverage(self, seen: Colours) -> NDArray[np.float64]:
        """How far a colour lies from those of the card, as the fit sees it; 0 at the least."""
        if not self.spread:
            return np.zeros(np.shape(seen)[:-1])
        found = terms(seen, self.method, self.gamma)
        brightness = xyz_from_linear(self.light(seen))[..., 1]
        return np.asarray(
            np.einsum("...i,ij,...j->...", found, np.array(self.spread), found) * _weight(brightness) ** 2
        )


def terms(seen: Colours, method: Method, gamma: float) -> Colours:
    """The terms of a method. Each is as strong as the light itself, so that exposure drops out: Finlayson,
    Mackiewicz and Hurlbert 2015, IEEE Trans. Image Process. 24:1460, from memory."""
    rgb: Colours = np.maximum(np.asarray(seen, dtype=float), LEAST_LIGHT) ** gamma
    if method != "root polynomial 2":
        return rgb
    return np.concatenate([rgb, np.sqrt(rgb * np.roll(rgb, -1, axis=-1))], axis=-1)


def fit_card(seen: Colours, wanted: Colours, method: Method) -> CardFit:
    """The correction that takes the light seen of each patch to the light wanted of it."""
    greys = is_grey(wanted)
    gamma = tone(seen[greys], wanted[greys])
    if method == "white balance":
        gains = _gains(terms(seen, method, gamma), wanted, greys)
        return CardFit(method, gamma, _rows(np.diag(gains)), ())
    found = terms(seen, method, gamma)
    weight = _weight(xyz_from_linear(wanted)[:, 1])[:, None]
    matrix = np.linalg.lstsq(found * weight, wanted * weight, rcond=None)[0].T
    spread = np.linalg.pinv((found * weight).T @ (found * weight))
    return CardFit(method, gamma, _rows(matrix), _rows(spread))


def _rows(matrix: NDArray[np.floating[Any]]) -> Rows:
    return tuple(tuple(map(float, row)) for row in matrix)


def is_grey(wanted: Colours) -> NDArray[np.bool_]:
    """Which patches are grey by their reference."""
    lab = lab_from_linear(wanted)
    return np.asarray((np.hypot(lab[:, 1], lab[:, 2]) < GREY_CHROMA) & (wanted > LEAST_LIGHT).all(axis=1))


def tone(seen: Colours, wanted: Colours) -> float:
    """The power that makes the greys straight; 1 where they are too few, or straight already.

    log wanted = k + gamma log seen, each channel with its own k.
    """
    if len(seen) < LEAST_GREYS:
        return 1.0
    x, y = np.log(np.maximum(seen, LEAST_LIGHT)), np.log(wanted)
    x, y = x - x.mean(axis=0), y - y.mean(axis=0)
    squares = float((x * x).sum())
    if squares == 0:
        return 1.0
    gamma = float((x * y).sum()) / squares
    freedom = x.size - 4
    error = float(np.sqrt(((y - gamma * x) ** 2).sum() / freedom / squares))
    believed = abs(gamma - 1) > max(_SURE * error, _SEEN) and GAMMAS[0] <= gamma <= GAMMAS[1]
    return gamma if believed else 1.0


def _gains(found: Colours, wanted: Colours, greys: NDArray[np.bool_]) -> Colours:
    """White balance and exposure: by the greys, each alike; without a grey by all patches."""
    if greys.any():
        return np.asarray(np.exp(np.log(wanted[greys] / found[greys]).mean(axis=0)))
    weight = _weight(xyz_from_linear(wanted)[:, 1])[:, None]
    return np.asarray((weight**2 * found * wanted).sum(axis=0) / (weight**2 * found**2).sum(axis=0))


def _weight(brightness: NDArray[np.float64]) -> NDArray[np.float64]:
    """How much lightness a little light makes, so that dark patches count as the eye counts them."""
    return np.asarray((np.maximum(brightness, 0.0) + _DARKEST) ** (-2 / 3))
