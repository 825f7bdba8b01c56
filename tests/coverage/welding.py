"""Seams: the Weibull's bounds, strength against its requirement, the window of a weld study, the audit."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.values import Verdict
from offtool.core.welding.audit import weld_audit
from offtool.core.welding.normal_bounds import normal_quantile_bound
from offtool.core.welding.strength import judge_strength
from offtool.core.welding.study import WeldRun, WeldRuns, weld_window
from offtool.core.welding.study.looks import good_bounds
from offtool.core.welding.study.response import fit_response
from offtool.core.welding.weibull import B10, fit_weibull, share_weaker, strength_below
from offtool.core.welding.weibull_bounds import WeibullBounds
from offtool.handbook.terms import Appearance
from tests.coverage.cases import covers

SHAPE, SCALE, REQUIRED = 6.0, 110.0, 70.0
MEAN, SD, SHARE = 110.0, 10.0, 0.99
Z = float(special.ndtri(SHARE))


def weibull_holds(strengths: NDArray[np.float64], stopped: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Shape, scale, B10 and the share below the requirement, each in its two-sided interval."""
    bounds = WeibullBounds.of(strengths, stopped)
    truths = (SHAPE, SCALE, strength_below(B10, SHAPE, SCALE), share_weaker(REQUIRED, SHAPE, SCALE))
    ends = [
        (
            bounds.shape_quantile(p),
            bounds.strength_quantile(1 - np.exp(-1), p),
            bounds.strength_quantile(B10, p),
            bounds.share_quantile(REQUIRED, p),
        )
        for p in (0.025, 0.975)
    ]
    return np.array([low <= true <= high for low, true, high in zip(ends[0], truths, ends[1], strict=True)])


@covers("Weibull: shape, scale, B10, share below, 5 pulls", worlds=3000)
def weibull_of_five(rng: np.random.Generator) -> NDArray[np.bool_]:
    return weibull_holds(SCALE * rng.weibull(SHAPE, 5), np.zeros(5, dtype=bool))


@covers("Weibull: the same, 12 pulls stopped at the 6th break", worlds=3000)
def weibull_stopped_at_a_break(rng: np.random.Generator) -> NDArray[np.bool_]:
    strengths = np.sort(SCALE * rng.weibull(SHAPE, 12))
    return weibull_holds(np.minimum(strengths, strengths[5]), np.arange(12) > 5)


@covers("Weibull: the same, 12 pulls stopped at the gauge's end", worlds=3000, safe_side=True)
def weibull_stopped_at_a_load(rng: np.random.Generator) -> NDArray[np.bool_]:
    strengths = SCALE * rng.weibull(SHAPE, 12)
    stopped = strengths > SCALE
    if (~stopped).sum() < 2:
        return np.ones(4, dtype=bool)
    return weibull_holds(np.minimum(strengths, SCALE), stopped)


@covers("Weibull: B10 exceeds its lower bound, 8 pulls", worlds=4000)
def weibull_one_side(rng: np.random.Generator) -> bool:
    strengths = SCALE * rng.weibull(SHAPE, 8)
    bounds = WeibullBounds.of(strengths, np.zeros(8, dtype=bool))
    return bounds.strength_quantile(B10, 0.05) <= strength_below(B10, SHAPE, SCALE)


@covers("Weibull: share weaker than the smallest of pulls all stopped", worlds=4000, safe_side=True)
def all_stopped(rng: np.random.Generator) -> bool:
    """A weld of which 7.5 % are weaker than the proof load; where one comes apart nothing is claimed."""
    weaker = rng.random(40) < 0.075
    if weaker.any():
        return True
    found = fit_weibull([REQUIRED] * 40, stopped=[1] * 40, required_n=REQUIRED)
    return (found.share_at_most or 0.0) >= 0.075


@covers("strength: normal bound, 10 pulls stopped at the gauge's end", worlds=2000, safe_side=True)
def normal_with_stopped(rng: np.random.Generator) -> bool:
    strengths = rng.normal(MEAN, SD, 10)
    stopped = strengths > MEAN
    if (~stopped).sum() < 2:
        return True
    return normal_quantile_bound(np.minimum(strengths, MEAN), stopped, 1 - SHARE, 0.95) <= MEAN - Z * SD


@covers("strength: a normal seam just too weak is not said to hold, 10 pulls", worlds=1000, safe_side=True)
def too_weak_normal(rng: np.random.Generator) -> bool:
    found = judge_strength(rng.normal(MEAN, SD, 10), MEAN - Z * SD + 1e-6, share=SHARE)
    return found.verdict is not Verdict.HOLDS


@covers("strength: a Weibull seam just too weak is not said to hold, 10 pulls", worlds=1000, safe_side=True)
def too_weak_weibull(rng: np.random.Generator) -> bool:
    limit = strength_below(1 - SHARE, SHAPE, SCALE) + 1e-6
    return judge_strength(SCALE * rng.weibull(SHAPE, 10), limit, share=SHARE).verdict is not Verdict.HOLDS


