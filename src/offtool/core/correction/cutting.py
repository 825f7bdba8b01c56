"""The steel cut that centres a size, and what a toolmaker's cuts have shown so far."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, inf, sqrt

import numpy as np
from numpy.typing import NDArray

from offtool.core.correction.limits import ALLOWANCE, CUT_SD, FACTOR, PART, SHRINKAGE, STEP, TARGET
from offtool.core.correction.pooled import MAD_TO_SD
from offtool.core.formulas import Numbers, formula
from offtool.core.values import Caution, ImpossibleInput, Range

CUT_SD_USUAL = 0.005
"""Standard deviation of a cut about what was asked: plus or minus 0.01 on small features; common practice, no
source."""
FIRST_CUT_SHARE = 0.6
"""How inaccurate a correction is beside the first cutting of the tool: it is small and starts from measured
steel. Common practice, no source."""
BIAS_SHARE = 0.8
"""How far a toolmaker's average may lie from what is asked, in standard deviations of one cut, before any is
seen; common practice, no source."""
CUT_WEIGHT = 4.0
"""What the usual inaccuracy counts for, in cuts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelCut:
    """A cut in the toolmaker's step; `amount_mm` is negative where steel must be added."""

    amount_mm: float
    full_amount_mm: float
    part_change_mm: float
    part_after_mm: float
    limited: bool
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """What a toolmaker removes beyond what was asked, on average, and how widely it varies."""

    bias_mm: float
    bias_uncertainty_mm: float
    sd_mm: float
    freedom: float
    cuts: int
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "part_mm": PART,
        "target_mm": TARGET,
        "shrinkage": SHRINKAGE,
        "factor": FACTOR,
        "step_mm": STEP,
        "allowance_mm": ALLOWANCE,
    },
    example={
        "part_mm": 3.94,
        "target_mm": 4.0,
        "shrinkage": 0.0199,
        "factor": 1.0,
        "step_mm": 0.001,
        "allowance_mm": 0.2,
    },
    source="algebra; shop examples in ABS and POM recomputed in the tests",
)
def steel_cut(
    part_mm: float,
    target_mm: float,
    *,
    shrinkage: float,
    factor: float = 1.0,
    step_mm: float = 0.01,
    allowance_mm: float | None = None,
) -> SteelCut:
    """How much steel to remove so that the mean of a size comes to its target.

    x = (target - P) / (factor (1 - S)), to the nearest step, never more than the steel-safe allowance. A
    negative amount is steel to add.

    Returns: SteelCut. Raises: ImpossibleInput for a factor of zero or a shrinkage outside its range.

    Example: POM at 3.94 on steel of 4.02 (S 1.99 %), target 4.00: remove 0.061.
    """
    if factor == 0:
        raise ImpossibleInput(
            "factor", factor, "mm/mm", "must not be zero", "this feature does not move this size"
        )
    full = (target_mm - part_mm) / (factor * (1 - shrinkage))
    amount = round(full / step_mm) * step_mm
    limited = allowance_mm is not None and amount > allowance_mm + 1e-9 * step_mm
    if limited and allowance_mm is not None:
        amount = floor(allowance_mm / step_mm + 1e-9) * step_mm
    change = amount * factor * (1 - shrinkage)
    cautions: tuple[Caution, ...] = (
        (Caution("steel must be added: a new pin or insert, or welding"),) if amount < 0 else ()
    )
    if limited:
        cautions += (Caution("the steel-safe allowance ends before the target is reached"),)
    return SteelCut(
        amount_mm=amount,
        full_amount_mm=full,
        part_change_mm=change,
        part_after_mm=part_mm + change,
        limited=limited,
        cautions=cautions,
    )


@formula(
    limits={
        "asked_mm": Range(meaning="steel asked to be removed, one a cut", unit="mm"),
        "removed_mm": Range(meaning="steel found removed when measured again", unit="mm"),
        "measuring_sd_mm": Range(
            meaning="standard uncertainty of the difference of two steel measurements", unit="mm", at_least=0
        ),
        "usual_sd_mm": CUT_SD,
        "first_cuts_mm": Range(
            meaning="measured less drawn steel size, one a feature, as the tool was first cut", unit="mm"
        ),
    },
    example={"asked_mm": [0.03, 0.05, 0.04], "removed_mm": [0.024, 0.046, 0.033], "measuring_sd_mm": 0.003},
    source="normal data with conjugate priors, Gelman et al. 2013, Bayesian Data Analysis, sec. 2.5 and 2.6",
)
def estimate_cutting(
    asked_mm: Numbers,
    removed_mm: Numbers,
    *,
    measuring_sd_mm: float = 0.004,
    usual_sd_mm: float = CUT_SD_USUAL,
    first_cuts_mm: Numbers = (),
) -> Cutting:
    """Whether a toolmaker removes more or less than asked, and how widely it varies.

    The mean of (removed - asked) is pulled towards 0 and the spread towards the usual one, strongly for a few
    cuts, hardly for many. How truly the same toolmaker first cut the tool says what is usual: 0.6 of that
    spread, weighed against `usual_sd_mm`. Without anything seen the usual values come back.

    Returns: Cutting. Raises: ImpossibleInput for unequal lists.

    Holds when: the error does not grow with the amount: spark gap, touching off, polishing.
    """
    if len(asked_mm) != len(removed_mm):
        one_each = f"must be one for each of {len(asked_mm)} cuts"
        raise ImpossibleInput("removed_mm", len(removed_mm), "", one_each)
    extra = np.asarray(removed_mm, dtype=float) - np.asarray(asked_mm, dtype=float)
    usual = _usual_sd(usual_sd_mm, np.asarray(first_cuts_mm, dtype=float), measuring_sd_mm)
    count = extra.size
    mean = float(extra.mean()) if count else 0.0
    squares = float(((extra - mean) ** 2).sum()) - max(count - 1, 0) * measuring_sd_mm**2
    sd = sqrt((CUT_WEIGHT * usual**2 + max(squares, 0.0)) / (CUT_WEIGHT + max(count - 1, 0)))
    precision = count / (sd**2 + measuring_sd_mm**2) if sd or measuring_sd_mm else 0.0
    belief = 1 / (BIAS_SHARE * sd) ** 2 if sd else inf
    return Cutting(
        bias_mm=mean * precision / (precision + belief) if sd else 0.0,
        bias_uncertainty_mm=1 / sqrt(precision + belief),
        sd_mm=sd,
        freedom=CUT_WEIGHT + max(count - 1, 0),
        cuts=count,
    )


def _usual_sd(usual: float, first: NDArray[np.float64], measuring: float) -> float:
    """The spread to expect of a correction: the usual one, and what the first cutting of the tool shows."""
    if first.size < 2:
        return usual
    # By the median, so that one size drawn or entered wrongly does not make the toolmaker wild.
    spread = MAD_TO_SD * float(np.median(np.abs(first)))
    shown = FIRST_CUT_SHARE**2 * first.size * max(spread**2 - measuring**2 / 2, 0.0)
    return sqrt((CUT_WEIGHT * usual**2 + shown) / (CUT_WEIGHT + first.size))
