"""What each setting of a weld study shows by its own runs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import copy

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.inspection.attributes import share_interval
from offtool.core.inspection.spread import CavitySpreads, mean_and_sd, spreads_by_code
from offtool.core.inspection.tolerance import one_sided_factor, tolerance_interval
from offtool.core.values import Verdict
from offtool.core.welding.normal_bounds import normal_quantile_bound, normal_quantile_upper, upper_factor
from offtool.core.welding.pulls import spread_seen
from offtool.core.welding.study.results import SettingFinding, Summary
from offtool.core.welding.study.runs import Setting, WeldRun, column, setting_words

Groups = Mapping[Setting, Sequence[WeldRun]]


def grouped(runs: Sequence[WeldRun]) -> dict[Setting, list[WeldRun]]:
    """Runs by setting, from low to high; unknown last."""
    found: dict[Setting, list[WeldRun]] = {}
    for run in runs:
        found.setdefault(run.setting, []).append(run)
    order = sorted(found, key=lambda one: tuple(np.inf if value is None else value for value in one))
    return {setting: found[setting] for setting in order}


def spreads_of(groups: Groups) -> CavitySpreads | None:
    """Spread of each setting without stopped pulls, pooled where they are alike; None where there is none."""
    usable = {
        setting: column(runs, "strength_n")
        for setting, runs in groups.items()
        if not any(run.stopped for run in runs) and column(runs, "strength_n").size
    }
    if not usable:
        return None
    codes = np.repeat(np.arange(len(usable)), [values.size for values in usable.values()])
    labels = tuple(setting_words(setting) for setting in usable)
    return spreads_by_code(np.concatenate(list(usable.values())), codes, labels)


class Judge:
    """What is asked of every setting, and how its runs are held against it."""

    def __init__(
        self,
        *,
        required_n: float,
        largest_flash_mm: float | None,
        share: float,
        good_share: float,
        confidence: float,
        spreads: CavitySpreads | None,
    ) -> None:
        self.required_n, self.largest_flash_mm = required_n, largest_flash_mm
        self.share, self.good_share, self.confidence = share, good_share, confidence
        self.each_confidence = confidence
        self.spreads = spreads

    def sharing(self, claims: int) -> Judge:
        """The same judge with the risk of each bound divided among so many."""
        other = copy(self)
        other.each_confidence = 1 - (1 - self.confidence) / max(claims, 1)
        return other

    def has_bound(self, setting: Setting, runs: Sequence[WeldRun]) -> bool:
        """Whether its runs bound the strength at all."""
        pulled = [run for run in runs if run.strength_n is not None]
        values, stopped = column(pulled, "strength_n"), np.array([run.stopped for run in pulled], dtype=bool)
        if stopped.any():
            return spread_seen(values, stopped)
        return bool(pulled) and self._from_spread(setting_words(setting), values)[0] is not None

    def setting(self, setting: Setting, runs: Sequence[WeldRun]) -> SettingFinding:
        """One setting by its own runs; the deviation may be pooled over all."""
        low, high = self._strength_ends(setting, runs)
        seen = [run.looks_good(self.largest_flash_mm) for run in runs]
        looked = [one for one in seen if one is not None]
        good = sum(looked)
        looks_low, looks_high = self._looks_ends(good, len(looked))
        strength = _verdict(low, high, self.required_n)
        looks = _verdict(looks_low, looks_high, self.good_share)
        flash = column(runs, "flash_mm")
        pulled = [run for run in runs if run.strength_n is not None]
        return SettingFinding(
            time_s=setting[0],
            pressure_bar=setting[1],
            amplitude_um=setting[2],
            runs=len(runs),
            pulls=len(pulled),
            stopped=sum(run.stopped for run in pulled),
            strength=summary(column(runs, "strength_n")),
            strength_low_n=low,
            looks=share_interval(good, len(looked), confidence=self.confidence) if looked else None,
            looks_low=looks_low,
            flash=summary(flash),
            flash_high_mm=self._flash_high(flash),
            height=summary(column(runs, "height_mm")),
            collapse=summary(column(runs, "collapse_mm")),
            energy=summary(column(runs, "energy_j")),
            strength_verdict=strength,
            looks_verdict=looks,
            verdict=worse(strength, looks),
        )

    def _strength_ends(self, setting: Setting, runs: Sequence[WeldRun]) -> tuple[float | None, float | None]:
        pulled = [run for run in runs if run.strength_n is not None]
        if not pulled:
            return None, None
        values = column(pulled, "strength_n")
        stopped = np.array([run.stopped for run in pulled])
        if stopped.any():
            if not spread_seen(values, stopped):
                return None, None
            ends = (values, stopped, 1 - self.share, self.each_confidence)
            return normal_quantile_bound(*ends), normal_quantile_upper(*ends)
        return self._from_spread(setting_words(setting), values)

    def _from_spread(self, words: str, values: NDArray[np.float64]) -> tuple[float | None, float | None]:
        if self.spreads is None:
            return None, None
        i = self.spreads.cavities.index(words)
        freedom, sd = int(self.spreads.freedom[i]), float(self.spreads.sd[i])
        if freedom < 1 or not np.isfinite(sd):
            return None, None
        z, mean = float(special.ndtri(self.share)), mean_and_sd(values)[0]
        low = mean - one_sided_factor(z, values.size, freedom, self.each_confidence) * sd
        return low, mean - upper_factor(z, values.size, freedom, self.each_confidence) * sd

    def _looks_ends(self, good: int, looked: int) -> tuple[float | None, float | None]:
        if not looked:
            return None, None
        bad = looked - good
        low = 1 - share_interval(bad, looked, confidence=self.each_confidence).less_than
        high = 1 - float(special.betaincinv(bad, good + 1, 1 - self.each_confidence)) if bad else 1.0
        return low, high

    def _flash_high(self, flash: NDArray[np.float64]) -> float | None:
        if flash.size < 2:
            return None
        found = tolerance_interval(flash, share=self.share, confidence=self.confidence, sides="above")
        return found.interval.high


def worse(*verdicts: Verdict) -> Verdict:
    """The worst of them."""
    return next(one for one in (Verdict.FAILS, Verdict.NOT_SHOWN, Verdict.HOLDS) if one in verdicts)


def summary(values: NDArray[np.float64]) -> Summary | None:
    """How many, mean, deviation, ends; None of nothing."""
    if not values.size:
        return None
    mean, sd = mean_and_sd(values)
    return Summary(
        count=values.size,
        mean=mean,
        sd=sd if values.size > 1 else None,
        smallest=float(values.min()),
        largest=float(values.max()),
    )


def _verdict(low: float | None, high: float | None, asked: float) -> Verdict:
    if high is not None and high < asked:
        return Verdict.FAILS
    return Verdict.HOLDS if low is not None and low >= asked else Verdict.NOT_SHOWN
