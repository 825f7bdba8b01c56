"""How much to cut one steel feature in one cavity, when means, shrinkage and cutting are all uncertain."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.correction.cutting import CUT_SD_USUAL
from offtool.core.correction.limits import ALLOWANCE, CUT_BIAS, CUT_SD, STEP
from offtool.core.formulas import Numbers, formula
from offtool.core.values import Caution, ImpossibleInput, Range

OVERSHOOT_PROBABILITY = 1e-4
LEAST_GAIN = 0.02
INDEX_MARGIN = 1.15
"""The index aimed at, over the required one: with 50 parts a cavity an index is shown about 1.1 times
lower."""
LOOPS_TO_ADD = {True: 0.25, False: 0.7}
"""What it costs, in loops of the tool, to add steel by a new pin or insert (True) or by welding; common
practice, no source."""
MOST_LOOPS = 5.0
MOST_STEPS = 100_000
NO_SPREAD_INDEX = 2.0
"""Where parts show no spread yet, the tolerance is taken to hold twelve standard deviations."""


class Bound(StrEnum):
    """What kept a cut from going all the way."""

    NONE = ""
    ALLOWANCE = "the steel-safe allowance ends there"
    FAR_LIMIT = "more could overshoot the far limit"
    NEEDS_STEEL = "steel would have to be added, for too little gain"
    SPREAD = "the spread is too wide: no steel makes it hold"


@dataclass(frozen=True, slots=True, kw_only=True)
class CutChoice:
    """The amount, and what it is expected to do to each size it moves."""

    amount_mm: float
    centring_mm: float
    bound: Bound
    holds_now: float
    holds_after: float
    overshoot: float
    mean_after: NDArray[np.float64]
    sd_after: NDArray[np.float64]
    cautions: tuple[Caution, ...] = ()


_SIDE = Range(meaning="limit of each size; inf or -inf where there is none", unit="mm", may_be_infinite=True)


@formula(
    limits={
        "means": Range(meaning="where each size moved by the feature stands", unit="mm"),
        "mean_sds": Range(meaning="standard uncertainty of each mean, over set-ups", unit="mm", at_least=0),
        "setup_sds": Range(
            meaning="how far a set-up of the press moves each mean (standard deviation)",
            unit="mm",
            at_least=0,
        ),
        "spreads": Range(
            meaning="standard deviation of the parts about their mean; 0 where unknown", unit="mm", at_least=0
        ),
        "lowers": _SIDE,
        "uppers": _SIDE,
        "required_indices": Range(
            meaning="Ppk each size must show", above=0, usual=(0.67, 2.0), source="common practice, no source"
        ),
        "moves": Range(
            meaning="mm of part for each mm removed, shrinkage included: factor (1 - S)", unit="mm/mm"
        ),
        "step_mm": STEP,
        "allowance_mm": ALLOWANCE,
        "can_add": Range(meaning="whether steel is added by a new pin or insert; else it must be welded"),
        "cut_sd_mm": CUT_SD,
        "cut_bias_mm": CUT_BIAS,
        "overshoot_probability": Range(
            meaning="risk that the cut may add of a mean past the far limit", above=0, below=0.5
        ),
        "least_gain": Range(
            meaning="loops that a cut must be expected to save, else steel is left alone", at_least=0
        ),
    },
    example={
        "means": [3.966],
        "mean_sds": [0.002],
        "setup_sds": [0.0012],
        "spreads": [0.004],
        "lowers": [3.98],
        "uppers": [4.03],
        "required_indices": [1.33],
        "moves": [0.98],
        "allowance_mm": 0.1,
    },
    source="expected loss over the amounts of the toolmaker's step, normal errors; our own",
)
def choose_cut(
    means: Numbers,
    mean_sds: Numbers,
    setup_sds: Numbers,
    spreads: Numbers,
    lowers: Numbers,
    uppers: Numbers,
    required_indices: Numbers,
    moves: Numbers,
    *,
    step_mm: float = 0.01,
    allowance_mm: float,
    can_add: bool = False,
    cut_sd_mm: float = CUT_SD_USUAL,
    cut_bias_mm: float = 0.0,
    overshoot_probability: float = OVERSHOOT_PROBABILITY,
    least_gain: float = LEAST_GAIN,
) -> CutChoice:
    """How much steel to remove from one feature in one cavity so that every size it moves will hold.

    A size will hold when its mean comes to lie where its required index can be shown: between L + 3 R s and
    U - 3 R s. Of all amounts in the toolmaker's step, up to the allowance, the one with the greatest
    probability of that is taken, less a charge for passing to the side where steel would have to be added,
    and for adding steel at all; none that adds more than `overshoot_probability` to the risk of a mean past
    the far limit. Steel is left alone where nothing is gained.

    The window keeps a margin of 1.15 on the index; where the spread leaves none, its middle tenth is aimed
    at. At most five loops are counted. Sizes that share a cut are taken as independent.

    Returns: CutChoice; `bound` says what kept it short. Raises: ImpossibleInput for unequal lists.
    """
    sizes = _Sizes.of(means, mean_sds, setup_sds, spreads, lowers, uppers, required_indices, moves)
    centring = sizes.centring_amount()
    amounts = _amounts(centring, step_mm, allowance_mm)
    mean, sd = sizes.after(amounts, cut_sd_mm, cut_bias_mm)
    overshoot = sizes.overshoot(mean, sd)
    holding, passed = sizes.holding(mean, np.hypot(sd, sizes.setup_sd))
    score = -further_loops(holding) - LOOPS_TO_ADD[can_add] * np.where(amounts < 0, 1.0, passed)
    now = int(np.flatnonzero(amounts == 0)[0])
    allowed = overshoot - overshoot[now] <= overshoot_probability
    best = int(np.argmax(np.where(allowed, score - 1e-9 * np.abs(amounts - centring), -np.inf)))
    if score[best] - score[now] < least_gain:
        best = now
    return CutChoice(
        amount_mm=float(amounts[best]),
        centring_mm=centring,
        bound=_bound(
            sizes,
            centring,
            float(amounts[best]),
            float(holding[now]),
            step_mm,
            allowance_mm,
            bool(allowed[amounts >= centring].all()) if (amounts >= centring).any() else True,
        ),
        holds_now=float(holding[now]),
        holds_after=float(holding[best]),
        overshoot=float(overshoot[best]),
        mean_after=mean[best],
        sd_after=sd[best],
    )


def further_loops(holding: NDArray[np.float64]) -> NDArray[np.float64]:
    """Loops to expect until something of this probability comes true, at most five."""
    return np.minimum((1 - holding) / np.maximum(holding, 1e-9), MOST_LOOPS)


@dataclass(frozen=True, slots=True)
class _Sizes:
    """The sizes one feature moves, as arrays."""

    mean: NDArray[np.float64]
    mean_sd: NDArray[np.float64]
    setup_sd: NDArray[np.float64]
    lower: NDArray[np.float64]
    upper: NDArray[np.float64]
    window_low: NDArray[np.float64]
    window_high: NDArray[np.float64]
    move: NDArray[np.float64]
    too_wide: bool

    @classmethod
    def of(cls, *lists: Numbers) -> _Sizes:
        mean, mean_sd, setup_sd, spread, lower, upper, required, move = (
            np.asarray(one, dtype=float) for one in lists
        )
        if mean.size == 0 or any(
            one.shape != mean.shape for one in (mean_sd, setup_sd, spread, lower, upper, required, move)
        ):
            raise ImpossibleInput("means", mean.size, "", "all lists must be equally long and not empty")
        if (move == 0).any():
            raise ImpossibleInput(
                "moves", 0.0, "mm/mm", "must not be zero", "leave out sizes that do not move"
            )
        if not (lower < upper).all():
            raise ImpossibleInput("lowers", float(lower.max()), "mm", "must lie below the upper limits")
        both = np.isfinite(lower) & np.isfinite(upper)
        tolerance = np.where(both, upper, 0.0) - np.where(both, lower, 0.0)
        seen = np.where(spread > 0, spread, tolerance / (6 * NO_SPREAD_INDEX))
        reach = 3 * INDEX_MARGIN * required * seen
        low, high = lower + reach, upper - reach
        # Where the spread leaves no window, the middle is the best that steel can do.
        crossed = low > high
        middle = (lower[crossed] + upper[crossed]) / 2
        low[crossed] = middle - 0.05 * tolerance[crossed]
        high[crossed] = middle + 0.05 * tolerance[crossed]
        return cls(mean, mean_sd, setup_sd, lower, upper, low, high, move, bool(crossed.any()))

    def centring_amount(self) -> float:
        """The amount that brings the sizes nearest the middle of their windows (weighted by the windows'
        width)."""
        both = np.isfinite(self.window_low) & np.isfinite(self.window_high)
        middle = self.mean.copy()
        middle[both] = (self.window_low[both] + self.window_high[both]) / 2
        outside = np.where(
            both,
            middle - self.mean,
            np.maximum(self.window_low - self.mean, 0.0) - np.maximum(self.mean - self.window_high, 0.0),
        )
        width = np.ones_like(self.mean)
        width[both] = np.maximum(self.window_high[both] - self.window_low[both], 1e-9)
        weight = (self.move / width) ** 2
        return float((weight * outside / self.move).sum() / weight.sum())

    def after(
        self, amounts: NDArray[np.float64], cut_sd: float, bias: float
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Means and their uncertainty for each amount (rows) and size (columns)."""
        cut = (amounts != 0)[:, None]
        mean = self.mean + self.move * (amounts[:, None] + bias * cut)
        sd = np.sqrt(self.mean_sd**2 + (self.move * cut_sd) ** 2 * cut)
        return mean, np.maximum(sd, 1e-9)

    def holding(
        self, mean: NDArray[np.float64], sd: NDArray[np.float64]
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Probability that all sizes come to lie in their windows, and that one passes to the side of no
        return."""
        below = special.ndtr((self.window_low - mean) / sd)
        above = special.ndtr((mean - self.window_high) / sd)
        passed = np.where(self.move > 0, above, below)
        return np.prod(np.maximum(1 - below - above, 0.0), axis=1), 1 - np.prod(1 - passed, axis=1)

    def overshoot(self, mean: NDArray[np.float64], sd: NDArray[np.float64]) -> NDArray[np.float64]:
        """Probability that any mean passes the limit on the side that removing steel leads to."""
        passed = np.where(
            self.move > 0, special.ndtr((mean - self.upper) / sd), special.ndtr((self.lower - mean) / sd)
        )
        return np.asarray(1 - np.prod(1 - passed, axis=1), dtype=np.float64)


def _amounts(centring: float, step: float, allowance: float) -> NDArray[np.float64]:
    """The amounts worth looking at: whole steps from the steel to be added to a little past centring."""
    if abs(centring) / step > MOST_STEPS:
        raise ImpossibleInput("step_mm", step, "mm", f"makes more than {MOST_STEPS} steps", "check the unit")
    most = int(np.floor(min(allowance, max(centring, 0.0) + 5 * step) / step + 1e-9))
    least = -int(np.ceil(max(-centring, 0.0) / step))
    return np.arange(least, most + 1, dtype=np.float64) * step


def _bound(
    sizes: _Sizes,
    centring: float,
    amount: float,
    holds_now: float,
    step: float,
    allowance: float,
    free: bool,
) -> Bound:
    short = centring - amount > step
    if centring < -step and amount == 0 and holds_now < 0.5:
        return Bound.NEEDS_STEEL
    used_up = amount > allowance - step or amount <= 0
    if short and allowance < centring - step / 2 and used_up:
        return Bound.ALLOWANCE
    if short and not free:
        return Bound.FAR_LIMIT
    return Bound.SPREAD if sizes.too_wide else Bound.NONE
