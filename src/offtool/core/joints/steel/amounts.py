"""How much steel each cavity of one size needs, in the toolmaker's step, and what stops it short."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, hypot, inf

from scipy import special

from offtool.core.joints.steel.evidence import JointSteel, JointSteelEvidence, SizeOfJoint
from offtool.core.joints.steel.good import size_mean
from offtool.core.joints.steel.result import SteelAmount, Stop

ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutter:
    """How steel is changed in this joint: how far now, how truly, at what risk."""

    evidence: JointSteelEvidence
    cut_share: float
    cut_sd_mm: float
    overshoot_probability: float

    def amounts(self, size: SizeOfJoint, feature: str, change: float, *, adding: bool) -> list[SteelAmount]:
        """Steel in each cavity that brings this size where the joint's mean moves by `change`.

        Steel is removed, or with `adding` put on; cavities that need the other are left alone.
        """
        target = size_mean(size) + change / size.slope
        steel = {one.cavity: one for one in size.steel if one.feature == feature}
        found = []
        for place in size.means:
            if (here := steel.get(place.cavity)) is None:
                continue
            full = (target - place.mean) / moved_by(here)
            one = self._added(here, full) if adding else self._removed(size, here, place.mean, full)
            amount, stop = one
            if amount:
                found.append(_amount(here, amount, full, place.mean, stop))
        return found

    def _added(self, steel: JointSteel, full: float) -> tuple[float, Stop]:
        """Steel that is put on too generously is removed again: all the way at once."""
        return min(_whole_steps(full, steel.step_mm), 0.0), Stop.NONE

    def _removed(self, size: SizeOfJoint, steel: JointSteel, mean: float, full: float) -> tuple[float, Stop]:
        wanted = self._wanted(full, steel.step_mm)
        if wanted <= 0:
            return 0.0, Stop.NONE
        meant = Stop.NONE if self.cut_share == 1 else Stop.PART_OF_THE_WAY
        ends = (
            (wanted, meant),
            (_steps_below(steel.allowance_mm, steel.step_mm), Stop.ALLOWANCE),
            (_steps_below(self._before_far_limit(size, steel, mean), steel.step_mm), Stop.FAR_LIMIT),
        )
        return min(ends, key=lambda end: end[0] - ROUNDING * (end[1] is meant) * steel.step_mm)

    def _wanted(self, full: float, step: float) -> float:
        """The nearest step; where only part of the way is meant, none that goes all the way and past."""
        nearest = _whole_steps(self.cut_share * full, step)
        return nearest if self.cut_share == 1 else min(nearest, _steps_below(full, step))

    def _before_far_limit(self, size: SizeOfJoint, steel: JointSteel, mean: float) -> float:
        """The most steel after which the cavity's mean measure is past the far limit with the stated risk
        only, even at the friction that lies nearest to it."""
        known = self.evidence
        lever = size.slope * moved_by(steel)
        limit, share = (
            (known.upper, known.true_share.high) if lever > 0 else (known.lower, known.true_share.low)
        )
        if limit is None:
            return inf
        now = known.measure + size.slope * (mean - size_mean(size))
        unsure = hypot(known.measure_uncertainty, lever * self.cut_sd_mm)
        room = abs(float(special.ndtri(self.overshoot_probability))) * unsure
        way = limit / share - now
        return max((way - room) / lever if lever > 0 else (way + room) / lever, 0.0)


def moved_by(steel: JointSteel) -> float:
    """mm of part for each mm of steel removed."""
    return steel.factor * (1 - steel.shrinkage)


def _amount(steel: JointSteel, amount: float, full: float, mean: float, stop: Stop) -> SteelAmount:
    return SteelAmount(
        feature=steel.feature,
        cavity=steel.cavity,
        amount_mm=amount,
        full_mm=full,
        allowance_mm=steel.allowance_mm,
        before=mean,
        after=mean + moved_by(steel) * amount,
        stop=stop,
    )


def _whole_steps(amount: float, step: float) -> float:
    """The nearest amount that the toolmaker works to."""
    return round(amount / step) * step


def _steps_below(amount: float, step: float) -> float:
    return amount if amount == inf else floor(amount / step + ROUNDING) * step
