"""What to look at or measure next: the look that is expected to tell most of where the piece is from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.samples.identify.answers import NONE, NextLook, OutcomeAhead
from offtool.core.samples.identify.details import IMAGINED, MISSED, Shows, chance_there
from offtool.core.samples.identify.hypotheses import Make
from offtool.core.samples.identify.posterior import PartSum, Summed
from offtool.core.samples.identify.signs import LEAST_SHARE, Shares, shares_of
from offtool.core.samples.identify.sizes import FINEST, MISREAD, SCALE_SD, SizeRecord
from offtool.core.samples.identify.unmeasured import neighbours
from offtool.handbook.sample_signs import Sign
from offtool.handbook.terms import DetailKind, Stage

Array = NDArray[np.float64]
BINS = 8
"""Into how many values a size that is not measured yet is taken apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """Something that can still be looked at: each outcome's probability by make (or by origin, where `part`
    is empty), none of these last."""

    part: str
    about: str
    where: str
    outcomes: tuple[str, ...]
    chances: Array = field(repr=False)
    destroys: bool = False
    code: str = ""
    """What names it in a form or a command, where that is not `about`."""


def look_for_detail(
    part: str, about: str, where: str, shows: Shows, makes: Sequence[Make], kind: DetailKind
) -> Look:
    """A detail that nobody looked for yet."""
    share = chance_there(shows, makes, kind)
    there = np.append(share * (1 - MISSED) + (1 - share) * IMAGINED, 0.5)
    return Look(
        part=part,
        about=about,
        where=where,
        outcomes=("there", "missing"),
        chances=np.stack([there, 1 - there], axis=1),
    )


def look_for_sign(part: str, sign: Sign, stages: Sequence[Stage], shares: Shares | None = None) -> Look:
    """A sign that nobody looked for yet."""
    table = shares if shares is not None else shares_of(sign)
    rows = [[max(table[outcome].get(stage, 0.0), LEAST_SHARE) for outcome in table] for stage in stages]
    chances = np.array([*rows, [1 / len(table)] * len(table)])
    return Look(
        part=part,
        about=sign.code,
        where=sign.where,
        outcomes=tuple(table),
        chances=chances / chances.sum(axis=1, keepdims=True),
        destroys=sign.destroys,
    )


def look_at_size(
    part: str,
    record: SizeRecord,
    uncertainty: float,
    makes: Sequence[Make],
    *,
    cavity: int | None = None,
    decimals: int = 3,
) -> Look | None:
    """A size that was not measured yet; None where no state was ever measured.

    Where the cavity is not known, each of them is as probable.
    """
    before, after, share, _ = neighbours(record.means, makes)
    made = before + share * (after - before)
    made = made if cavity is None else made[:, [cavity]]
    counted = np.isfinite(made)
    known = counted.any(axis=1)
    if not known.any():
        return None
    usual = max(float(np.nanmedian(record.sds)), FINEST)
    scale = abs(record.grows) * SCALE_SD * float(np.abs(made[counted]).mean())
    sd = np.hypot(np.hypot(usual, uncertainty), scale)
    edges = _edges(made[counted], sd)
    wide = np.diff(special.ndtr((edges - made[counted].mean()) / (5 * np.hypot(made[counted].std(), sd))))
    each = np.diff(special.ndtr((edges - np.where(counted, made, 0.0)[..., None]) / sd), axis=2)
    shares = counted / np.maximum(counted.sum(axis=1, keepdims=True), 1)
    rows = (each * shares[..., None]).sum(axis=1)
    rows[~known] = wide
    chances = (1 - MISREAD) * np.vstack([rows, wide]) + MISREAD * wide
    return Look(
        part=part,
        about=record.name,
        where=f"measure it to {uncertainty:.1g} {record.unit}",
        outcomes=_between_words(edges, record.unit, decimals),
        chances=chances / chances.sum(axis=1, keepdims=True),
    )


def choose_looks(summed: Summed, looks: Sequence[Look], codes: Sequence[str]) -> tuple[NextLook, ...]:
    """Every look with the bits it is expected to tell, the most telling first; what destroys comes last."""
    by_part = {part.case.label: part for part in summed.parts}
    found = [_judged(summed, one, by_part.get(one.part), codes) for one in looks]
    return tuple(sorted(found, key=lambda one: (one.destroys, -one.bits)))


def of_origins(look: Look, part: PartSum | None) -> Array:
    """Origins × outcomes: how probable each outcome is, given what was found already."""
    if part is None:
        return look.chances
    like = part.likelihood
    mixed = part.mixed(like[:, None] * look.chances)
    return mixed / part.of_origins()[:, None]


def _judged(summed: Summed, look: Look, part: PartSum | None, codes: Sequence[str]) -> NextLook:
    chances = of_origins(look, part)
    posterior = summed.posterior
    outcome = posterior @ chances
    joint = posterior[:, None] * chances
    with np.errstate(divide="ignore", invalid="ignore"):
        after = np.where(outcome > 0, joint / outcome, 0.0)
    bits = _entropy(posterior) - float(outcome @ _entropy_columns(after))
    now_top = int(np.argmax(posterior))
    tops = np.argmax(after, axis=0)
    return NextLook(
        part=look.part,
        about=look.about,
        where=look.where,
        bits=max(bits, 0.0),
        destroys=look.destroys,
        code=look.code,
        outcomes=tuple(
            OutcomeAhead(
                outcome=name,
                probability=float(outcome[k]),
                top=codes[tops[k]] if tops[k] < len(codes) else NONE,
                top_probability=float(after[tops[k], k]),
                now_top_probability=float(after[now_top, k]),
            )
            for k, name in enumerate(look.outcomes)
        ),
    )


def _entropy(shares: Array) -> float:
    return float(special.entr(shares).sum() / np.log(2))


def _entropy_columns(shares: Array) -> Array:
    return np.asarray(special.entr(shares).sum(axis=0) / np.log(2))


def _edges(means: Array, sd: float) -> Array:
    """Ends of the values that are told apart: between the makes where they differ, else evenly."""
    apart = np.unique(np.round(means / sd).astype(int))
    middle = np.sort(np.unique(means))
    if 1 < apart.size <= BINS:
        levels = np.array([middle[np.round(middle / sd).astype(int) == one].mean() for one in apart])
        inner = (levels[1:] + levels[:-1]) / 2
    else:
        inner = np.quantile(middle, np.linspace(0, 1, BINS + 1)[1:-1])
        inner = np.unique(inner)
    return np.concatenate([[-np.inf], inner, [np.inf]])


def _between_words(edges: Array, unit: str, decimals: int) -> tuple[str, ...]:
    said = [f"{edge:.{decimals}f}" for edge in edges]
    inner = [f"{low} to {high} {unit}" for low, high in pairwise(said[1:-1])]
    if len(edges) == 2:
        return ("any",)
    return (f"below {said[1]} {unit}", *inner, f"above {said[-2]} {unit}")
