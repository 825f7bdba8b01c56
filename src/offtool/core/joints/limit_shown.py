"""Limits that assembled pieces keep, as far as the few that were measured show it."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.inspection.spread import mean_and_sd
from offtool.core.inspection.tolerance import chance_below, tolerance_factor
from offtool.core.values import Caution, Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitShown:
    """A limit beside the bound that the stated share of all joints keeps, with the stated confidence.

    `beyond` counts the pieces measured past the limit. The bound is None for one piece.
    """

    side: str
    limit: float
    bound: float | None
    beyond: int
    verdict: Verdict


def limits_shown(
    values: NDArray[np.float64], lower: float | None, upper: float | None, share: float, confidence: float
) -> tuple[LimitShown, ...]:
    sides = (("lower", lower, 1.0), ("upper", upper, -1.0))
    return tuple(
        _limit(values, side, limit, sign, share, confidence)
        for side, limit, sign in sides
        if limit is not None
    )


def _limit(
    values: NDArray[np.float64], side: str, limit: float, sign: float, share: float, confidence: float
) -> LimitShown:
    """A limit on the side where `sign` leads inside."""
    beyond = int((sign * (values - limit) < 0).sum())
    if values.size < 2:
        return LimitShown(side=side, limit=limit, bound=None, beyond=beyond, verdict=Verdict.NOT_SHOWN)
    mean, sd = mean_and_sd(values)
    factor = tolerance_factor(values.size, share=share, confidence=confidence, sides="below").factor
    room = sign * (mean - limit)
    return LimitShown(
        side=side,
        limit=limit,
        bound=mean - sign * factor * sd,
        beyond=beyond,
        verdict=_verdict(room, sd, values.size, factor, share, confidence),
    )


def _verdict(room: float, sd: float, parts: int, factor: float, share: float, confidence: float) -> Verdict:
    """Whether the share is shown to keep a limit that lies `room` from the mean, or shown not to."""
    if room >= factor * sd:
        return Verdict.HOLDS
    z = float(special.ndtri(share))
    if sd > 0 and room > 0:
        chance = chance_below(room / sd, z, parts, parts - 1)
    else:  # at least so much with the mean on the limit or past it
        chance = float(special.ndtr(z * sqrt(parts)))
    return Verdict.FAILS if chance >= confidence else Verdict.NOT_SHOWN


def limit_cautions(limits: tuple[LimitShown, ...], pieces: int, condition: str) -> tuple[Caution, ...]:
    where = f"{condition}: " if condition else ""
    said = [
        f"{where}{one.beyond} of {pieces} pieces lie past the {one.side} limit {one.limit:g}"
        for one in limits
        if one.beyond
    ]
    if limits and pieces < 2:
        said.append(f"{where}one piece shows no spread: measure at least five")
    return tuple(Caution(one) for one in said)
