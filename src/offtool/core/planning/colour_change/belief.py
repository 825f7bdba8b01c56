"""What is believed of a press's washout: middles and how sure, before any shot was measured and after.

Each number is carried on a scale on which it may be anything: logs of amounts, logits of shares. There it is
normal, so that the handbook's ranges, a fit to shots, and what both foretell speak one language.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from math import log

import numpy as np
from numpy.typing import NDArray

from offtool.core.planning.colour_change.washout import Washout
from offtool.core.values import ImpossibleInput
from offtool.handbook.colour_changes import (
    FEED_FACTOR,
    MATERIAL_MORE,
    POLYSTYRENE_G_CM3,
    SCREW_HOLDS,
    STRENGTH,
    WASHOUT,
    Expected,
)
from offtool.handbook.terms import Feed

Numbers = NDArray[np.float64]

NAMES = ("contents_g", "plug", "tanks", "slow", "slow_stay", "strength")
_ARE_SHARES = np.array([name in ("plug", "slow") for name in NAMES])
DRAWS = 400
"""So many presses that could be this one; ends of intervals are steady to about 2 % of themselves."""
CONFIDENCE = 0.9
_TO_END = 1.6448536269514722
"""From the middle of a normal to the end of its middle nine tenths."""
FROM_CHANGE_TO_CHANGE = 0.1
"""One change on the same press differs from the next by so much; our own, common practice gives none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """A number with the interval it is in, nine of ten."""

    value: float
    low: float
    high: float

    def times(self, factor: float) -> Amount:
        """All three times a factor."""
        return Amount(value=self.value * factor, low=self.low * factor, high=self.high * factor)


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """What stands between hopper and gate, in a range, and how it was reckoned."""

    low_g: float
    high_g: float
    says: str

    @property
    def middle_g(self) -> float:
        """By ratio."""
        return float((self.low_g * self.high_g) ** 0.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class WashoutBelief:
    """Middles and covariance of NAMES on their own scales; `says` is where it comes from."""

    middle: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    says: str
    shots: int = 0
    """How many measured shots are behind it."""

    def of(self, name: str) -> Amount:
        """One number with its interval."""
        place = NAMES.index(name)
        spread = _TO_END * float(self.covariance[place][place]) ** 0.5
        at = self.middle[place]
        back = [_back(np.array([one]), _ARE_SHARES[[place]])[0] for one in (at, at - spread, at + spread)]
        return Amount(value=float(back[0]), low=float(back[1]), high=float(back[2]))

    def draws(self, *, more: Expected | None = None) -> tuple[Washout, Numbers]:
        """Presses that could be this one, and strengths of the old colour; `more` is a factor on contents."""
        root = _root(np.array(self.covariance))
        normal = _even_normal(len(NAMES) + 2)
        scaled = np.array(self.middle) + normal[:, : len(NAMES)] @ root.T
        found = _back(scaled, _ARE_SHARES)
        times = np.exp(FROM_CHANGE_TO_CHANGE * normal[:, -1])
        if more is not None:
            times = times * np.exp(log(more.middle) + _spread(more) * normal[:, -2])
        return washout_of(found).larger(times), found[:, NAMES.index("strength")]

    def typical(self) -> Washout:
        """The press in the middle of all."""
        return washout_of(_back(np.array([self.middle]), _ARE_SHARES))


def washout_of(numbers: Numbers) -> Washout:
    """Many washouts from rows of NAMES."""
    column = dict(zip(NAMES, np.asarray(numbers).T, strict=True))
    return Washout(
        contents_g=column["contents_g"],
        plug=column["plug"],
        tanks=column["tanks"],
        slow=column["slow"],
        slow_stay=np.maximum(column["slow_stay"], 1.0),
    )


def from_scale(scaled: Numbers) -> Numbers:
    """Rows of NAMES from their own scales."""
    return _back(scaled, _ARE_SHARES)


def expected_washout(contents: Contents) -> WashoutBelief:
    """What is believed before any shot of the press was measured: the handbook's ranges."""
    rows = [
        Expected(meaning="contents", low=contents.low_g, high=contents.high_g),
        *(WASHOUT[name] for name in NAMES[1:-1]),
        STRENGTH,
    ]
    ends = [_ends(row, is_share=bool(share)) for row, share in zip(rows, _ARE_SHARES, strict=True)]
    spread = np.array([(high - low) / 2 / _TO_END for low, high in ends])
    return WashoutBelief(
        middle=tuple((low + high) / 2 for low, high in ends),
        covariance=_rows(np.diag(spread**2)),
        says=f"{contents.says}; mixing as in the handbook's ranges, no shot was measured",
    )


def contents_of_press(
    barrel_g: float,
    *,
    density_g_cm3: float = POLYSTYRENE_G_CM3,
    feed: Feed = Feed.UNKNOWN,
    hot_runner_cm3: float | None = None,
) -> Contents:
    """What stands between hopper and gate: the barrel's largest shot, the screw, and a hot runner.

    Raises ImpossibleInput for a barrel or a density that is not above 0.
    """
    for name, value, unit in (("barrel_g", barrel_g, "g"), ("density_g_cm3", density_g_cm3, "g/cm³")):
        if not value > 0:
            raise ImpossibleInput(name, value, unit, "must be above 0", "it stands on the press's sheet")
    shot = barrel_g * density_g_cm3 / POLYSTYRENE_G_CM3
    low, high = shot * SCREW_HOLDS.low, shot * SCREW_HOLDS.high
    says = f"the largest shot of {barrel_g:g} g and the screw hold {low:.0f} to {high:.0f} g"
    factor = FEED_FACTOR.get(feed)
    if factor is not None:
        within = (hot_runner_cm3 or 0.0) * density_g_cm3
        low, high = max(low * factor.low, low + within), max(high * factor.high, high + within)
        says = f"{says}, with the hot runner it counts as {low:.0f} to {high:.0f} g"
    return Contents(low_g=low, high_g=high, says=says)


def more_for(resin_changes: bool) -> Expected | None:
    """The factor on contents where the resin changes too."""
    return MATERIAL_MORE if resin_changes else None


def amount(found: Numbers) -> Amount:
    """The middle and the ends of the middle nine tenths; ends may be infinite."""
    ordered = np.sort(np.asarray(found, dtype=float))
    at = [(1 - CONFIDENCE) / 2, 0.5, (1 + CONFIDENCE) / 2]
    low, middle, high = (float(ordered[round(one * (len(ordered) - 1))]) for one in at)
    return Amount(value=middle, low=low, high=high)


def with_posterior(belief: WashoutBelief, middle: Numbers, covariance: Numbers, shots: int) -> WashoutBelief:
    """The belief after so many shots more."""
    total = belief.shots + shots
    return WashoutBelief(
        middle=tuple(float(one) for one in middle),
        covariance=_rows(covariance),
        says=f"fitted to {total} measured shots",
        shots=total,
    )


def _rows(matrix: Numbers) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(float(one) for one in row) for row in matrix)


