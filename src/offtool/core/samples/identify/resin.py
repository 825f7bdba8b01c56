"""In which resin a part was shot, from its weight beside that of the same part in its usual resin."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from offtool.core.formulas import formula
from offtool.core.values import Caution, ImpossibleInput, Range, nearest
from offtool.handbook.defects import PRACTICE
from offtool.handbook.resins import RESINS, ResinDefault

WEIGHT_SD = 0.015
"""How far a part's weight varies with hold pressure, set-up and the lot's density, as a share; common
practice, no source (hold pressure alone: 1 to 2 %)."""
USUAL = 0.8
"""How often a part that nobody knows is in the resin it was drawn for; common practice, no source."""
SURE, WORTH_NAMING = 0.8, 0.05
FITS_NONE = 4.0
"""Standard deviations beyond which a weight fits no resin of the handbook."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ResinFit:
    """One resin: what the part would weigh in it, and how probable it is."""

    resin: str
    expected_g: float
    ratio: float
    probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ResinByWeight:
    """Which resins a weight fits, the most probable first; `fits_usual` where nothing speaks against the
    usual one."""

    words: str
    resins: tuple[ResinFit, ...]
    fits_usual: bool
    weight_g: float
    usual_weight_g: float
    usual_resin: str
    cautions: tuple[Caution, ...] = ()


def _grams(meaning: str) -> Range:
    return Range(meaning=meaning, unit="g", above=0, at_most=1e5)


@formula(
    limits={
        "weight_g": _grams("weight of this part, without runner"),
        "usual_weight_g": _grams("weight of the same part in the resin it was drawn for"),
        "usual_resin": Range(meaning="that resin, by its code in the handbook, such as ABS"),
        "weight_sd": Range(
            meaning="how far weights vary from run to run, as a share",
            above=0,
            below=0.2,
            usual=(0.005, 0.03),
            source=PRACTICE,
        ),
    },
    example={"weight_g": 12.6, "usual_weight_g": 9.8, "usual_resin": "ABS"},
    source=f"mass = density times volume; densities and shrinkage: the handbook; spread: {PRACTICE}",
)
def resin_by_weight(
    weight_g: float, usual_weight_g: float, usual_resin: str, *, weight_sd: float = WEIGHT_SD
) -> ResinByWeight:
    """Which resin a part was shot in, by its weight beside that of the same cavity in the usual resin.

    W / W' = (rho / rho') ((1 - S) / (1 - S'))^3, S the shrinkage: the cavity is the same, the part shrinks
    away from it.

    Returns: ResinByWeight. Raises: ImpossibleInput for a resin that the handbook does not have.

    Holds when: the part is whole, unpainted and without inserts. Resins of like density are not told apart.

    Example: a part of 9.8 g in ABS weighs 12.6 g in acetal.
    """
    known = {one.code: one for one in RESINS if one.density_g_cm3 is not None}
    if usual_resin not in known:
        raise ImpossibleInput("usual_resin", usual_resin, "", "is not known", nearest(usual_resin, known))
    ratios = np.array([_ratio(one, known[usual_resin]) for one in known.values()])
    prior = np.array([USUAL if one == usual_resin else (1 - USUAL) / (len(known) - 1) for one in known])
    away = (weight_g / usual_weight_g / ratios - 1) / weight_sd
    logs = np.log(prior) - 0.5 * away**2 - np.log(ratios)
    shares = np.exp(logs - np.logaddexp.reduce(logs))
    found = tuple(
        ResinFit(
            resin=code,
            expected_g=float(usual_weight_g * ratios[i]),
            ratio=float(ratios[i]),
            probability=float(shares[i]),
        )
        for i, code in sorted(enumerate(known), key=lambda item: -shares[item[0]])
    )
    nothing_fits = bool(np.abs(away).min() > FITS_NONE)
    cautions = [
        Caution("a weight speaks of the resin only for a part that is whole, bare and without inserts")
    ]
    if nothing_fits:
        cautions.append(
            Caution(f"{weight_g:g} g fits no resin of the handbook: short, filled, or another part")
        )
    return ResinByWeight(
        words=_words(found, usual_resin, nothing_fits),
        resins=found,
        fits_usual=not nothing_fits and found[0].resin == usual_resin,
        weight_g=weight_g,
        usual_weight_g=usual_weight_g,
        usual_resin=usual_resin,
        cautions=tuple(cautions),
    )


def _ratio(one: ResinDefault, usual: ResinDefault) -> float:
    shrunk = (1 - one.shrinkage_pct / 100) / (1 - usual.shrinkage_pct / 100)
    return float(one.density_g_cm3 or 0) / float(usual.density_g_cm3 or 1) * shrunk**3


def _words(found: tuple[ResinFit, ...], usual: str, nothing_fits: bool) -> str:
    if nothing_fits:
        return "fits no resin of the handbook"
    top = found[0]
    if top.resin == usual:
        return f"fits {usual}, the usual resin"
    if top.probability >= SURE:
        return f"fits {top.resin} ({top.expected_g:.3g} g), not {usual}"
    named = [one.resin for one in found if one.probability >= WORTH_NAMING]
    return (
        f"fits {' or '.join(named)} rather than {usual}"
        if usual not in named
        else f"fits {' or '.join(named)}"
    )
