"""A press's washout from shots whose colour was measured: what they say beyond the handbook, and what not.

The handbook's ranges are the prior; shots of one or several changes on the same press and feed narrow it. The
strength of an old colour belongs to its pair and is found for each change by itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from offtool.core.colour.difference import axis_scales, ciede2000
from offtool.core.colour.spaces import Lab
from offtool.core.planning.colour_change.belief import (
    NAMES,
    Amount,
    WashoutBelief,
    amount,
    from_scale,
    washout_of,
    with_posterior,
)
from offtool.core.planning.colour_change.change import ChangeCurve, change_curve, shots_outside
from offtool.core.planning.colour_change.mixing import mixed_lab, share_seen
from offtool.core.values import Caution, ImpossibleInput, NotEnoughData
from offtool.handbook.colour_changes import MATERIAL_MORE, USUAL_LIMIT_DE
from offtool.handbook.measured_colour import USUAL_SPREAD_DE, USUAL_UNCERTAINTY_DE

Numbers = NDArray[np.float64]

SPREAD_DE = float(np.hypot(USUAL_SPREAD_DE, USUAL_UNCERTAINTY_DE))
"""How far one measured shot lies from its colour along each axis of ΔE00: the pieces and the instrument."""
LEAST_SHOTS = 3
FEW_SHOTS = 8
NARROWED = 0.7
"""A number counts as told by the shots where its spread fell below this share of what it was."""
TOO_NEAR = 5.0
"""Colours nearer than so many spreads say little about shares."""
_SHARED = len(NAMES) - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredShot:
    """The colour of one shot under D65 and 10°, counted from 1 after the change."""

    number: int
    lab: Lab


@dataclass(frozen=True, slots=True, kw_only=True)
class ObservedChange:
    """One change that was measured. `purged_g` went through before the first shot was counted."""

    name: str
    old_name: str
    new_name: str
    old: Lab
    new: Lab
    shot_g: float
    shots: tuple[MeasuredShot, ...]
    purged_g: float = 0.0
    resin_changes: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeFit:
    """One observed change beside the fit. `belief` is for this pair of colours on this press."""

    change: ObservedChange
    belief: WashoutBelief
    shots_needed: Amount
    """Shots outside the limit, by the fit."""
    last_difference: float
    """What the last measured shot is off."""
    strength: Amount
    measured: tuple[tuple[int, float], ...]
    curve: ChangeCurve
    limit_de: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One number of the washout before and after, and whether the shots told anything about it."""

    name: str
    before: Amount
    after: Amount
    narrowed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedWashout:
    """What the shots say of a press; `belief` is for any pair of colours on it."""

    belief: WashoutBelief
    changes: tuple[ChangeFit, ...]
    numbers: tuple[Told, ...]
    shots: int
    spread_de: float
    """How far shots lie off the fit, along each axis of ΔE00."""
    words: str
    cautions: tuple[Caution, ...] = ()


def fit_washout(
    changes: Sequence[ObservedChange], *, prior: WashoutBelief, limit_de: float = USUAL_LIMIT_DE
) -> FittedWashout:
    """The washout of a press from measured shots, with the handbook as prior, by least squares.

    Least sum of squared distances of shots from the model's colours, in units of their spread, and of numbers
    from the prior's middles, in units of its; the interval is that of the normal at the least.

    Returns: FittedWashout. Raises: NotEnoughData below three shots; ImpossibleInput for a shot number below
    1, a shot weight not above 0, or a colour that no surface has.

    Holds when: all changes ran on one press with one feed, each without a stop.
    """
    _refuse_impossible(changes)
    problem = _Problem(changes, prior)
    found, spread = problem.solve()
    covariance = problem.covariance(found, spread)
    total = sum(len(one.shots) for one in changes)
    belief = problem.belief(found, covariance, None, total)
    fits = tuple(
        _change_fit(one, problem.belief(found, covariance, place, total), limit_de)
        for place, one in enumerate(changes)
    )
    numbers = tuple(_told(prior, belief))
    return FittedWashout(
        belief=belief,
        changes=fits,
        numbers=numbers,
        shots=total,
        spread_de=spread,
        words=_words(numbers, total, len(changes)),
        cautions=tuple(_cautions(fits, numbers, spread)),
    )


