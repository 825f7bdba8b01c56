"""From one plastic to the next on one press: how many shots, kilograms, minutes, and what money."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from offtool.core.colour.difference import ciede2000
from offtool.core.colour.spaces import Lab
from offtool.core.planning.colour_change.belief import (
    DRAWS,
    Amount,
    WashoutBelief,
    amount,
    more_for,
)
from offtool.core.planning.colour_change.meeting import about_meeting
from offtool.core.planning.colour_change.mixing import (
    HIDING,
    MIXES_BY_SPECTRUM,
    counted_share,
    difference_of_share,
    share_seen,
    true_share,
)
from offtool.core.planning.colour_change.washout import MOST_SHOTS
from offtool.core.values import Caution, ImpossibleInput
from offtool.handbook.colour_changes import (
    BETWEEN,
    FULL_PURGE_MIN,
    MATERIAL_MORE,
    READY_MIN,
    RESIN_LEFT,
    USUAL_LIMIT_DE,
    Expected,
    NeverTogether,
    never_together,
    same_resin,
)
from offtool.handbook.defects import AT_THE_PRESS, PRACTICE

Numbers = NDArray[np.float64]

UNKNOWN_COLOUR = Expected(
    meaning="contents of the barrel, whichever the colours are", low=2.0, high=12.0, unit="contents"
)
"""2 to 4 from light to dark, 6 to 12 from dark to light; common practice."""
NO_CHANGE_DE = 0.05
"""Nearer than any instrument tells: the same colour, and nothing to clean for."""
POINTS = 60
LOOKED_UP = 400
"""So many shots are reckoned once for all changes of a press; longer ones each by themselves."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plastic:
    """What is in the barrel or shall be: its name on the floor, its colour under D65 and 10°, its resin."""

    name: str
    lab: Lab | None
    resin: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotCosts:
    """What one shot takes. Money is None where nobody has said: then only shots and kilograms are known."""

    shot_g: float
    cycle_s: float
    price_per_kg: float | None = None
    per_hour: float | None = None
    """The press, and what is lost on a job that stands meanwhile."""

    def minutes(self, shots: Amount) -> Amount:
        return shots.times(self.cycle_s / 60)

    def missing(self) -> tuple[str, ...]:
        """What would have to be known to say money."""
        asked = (
            ("the price of the resin", self.price_per_kg),
            ("what an hour of the press costs", self.per_hour),
        )
        return tuple(name for name, value in asked if value is None)


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourChange:
    """One change. So many shots are outside the limit; the next is the first that passes, and all after it.

    `minutes` holds getting ready. `never` is the rule that forbids the change without a full purge: then
    shots, kilograms and minutes are those of the purge, the old pushed out by PE-HD and that by the new.
    """

    old: Plastic
    new: Plastic
    shots: Amount
    kg: Amount
    minutes: Amount
    money: Amount | None
    contents: Amount
    """Grams that must go through, as contents of barrel and feed."""
    share_seen: float | None
    """The share of old that just passes; None where a colour is not known."""
    limit_de: float
    costs: ShotCosts
    never: NeverTogether | None
    resin_changes: bool
    words: str
    missing: tuple[str, ...]
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeCurve:
    """ΔE00 from the new colour, shot by shot, with its interval; what was measured lies beside it."""

    shots: tuple[int, ...]
    difference: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