def _root(covariance: Numbers) -> Numbers:
    values, vectors = np.linalg.eigh(covariance)
    return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0)))


def _back(scaled: Numbers, are_shares: NDArray[np.bool_]) -> Numbers:
    safe = np.clip(scaled, -40.0, 40.0)
    return np.where(are_shares, 1 / (1 + np.exp(-safe)), np.exp(safe))


def _ends(row: Expected, *, is_share: bool) -> tuple[float, float]:
    if is_share:
        return log(row.low / (1 - row.low)), log(row.high / (1 - row.high))
    return log(row.low), log(row.high)


def _spread(row: Expected) -> float:
    return log(row.high / row.low) / 2 / _TO_END


@cache
def _golden(dimensions: int) -> float:
    """The root of x^(d + 1) = x + 1 above 1: the golden ratio for one dimension."""
    x = 1.5
    for _ in range(100):
        x = (1 + x) ** (1 / (dimensions + 1))
    return x


@lru_cache(maxsize=8)
def _even_normal(dimensions: int) -> Numbers:
    """Normal draws that fill their space evenly, the same every time, each with its opposite."""
    from scipy.special import ndtri

    steps = np.array([_golden(dimensions) ** -(k + 1) for k in range(dimensions)])
    uniform = (0.5 + np.outer(np.arange(1, DRAWS // 2 + 1), steps)) % 1
    half = ndtri(np.clip(uniform, 1e-6, 1 - 1e-6))
    found = np.concatenate([half, -half])
    found.flags.writeable = False
    return np.asarray(found)


__all__ = [
    "CONFIDENCE",
    "Amount",
    "Contents",
    "WashoutBelief",
    "amount",
    "contents_of_press",
    "expected_washout",
]