class _Problem:
    """Steps of one prior deviation each: those all changes share, then a strength for each change."""

    def __init__(self, changes: Sequence[ObservedChange], prior: WashoutBelief) -> None:
        self._changes, self._prior = changes, prior
        self._middle = np.array(prior.middle)
        self._strength_sd = float(prior.covariance[_SHARED][_SHARED]) ** 0.5
        self._size = _SHARED + len(changes)
        self._seen = [_Seen(one) for one in changes]

    def solve(self) -> tuple[Numbers, float]:
        """The best steps, and how far shots lie off: the usual spread, more where they scatter more."""
        spread = SPREAD_DE
        found = np.zeros(self._size)
        for _ in range(4):
            found = self._least(found, spread)
            data = self._off(found)
            freedom = max(len(data) - min(self._size, len(data) // 2), 1)
            wider = max(SPREAD_DE, float(np.sqrt((data**2).sum() / freedom)))
            if abs(wider - spread) < 0.02 * spread:
                break
            spread = wider
        return found, spread

    def covariance(self, found: Numbers, spread: float) -> Numbers:
        """Of the steps, from the slopes at the best."""
        slopes = self._slopes(found) / spread
        return np.asarray(np.linalg.inv(slopes.T @ slopes + np.eye(self._size)))

    def belief(self, found: Numbers, covariance: Numbers, place: int | None, shots: int) -> WashoutBelief:
        """Of one change with its strength, or of any other pair, whose strength is as unsure as before."""
        size = _SHARED + 1
        steps, spread = np.zeros(size), np.eye(size)
        keep = [*range(_SHARED), *([_SHARED + place] if place is not None else [])]
        steps[: len(keep)] = found[keep]
        spread[: len(keep), : len(keep)] = covariance[np.ix_(keep, keep)]
        root = self._root()
        return with_posterior(self._prior, self._middle + root @ steps, root @ spread @ root.T, shots)

    def _root(self) -> Numbers:
        """Shared numbers by the prior's root; the strength stands alone."""
        root = np.zeros((_SHARED + 1, _SHARED + 1))
        shared = np.array(self._prior.covariance)[:_SHARED, :_SHARED]
        root[:_SHARED, :_SHARED] = np.linalg.cholesky(shared + 1e-12 * np.eye(_SHARED))
        root[_SHARED, _SHARED] = self._strength_sd
        return root

    def _least(self, start: Numbers, spread: float) -> Numbers:
        from scipy.optimize import least_squares

        def wrong(steps: Numbers) -> Numbers:
            return np.concatenate([self._off(steps) / spread, steps])

        def slopes(steps: Numbers) -> Numbers:
            return np.concatenate([self._slopes(steps) / spread, np.eye(self._size)])

        return np.asarray(least_squares(wrong, start, jac=slopes, max_nfev=60).x)

    def _slopes(self, steps: Numbers) -> Numbers:
        """Central differences; the model is smooth."""
        h = 1e-4
        each = h * np.eye(self._size)
        return np.stack([(self._off(steps + e) - self._off(steps - e)) / (2 * h) for e in each], axis=1)

    def _off(self, steps: Numbers) -> Numbers:
        """How far every measured shot is from the model's, along three axes, in ΔE00."""
        root = self._root()
        parts = []
        for place, seen in enumerate(self._seen):
            mine = np.concatenate([steps[:_SHARED], steps[_SHARED + place : _SHARED + place + 1]])
            parts.append(seen.off(from_scale(self._middle + root @ mine)))
        return np.concatenate(parts)


class _Seen:
    """The measured shots of one change as arrays."""

    def __init__(self, change: ObservedChange) -> None:
        self._change = change
        self._numbers = np.array([one.number for one in change.shots], dtype=float)
        self._lab = np.array([one.lab for one in change.shots])
        scales = axis_scales(self._lab)
        hue = np.arctan2(self._lab[:, 2], self._lab[:, 1])
        zero = np.zeros_like(hue)
        lightness = np.stack([1 / scales[:, 0], zero, zero], axis=1)
        chroma = np.stack([zero, np.cos(hue), np.sin(hue)], axis=1) / scales[:, 1:2]
        turned = np.stack([zero, -np.sin(hue), np.cos(hue)], axis=1) / scales[:, 2:3]
        self._axes = np.stack([lightness, chroma, turned], axis=1)

    def off(self, numbers: Numbers) -> Numbers:
        change = self._change
        paths = washout_of(numbers[None, :])
        if change.resin_changes:
            paths = paths.larger(MATERIAL_MORE.middle)
        share = paths.old_in_shot(self._numbers, change.shot_g, change.purged_g)
        found = mixed_lab(change.old, change.new, share, float(numbers[-1]))
        return np.asarray(np.einsum("nij,nj->ni", self._axes, found - self._lab).ravel())


def _refuse_impossible(changes: Sequence[ObservedChange]) -> None:
    for change in changes:
        if not change.shot_g > 0:
            raise ImpossibleInput("shot_g", change.shot_g, "g", "must be above 0", "weigh one shot")
        if change.purged_g < 0:
            raise ImpossibleInput("purged_g", change.purged_g, "g", "must be at least 0")
        for shot in change.shots:
            if shot.number < 1:
                raise ImpossibleInput(
                    "number", shot.number, "", "must be at least 1", "count from the change"
                )
    total = sum(len(one.shots) for one in changes)
    if total < LEAST_SHOTS:
        raise NotEnoughData(
            f"{total} measured shots say nothing of a washout",
            remedy=f"measure at least {LEAST_SHOTS}, better {FEW_SHOTS}, from the first to the last",
        )


def _change_fit(change: ObservedChange, belief: WashoutBelief, limit_de: float) -> ChangeFit:
    seen = share_seen(change.old, change.new, limit_de)
    needed = amount(shots_outside(belief, seen, change.shot_g, resin_changes=change.resin_changes))
    off = ciede2000([one.lab for one in change.shots], change.new)
    most = max(one.number for one in change.shots)
    last = int(max(most, min(needed.high, 3 * most)))
    return ChangeFit(
        change=change,
        belief=belief,
        shots_needed=needed,
        last_difference=float(off[int(np.argmax([one.number for one in change.shots]))]),
        strength=belief.of("strength"),
        measured=tuple((one.number, float(de)) for one, de in zip(change.shots, off, strict=True)),
        curve=change_curve(
            change.old,
            change.new,
            belief=belief,
            shot_g=change.shot_g,
            last=last,
            resin_changes=change.resin_changes,
            purged_g=change.purged_g,
        ),
        limit_de=limit_de,
    )


def _told(prior: WashoutBelief, after: WashoutBelief) -> Iterator[Told]:
    for place, name in enumerate(NAMES[:_SHARED]):
        ratio = float(after.covariance[place][place] / prior.covariance[place][place]) ** 0.5
        yield Told(name=name, before=prior.of(name), after=after.of(name), narrowed=ratio < NARROWED)


SAID = {
    "contents_g": "what barrel and feed hold",
    "plug": "how much of it moves unmixed",
    "tanks": "how it is stirred",
    "slow": "how much melt stands in slow corners",
    "slow_stay": "how long melt stands in slow corners",
}


def _words(numbers: Sequence[Told], shots: int, changes: int) -> str:
    told = [SAID[one.name] for one in numbers if one.narrowed]
    begins = f"{shots} shots of {changes} change{'s' if changes > 1 else ''}"
    if not told:
        return f"{begins} tell nothing that the handbook's ranges did not say"
    return f"{begins} tell {', '.join(told)}"


def _cautions(fits: Sequence[ChangeFit], numbers: Sequence[Told], spread: float) -> Iterator[Caution]:
    untold = [SAID[one.name] for one in numbers if not one.narrowed]
    if untold:
        yield Caution(f"The shots do not tell {', '.join(untold)}: there the handbook's range stands.")
    if len(fits) == 1:
        yield Caution("One change was measured: the next may differ. A second one says by how much.")
    for fit in fits:
        yield from _about(fit)
    if spread > 1.5 * SPREAD_DE:
        yield Caution(
            f"Shots lie {spread:.1f} off the fit, more than the usual {SPREAD_DE:.1f}: a stop, another "
            "weight, a wrong colour at either end, or plastics that do not hide what is behind them."
        )


def _about(fit: ChangeFit) -> Iterator[Caution]:
    change = fit.change
    apart = float(ciede2000(change.old, change.new))
    if apart < TOO_NEAR * SPREAD_DE:
        yield Caution(
            f"{change.name}: the two colours are only ΔE {apart:.1f} apart; shots say little of shares."
        )
    if len(change.shots) < FEW_SHOTS:
        yield Caution(
            f"{change.name}: {len(change.shots)} shots are few; {FEW_SHOTS} from first to last say more."
        )
    if fit.last_difference > fit.limit_de + 2 * SPREAD_DE:
        yield Caution(
            f"{change.name}: the last shot measured is still ΔE {fit.last_difference:.1f} off, so the slow "
            "corners are not seen yet; measure on until it passes."
        )