def colour_change(
    old: Plastic,
    new: Plastic,
    *,
    belief: WashoutBelief,
    costs: ShotCosts,
    limit_de: float = USUAL_LIMIT_DE,
) -> ColourChange:
    """How long it takes from one plastic to the next on one press, until shots pass and keep passing.

    Returns: ColourChange. Raises: ImpossibleInput for a colour that no surface has, a limit, shot or cycle
    that is not above 0.

    Holds when: shots follow one another without a stop, at one weight. A colour that is not known is answered
    with the shop's rule, 2 to 12 contents, and more where the resin changes. Where two resins must never
    meet, PE-HD is run between them, as much of it as of the new; it is counted at the price of the new.
    """
    _refuse_impossible(limit_de, costs)
    changes_resin = not same_resin(old.resin, new.resin)
    seen = None
    if old.lab is not None and new.lab is not None:
        seen = share_seen(old.lab, new.lab, limit_de)
        shots = shots_outside(belief, seen, costs.shot_g, resin_changes=changes_resin)
    else:
        shots = _by_rule(belief, costs.shot_g, resin_changes=changes_resin)
    never = never_together(old.resin, new.resin)
    if never is not None:
        shots = 2 * shots
    counted = amount(shots)
    kg = counted.times(costs.shot_g / 1000)
    minutes = _minutes(counted, costs, is_change=_is_change(old, new), is_full_purge=never is not None)
    return ColourChange(
        old=old,
        new=new,
        shots=counted,
        kg=kg,
        minutes=minutes,
        money=_money(kg, minutes, costs),
        contents=amount(shots * costs.shot_g / np.asarray(belief.typical().contents_g)),
        share_seen=seen,
        limit_de=limit_de,
        costs=costs,
        never=never,
        resin_changes=changes_resin,
        words=_words(old, new, counted, kg, minutes, limit_de, never),
        missing=costs.missing(),
        cautions=(
            *about_meeting(old.resin, new.resin, old_name=old.name, new_name=new.name),
            *_about(old, new, counted),
            AT_THE_PRESS,
        ),
    )


def change_table(
    plastics: Sequence[Plastic],
    *,
    belief: WashoutBelief,
    costs: ShotCosts,
    limit_de: float = USUAL_LIMIT_DE,
) -> tuple[tuple[ColourChange | None, ...], ...]:
    """Every plastic to every other on one press: a row for what is in the barrel, a column for what shall be.

    None where both are one. The table is not the same read the other way: dark to light takes longer.
    """
    return tuple(
        tuple(
            None if one == other else colour_change(old, new, belief=belief, costs=costs, limit_de=limit_de)
            for other, new in enumerate(plastics)
        )
        for one, old in enumerate(plastics)
    )


def change_curve(
    old: Lab, new: Lab, *, belief: WashoutBelief, shot_g: float, last: int, resin_changes: bool = False,
    purged_g: float = 0.0,
) -> ChangeCurve:  # fmt: skip
    """The colour of every shot, or of some sixty where there are more, as a difference with its interval."""
    shots = np.unique(np.round(np.linspace(1, max(last, 1), min(max(last, 1), POINTS))))
    paths, strength = belief.draws(more=more_for(resin_changes))
    columns = paths.in_columns()
    share = columns.old_in_shot(shots, shot_g, purged_g)
    found = np.sort(difference_of_share(old, new, counted_share(share, strength[:, None])), axis=0)
    low, middle, high = (found[round(at * (len(found) - 1))] for at in (0.05, 0.5, 0.95))
    return ChangeCurve(
        shots=tuple(int(one) for one in shots),
        difference=tuple(map(float, middle)),
        low=tuple(map(float, low)),
        high=tuple(map(float, high)),
    )


def _refuse_impossible(limit_de: float, costs: ShotCosts) -> None:
    for name, value, unit in (
        ("limit_de", limit_de, ""),
        ("shot_g", costs.shot_g, "g"),
        ("cycle_s", costs.cycle_s, "s"),
    ):
        if not value > 0:
            raise ImpossibleInput(name, value, unit, "must be above 0")


def _is_change(old: Plastic, new: Plastic) -> bool:
    """Whether anything else goes into the hopper."""
    if not same_resin(old.resin, new.resin):
        return True
    if old.lab is None or new.lab is None:
        return old.name != new.name
    return float(ciede2000(old.lab, new.lab)) > NO_CHANGE_DE


def shots_outside(
    belief: WashoutBelief, seen: float, shot_g: float, *, resin_changes: bool = False
) -> Numbers:
    """Of every press that could be this one, how many shots hold more old than is seen, or than may be left
    of another resin."""
    paths, strength = belief.draws(more=more_for(resin_changes))
    share = true_share(seen, strength) if seen < 1 else np.ones_like(strength)
    if resin_changes:
        share = np.minimum(share, RESIN_LEFT)
    shots = (_by_shot(belief, shot_g, resin_changes) > share[:, None]).sum(axis=1).astype(float)
    if (shots >= LOOKED_UP).any():
        return paths.shots_until(share, shot_g)
    return np.asarray(shots)