@covers("strength: a seam just strong enough is not said to fail, 10 pulls", worlds=1000, safe_side=True)
def strong_enough(rng: np.random.Generator) -> NDArray[np.bool_]:
    normal = judge_strength(rng.normal(MEAN, SD, 10), MEAN - Z * SD - 1e-6, share=SHARE)
    limit = strength_below(1 - SHARE, SHAPE, SCALE) - 1e-6
    weibull = judge_strength(SCALE * rng.weibull(SHAPE, 10), limit, share=SHARE)
    return np.array([one.verdict is not Verdict.FAILS for one in (normal, weibull)])


PLACES = np.array([[0.0, 0.0], [1.0, -1.0], [0.4, 0.7]])
LEVELS = np.array([[x, y] for x in (-1.0, 0.0, 1.0) for y in (-1.0, 0.0, 1.0) for _ in range(2)])


def true_strength(coded: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(MEAN + 15 * coded[:, 0] + 6 * coded[:, 1] - 8 * coded[:, 0] ** 2)


@covers("weld window: strength's bound along the settings, 18 pulls", worlds=3000)
def window_strength(rng: np.random.Generator) -> NDArray[np.bool_]:
    strengths = true_strength(LEVELS) + rng.normal(0, SD, len(LEVELS))
    fit = fit_response(LEVELS, strengths, np.zeros(len(LEVELS), dtype=bool))
    assert fit is not None
    return fit.lower(PLACES, SHARE, 0.95) <= true_strength(PLACES) - Z * SD


@covers("weld window: the same, 36 pulls, those above 120 N stopped", worlds=2000, safe_side=True)
def window_stopped(rng: np.random.Generator) -> NDArray[np.bool_]:
    coded = np.repeat(LEVELS, 2, axis=0)
    strengths = true_strength(coded) + rng.normal(0, SD, len(coded))
    stopped = strengths > 120
    fit = fit_response(coded, np.minimum(strengths, 120), stopped)
    if fit is None:
        return np.ones(len(PLACES), dtype=bool)
    return fit.lower(PLACES, SHARE, 0.95) <= true_strength(PLACES) - Z * SD


def too_weak(rng: np.random.Generator, levels: tuple[tuple[float, ...], ...], each: int) -> bool:
    """All settings and all places between them a hair too weak: whatever is said to hold is wrong."""
    runs = tuple(
        WeldRun(
            time_s=time,
            pressure_bar=pressure,
            amplitude_um=60.0,
            strength_n=float(rng.normal(MEAN, SD)),
            appearance=Appearance.GOOD,
        )
        for time in levels[0]
        for pressure in levels[1]
        for _ in range(each)
    )
    found = weld_window(WeldRuns(runs=runs), required_n=MEAN - Z * SD + 1e-6, share=SHARE, good_share=0.5)
    return found.verdict is not Verdict.HOLDS


@covers("weld window: nine settings just too weak are not said to hold", worlds=600, safe_side=True)
def nine_too_weak(rng: np.random.Generator) -> bool:
    return too_weak(rng, ((0.2, 0.3, 0.4), (2.0, 2.5, 3.0)), 5)


@covers("weld window: five settings just too weak are not said to hold", worlds=600, safe_side=True)
def five_too_weak(rng: np.random.Generator) -> bool:
    return too_weak(rng, ((0.2, 0.25, 0.3, 0.35, 0.4), (2.0,)), 12)


def looks(rng: np.random.Generator, each: int) -> NDArray[np.bool_]:
    coded = np.repeat(LEVELS, each, axis=0)
    x = np.column_stack([np.ones(len(coded)), coded])
    places = np.column_stack([np.ones(len(PLACES)), PLACES])
    beta = np.array([2.5, -1.5, -1.0])
    good = (rng.random(len(x)) < special.expit(x @ beta)).astype(float)
    return good_bounds(x, good, places, 0.95)[1] <= special.expit(places @ beta)


@covers("weld window: probability of a good look, 36 pieces", worlds=1500, safe_side=True)
def window_looks(rng: np.random.Generator) -> NDArray[np.bool_]:
    return looks(rng, 2)


@covers("weld window: probability of a good look, 90 pieces", worlds=1500, safe_side=True)
def window_looks_of_many(rng: np.random.Generator) -> NDArray[np.bool_]:
    return looks(rng, 5)


AUDIT = weld_audit(MEAN, SD, REQUIRED, drop_n=20.0, audits=3)


@covers(
    "audit: the mean of the pulls finds the drop in time",
    claimed=AUDIT.plans[1].found_within or 0,
    worlds=8000,
)
def audit_by_mean(rng: np.random.Generator) -> bool:
    plan = AUDIT.plan("mean of the pulls")
    means = rng.normal(MEAN - AUDIT.drop_n, SD, (AUDIT.audits, plan.pulls or 1)).mean(axis=1)
    return bool((means < plan.alarm_below_n).any())


@covers(
    "audit: pulls to the requirement find it in time", claimed=AUDIT.plans[0].found_within or 0, worlds=8000
)
def audit_to_requirement(rng: np.random.Generator) -> bool:
    plan = AUDIT.plan("pull to the requirement")
    return bool((rng.normal(MEAN - AUDIT.drop_n, SD, (AUDIT.audits, plan.pulls or 1)) < REQUIRED).any())
