"""What the runs of a weld study cannot say, and which runs would settle it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from scipy import special

from offtool.core.inspection.sample_size import parts_to_bound_fraction
from offtool.core.values import Verdict
from offtool.core.welding.normal_bounds import pulls_for_normal
from offtool.core.welding.study.grid import Fits, Judged, stand_of
from offtool.core.welding.study.response import LEAST_FREEDOM, regression_factors
from offtool.core.welding.study.results import OpenQuestion, SettingFinding, WindowGrid
from offtool.core.welding.study.runs import NAMES, VARIED, Setting, WeldRun, setting_words

AGAIN = 5
"""Pieces a setting where no number follows from the runs; common practice, no source."""
LACK_BELOW = 0.05
MOST_RUNS_WORTH = 200


@dataclass(frozen=True, slots=True)
class Place:
    """Where one means to stand, and what is expected of a seam there."""

    words: str
    mean_n: float
    sd_n: float


def chosen_place(
    settings: Sequence[SettingFinding], fits: Fits, judged: Judged | None, grid: WindowGrid | None
) -> Place | None:
    """The middle of the window, else the strongest setting that holds; None where nothing is shown."""
    stand = None if judged is None or grid is None else stand_of(fits, judged, grid)
    if stand is not None and grid is not None and fits.strength is not None:
        return Place(grid.stand_words, float(fits.strength.predicted(stand)[0]), fits.strength.sd)
    holding = [one for one in settings if one.verdict is Verdict.HOLDS and one.strength is not None]
    if not holding:
        return None
    best = max(holding, key=lambda one: (_is_known(one), one.strength_low_n or 0.0))
    words = setting_words((best.time_s, best.pressure_bar, best.amplitude_um))
    own = best.strength
    return None if own is None else Place(words, own.mean, own.sd or 0.0)


def _is_known(one: SettingFinding) -> bool:
    """Whether one can weld there again."""
    return any(value is not None for value in (one.time_s, one.pressure_bar, one.amplitude_um))


def confirmed(
    place: Place, required_n: float, share: float, good_share: float, confidence: float
) -> Iterator[OpenQuestion]:
    """The fresh pulls that show the place by themselves, if it is as it looks."""
    margin = (place.mean_n - required_n) / max(place.sd_n, 1e-12)
    pulls = pulls_for_normal(margin, share, confidence, MOST_RUNS_WORTH)
    looks = parts_to_bound_fraction(1 - good_share, confidence=confidence).parts
    said = f"more than {MOST_RUNS_WORTH}" if pulls is None else f"{max(pulls, AGAIN)}"
    yield OpenQuestion(
        question="the place was chosen because it looks best here, which luck does too",
        runs=f"pull {said} fresh seams at {place.words} to confirm it, and look at {looks}, all good",
    )


def not_varied(fits: Fits, best: Setting) -> Iterator[OpenQuestion]:
    """Settings of the welder that stood still."""
    for name, words in NAMES.items():
        if name not in fits.scale.names:
            yield OpenQuestion(
                question=f"the {words} was not varied: what it does is not seen",
                runs=f"weld {AGAIN} pieces each with the {words} one step lower and one step higher than at "
                f"{setting_words(best)}",
            )


def shape_of_fit(fits: Fits, runs: Sequence[WeldRun], settings: Sequence[Setting]) -> Iterator[OpenQuestion]:
    """Whether the runs can show a bend, their own scatter, and that the fit follows them."""
    for i, name in enumerate(fits.scale.names):
        if np.unique(fits.coded[:, i]).size == 2:
            middle = (fits.scale.low[i] + fits.scale.high[i]) / 2
            yield OpenQuestion(
                question=f"the {NAMES[name]} has two values: a bend between them is not seen",
                runs=f"weld {AGAIN} pieces at {middle:g} {VARIED[name]}, all else as before",
            )
    fit = fits.strength
    if fit is None:
        needed = 1 + len(fits.scale.names) + LEAST_FREEDOM
        yield OpenQuestion(
            question="too few pulls that came apart to fit the strength along the settings",
            runs=f"at least {needed} pulls until the seam comes apart, spread over the settings: "
            + "; ".join(setting_words(one) for one in settings[:6]),
        )
    elif fit.lack_p is None and fit.pure_freedom == 0:
        yield _bend_not_seen(runs, settings)
    elif fit.lack_p is not None and fit.lack_p < LACK_BELOW:
        yield OpenQuestion(
            question=f"the fit misses the settings' means (p {fit.lack_p:.2g}): no window is shown",
            runs="weld at settings between those tried, so that a bend can be followed",
        )


def _bend_not_seen(runs: Sequence[WeldRun], settings: Sequence[Setting]) -> OpenQuestion:
    """Why the fit cannot be held against the settings' own means."""
    pulled = [run.setting for run in runs if run.strength_n is not None]
    middle = setting_words(settings[len(settings) // 2])
    if len(set(pulled)) == len(pulled):
        return OpenQuestion(
            question="no setting was welded twice: whether the fit misses a bend is not seen",
            runs=f"weld {AGAIN} pieces at {middle}",
        )
    return OpenQuestion(
        question="with stopped pulls whether the fit misses a bend cannot be tested",
        runs="pull until the seam comes apart, at every setting",
    )


def looks_of_it(fits: Fits, runs: Sequence[WeldRun]) -> Iterator[OpenQuestion]:
    """Whether the pieces were looked at."""
    if fits.looks is None:
        yield OpenQuestion(
            question=f"{len(fits.good)} of {len(runs)} pieces were looked at: too few for a window",
            runs="look at the pieces that were kept, or measure their flash",
        )


def nearest_window(
    fits: Fits, judged: Judged, required_n: float, share: float, good_share: float, confidence: float
) -> Iterator[OpenQuestion]:
    """Where no place is shown: the runs at the most promising one, as if it stayed as predicted."""
    fit = fits.strength
    if judged.holds.any() or fit is None:
        return
    z = float(special.ndtri(share))
    # A window needs both: each shortfall in its own measure of what is missing, the larger one counts.
    spare = (judged.mean - required_n) / max(fit.sd, 1e-12) - z
    if fits.looks is not None:
        spare = np.minimum(
            spare, special.logit(np.clip(judged.looks, 1e-9, 1 - 1e-9)) - special.logit(good_share)
        )
    here = int(np.argmax(spare))
    place = judged.plane.coded[here : here + 1]
    where = _words(fits, place)
    if not spare[here] > 0:
        yield OpenQuestion(
            question="nowhere between these settings are strength and look both expected to hold",
            runs=f"the nearest is {where}: try beyond it, or change the seam",
        )
        return
    parts = []
    if judged.low[here] < required_n:
        count = _pulls_there(fits, place, float(judged.mean[here]), required_n, share, confidence)
        parts.append(f"{count or f'more than {MOST_RUNS_WORTH}'} pulled apart")
    if fits.looks is not None and judged.looks_low[here] < good_share:
        parts.append(
            f"{parts_to_bound_fraction(1 - good_share, confidence=confidence).parts} looked at, all good"
        )
    if parts:
        yield OpenQuestion(
            question="no place is shown to hold yet, though one is expected to",
            runs=f"weld at {where}: {', '.join(parts)}",
        )


def _pulls_there(
    fits: Fits, place: np.ndarray, mean: float, required_n: float, share: float, confidence: float
) -> int | None:
    """Fewest pulls at the place whose leverage and freedom bring the bound up to the requirement."""
    fit = fits.strength
    if fit is None:
        return None
    leverage = fit.leverage(place)
    margin = (mean - required_n) / max(fit.sd, 1e-12)
    few, many = 0, 1
    while (
        float(regression_factors(leverage / (1 + many * leverage), fit.freedom + many, share, confidence)[0])
        > margin
    ):
        few, many = many, many * 2
        if few > MOST_RUNS_WORTH:
            return None
    while many - few > 1:
        middle = (few + many) // 2
        shown = regression_factors(
            leverage / (1 + middle * leverage), fit.freedom + middle, share, confidence
        )
        few, many = (few, middle) if float(shown[0]) <= margin else (middle, many)
    return many if many <= MOST_RUNS_WORTH else None


def _words(fits: Fits, coded: np.ndarray) -> str:
    plain = fits.scale.plain(coded)[0]
    return ", ".join(
        f"{value:.3g} {VARIED[name]}" for name, value in zip(fits.scale.names, plain, strict=True)
    )