@lru_cache(maxsize=16)
def _by_shot(belief: WashoutBelief, shot_g: float, resin_changes: bool) -> Numbers:
    """The share of old in each of the first shots, a row for each press that could be this one."""
    paths, _ = belief.draws(more=more_for(resin_changes))
    return paths.in_columns().old_in_shot(np.arange(1, LOOKED_UP + 1), shot_g)


def _by_rule(belief: WashoutBelief, shot_g: float, *, resin_changes: bool) -> Numbers:
    """Shots by the shop's rule, spread evenly by ratio over its range."""
    low, high = (MATERIAL_MORE.low, MATERIAL_MORE.high) if resin_changes else (1.0, 1.0)
    turns = np.geomspace(low * UNKNOWN_COLOUR.low, high * UNKNOWN_COLOUR.high, DRAWS)
    return np.ceil(turns * belief.typical().contents_g / shot_g)


def _minutes(shots: Amount, costs: ShotCosts, *, is_change: bool, is_full_purge: bool) -> Amount:
    run = costs.minutes(shots)
    for row in (READY_MIN,) * is_change + (FULL_PURGE_MIN,) * is_full_purge:
        run = Amount(value=run.value + row.middle, low=run.low + row.low, high=run.high + row.high)
    return run


def _money(kg: Amount, minutes: Amount, costs: ShotCosts) -> Amount | None:
    if costs.price_per_kg is None or costs.per_hour is None:
        return None
    price, rate = costs.price_per_kg, costs.per_hour / 60
    return Amount(
        value=kg.value * price + minutes.value * rate,
        low=kg.low * price + minutes.low * rate,
        high=kg.high * price + minutes.high * rate,
    )


def _words(
    old: Plastic, new: Plastic, shots: Amount, kg: Amount, minutes: Amount, limit_de: float,
    never: NeverTogether | None,
) -> str:  # fmt: skip
    if never is not None:
        return (
            f"{new.name} must not follow {old.name} before the barrel is purged empty: {BETWEEN}, then "
            f"{new.name}, {kg.value:.2g} kg in all, and {minutes.value:.0f} min with the nozzle taken off"
        )
    if not np.isfinite(shots.value):
        return f"{old.name} never leaves: more than {MOST_SHOTS:,} shots"
    if shots.value == 0:
        return f"{new.name} passes from the first shot"
    return (
        f"{shots.value:.0f} shots ({shots.low:.0f} to {shots.high:.0f}), {kg.value:.2g} kg and "
        f"{minutes.value:.0f} min until {new.name} is within ΔE {limit_de:g}{purity_words(old, new)}"
    )


def purity_words(old: Plastic, new: Plastic) -> str:
    """What is asked beside the colour where the resin changes; empty where it does not."""
    if same_resin(old.resin, new.resin):
        return ""
    return f" and holds under {RESIN_LEFT:.0%} of {old.resin}".replace("%", "\u00a0%")


def _about(old: Plastic, new: Plastic, shots: Amount) -> Iterator[Caution]:
    names = (one.name.removeprefix("the colour of ") for one in (old, new) if one.lab is None)
    unknown = tuple(dict.fromkeys(names))
    more = "" if same_resin(old.resin, new.resin) else ", and half as much again for the other resin"
    if unknown:
        yield Caution(
            f"The colour of {' and '.join(unknown)} is not measured: the shots are the shop's rule, 2 to 12 "
            f"contents of the barrel{more}. Measure one piece of it.",
            PRACTICE,
        )
        return
    if not np.isfinite(shots.high):
        yield Caution("In the worst case it never passes: take barrel and hot runner apart and clean them.")
    if shots.value > 0:
        yield HIDING
        yield MIXES_BY_SPECTRUM
