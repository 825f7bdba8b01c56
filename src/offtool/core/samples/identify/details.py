"""What a detail of a part says: one that is there was cut before, one that is missing was not cut yet."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from offtool.core.samples.identify.capping import SOFT_CAP, capped
from offtool.core.samples.identify.hypotheses import Finding, Make, Weight
from offtool.handbook.defects import PRACTICE
from offtool.handbook.terms import DetailKind

MISSED, IMAGINED = 0.03, 0.01
"""How often a detail that is there is not seen, or worn off; and how often one is seen that is not there."""
UNSURE = 0.2
"""Both of these, where the person was not sure."""
UNKNOWN = 0.5

Shows = Sequence[bool | None]
"""For each make: the detail is in that steel, it is not, or nothing is recorded."""


def detail_finding(
    about: str,
    is_there: bool,
    shows: Shows,
    makes: Sequence[Make],
    *,
    kind: DetailKind = DetailKind.STAYS,
    is_sure: bool = True,
) -> Finding:
    """What a detail that is there, or that was looked for and is missing, says of the makes.

    P(there) = p (1 - missed) + (1 - p) imagined; p is 1, 0, or between them where the sheet of a state is
    lost: a detail that stays came in somewhere between the last state without it and the first with it.

    Returns: Finding over the makes and none of these; a detail that comes and goes counts twenty to one
    at most.

    Holds when: missed and imagined are those of your own people; the defaults are common practice.
    """
    share = chance_there(shows, makes, kind)
    missed, imagined = (MISSED, IMAGINED) if is_sure else (UNSURE, UNSURE)
    there = share * (1 - missed) + (1 - share) * imagined
    logs = np.append(np.log(there if is_there else 1 - there), np.log(0.5))
    weight = Weight.STAYS if kind is DetailKind.STAYS else Weight.SOFT
    if weight is Weight.SOFT:
        logs, was_capped = capped(logs, SOFT_CAP)
    else:
        was_capped = False
    return Finding(
        about=about,
        found=("there" if is_there else "missing") + ("" if is_sure else ", unsure"),
        weight=weight,
        log_likelihood=logs,
        source=PRACTICE,
        capped=was_capped,
    )


def chance_there(shows: Shows, makes: Sequence[Make], kind: DetailKind) -> NDArray[np.float64]:
    """How probable the detail is in each make: 1 or 0 where it is recorded, between them where it is not."""
    known = np.array([np.nan if one is None else float(one) for one in shows])
    if kind is not DetailKind.STAYS:
        return np.where(np.isnan(known), UNKNOWN, known)
    filled = known.copy()
    tools = np.array([make.tool for make in makes])
    for tool in dict.fromkeys(tools):
        of_tool = tools == tool
        ordinals = np.array([make.ordinal for make in makes])[of_tool]
        filled[of_tool] = _between(known[of_tool], ordinals)
    return filled


def _between(known: NDArray[np.float64], ordinals: NDArray[np.int64]) -> NDArray[np.float64]:
    """Where the sheet of a state is lost: the detail came in at any state between as probably.

    Between the last state without it and the first with it; where none is recorded, between the first state
    of all and one after the last.
    """
    last_without = ordinals[known == 0].max(initial=ordinals.min() - 1)
    first_with = ordinals[known == 1].min(initial=ordinals.max() + 1)
    if last_without >= first_with:  # somebody took it out, or a sheet is wrong
        return np.where(np.isnan(known), UNKNOWN, known)
    share = np.clip((ordinals - last_without) / (first_with - last_without), 0.0, 1.0)
    return np.where(np.isnan(known), share, known)
