"""A weld study put together: its settings, the window between them, what is open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from offtool.core.formulas import formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.values import Caution, Range, Verdict
from offtool.core.welding.cautions import AT_THE_WELDER, EDGES, PULLING
from offtool.core.welding.pulls import REQUIRED, SHARE
from offtool.core.welding.study.grid import Fits, Scale, best_plane, holds_at, linear, stand_of, window_grid
from offtool.core.welding.study.questions import (
    LACK_BELOW,
    chosen_place,
    confirmed,
    looks_of_it,
    nearest_window,
    not_varied,
    shape_of_fit,
)
from offtool.core.welding.study.results import (
    FittedLooks,
    FittedStrength,
    SettingFinding,
    WeldWindow,
)
from offtool.core.welding.study.runs import NAMES, WeldRun, WeldRuns, require_possible
from offtool.core.welding.study.settings import Judge, grouped, spreads_of

CHOSEN = Caution("A study finds where to weld: fresh seams, pulled at the chosen place, show that it holds.")

_EXAMPLE = [
    {"time_s": 0.2, "pressure_bar": 2.0, "strength_n": 78, "appearance": "good"},
    {"time_s": 0.2, "pressure_bar": 2.0, "strength_n": 84, "appearance": "good"},
    {"time_s": 0.2, "pressure_bar": 3.0, "strength_n": 95, "appearance": "good"},
    {"time_s": 0.2, "pressure_bar": 3.0, "strength_n": 90, "appearance": "good"},
    {"time_s": 0.4, "pressure_bar": 2.0, "strength_n": 104, "appearance": "good"},
    {"time_s": 0.4, "pressure_bar": 2.0, "strength_n": 99, "appearance": "good"},
    {"time_s": 0.4, "pressure_bar": 3.0, "strength_n": 118, "appearance": "bad"},
    {"time_s": 0.4, "pressure_bar": 3.0, "strength_n": 113, "appearance": "bad"},
]


@formula(
    limits={
        "runs": Range(meaning="the pieces of the study: settings, strength, look"),
        "required_n": REQUIRED,
        "largest_flash_mm": Range(
            meaning="flash that may stand out at most; blank: the look alone counts", unit="mm", at_least=0
        ),
        "share": SHARE,
        "good_share": Range(meaning="share of seams that must look good", at_least=0.5, below=1),
        "confidence": CONFIDENCE,
    },
    example={"runs": {"runs": _EXAMPLE}, "required_n": 50, "good_share": 0.6},
    source="tolerance bound of a regression by the noncentral t; Firth 1993, Biometrika 80:27; Clopper and "
    "Pearson 1934; put together by offtool",
)
def weld_window(
    runs: WeldRuns,
    *,
    required_n: float,
    largest_flash_mm: float | None = None,
    share: float = 0.99,
    good_share: float = 0.9,
    confidence: float = 0.95,
) -> WeldWindow:
    """At which settings of the welder the seam is strong enough and looks good, and where to stand.

    Runs of the same weld time, pressure and amplitude are one setting; its bound is mean - k s, s pooled
    where settings spread alike, its looks by the binomial. Between the settings strength is a polynomial of
    those varied, its bound y - k(h) s with h the leverage; the log odds of a good look are linear (Firth).
    The window is where the strength's bound reaches the requirement and the look's bound the share asked for;
    one stands farthest from its edge, and the ends of the range are edges. Who tries many places finds one by
    luck: for the verdict the risk is divided evenly over the settings that have a bound and the terms of the
    polynomial, and a setting or the place where to stand must hold so.

    Returns: WeldWindow; `open` names what the runs cannot say and the runs that would settle it.
    Raises: NotEnoughData where no piece was pulled; ImpossibleInput for a cell that cannot be, by its row.

    Holds when: seams of a setting are alike and normal, with one deviation over the window, which shows
    each place by itself. That the terms stand for all places at once was found by simulation
    (`python -m tests.coverage weld window`). With stopped pulls the bounds are approximate.

    Example: with no setting varied the bound is that of one sample: 10 pulls, 95/95, k 2.911.
    """
    require_possible(runs)
    groups = grouped(runs.runs)
    spreads = spreads_of(groups)
    judge = Judge(
        required_n=required_n,
        largest_flash_mm=largest_flash_mm,
        share=share,
        good_share=good_share,
        confidence=confidence,
        spreads=spreads,
    )
    scale = Scale.of(runs.runs)
    told = [run for run in runs.runs if scale.says_all(run)]
    fits = Fits.of(scale, told, largest_flash_mm)
    claims = max(sum(judge.has_bound(*one) for one in groups.items()), 1)
    if scale.names and fits.strength is not None:
        claims += len(fits.strength.terms)
    judge = judge.sharing(claims)
    each = judge.each_confidence
    settings = tuple(judge.setting(setting, found) for setting, found in groups.items())
    judged = None
    if scale.names and fits.strength is not None:
        judged = best_plane(fits, required_n, share, good_share, confidence)
    grid = None if judged is None else window_grid(fits, judged)
    stand = None if judged is None or grid is None else stand_of(fits, judged, grid)
    stand_holds = stand is not None and holds_at(fits, stand, required_n, share, good_share, each)
    chosen = chosen_place(settings, fits, judged, grid)
    open_ = [
        *(confirmed(chosen, required_n, share, good_share, confidence) if chosen else ()),
        *(looks_of_it(fits, told)),
        *(shape_of_fit(fits, told, list(groups)) if scale.names else ()),
        *(nearest_window(fits, judged, required_n, share, good_share, confidence) if judged else ()),
        *not_varied(fits, list(groups)[len(groups) // 2]),
    ]
    return WeldWindow(
        verdict=_verdict(settings, fits, stand_holds),
        settings=settings,
        grid=grid,
        strength=_strength(fits),
        looks=_looks(fits),
        spread_pooled=bool(spreads is not None and spreads.pooled),
        open=tuple(open_),
        required_n=required_n,
        largest_flash_mm=largest_flash_mm,
        share=share,
        good_share=good_share,
        confidence=confidence,
        claims=claims,
        each_confidence=each,
        runs=len(runs.runs),
        cautions=(
            *_cautions(runs.runs, settings, fits, left_out=len(runs.runs) - len(told)),
            *((CHOSEN,) if chosen else ()),
            *(*AT_THE_WELDER, PULLING, EDGES),
        ),
    )


def _verdict(settings: Sequence[SettingFinding], fits: Fits, stand_holds: bool) -> Verdict:
    """The place where to stand counts where the fit follows the runs; a setting by its own runs always."""
    if any(one.verdict is Verdict.HOLDS for one in settings):
        return Verdict.HOLDS
    if stand_holds and not _misses(fits):
        return Verdict.HOLDS
    if all(one.verdict is Verdict.FAILS for one in settings):
        return Verdict.FAILS
    return Verdict.NOT_SHOWN


def _misses(fits: Fits) -> bool:
    lack = None if fits.strength is None else fits.strength.lack_p
    return lack is not None and lack < LACK_BELOW


def _term(fits: Fits, term: tuple[int, ...]) -> str:
    return " x ".join(NAMES[fits.scale.names[i]] for i in term) or "middle"


def _strength(fits: Fits) -> FittedStrength | None:
    fit = fits.strength
    if fit is None:
        return None
    return FittedStrength(
        terms=tuple(_term(fits, term) for term in fit.terms),
        coefficients=tuple(float(value) for value in fit.coefficients),
        sd_n=fit.sd,
        degrees_of_freedom=fit.freedom,
        lack_of_fit_p=fit.lack_p,
        pure_degrees_of_freedom=fit.pure_freedom,
    )


def _looks(fits: Fits) -> FittedLooks | None:
    if fits.looks is None:
        return None
    return FittedLooks(
        terms=tuple(_term(fits, term) for term in linear(len(fits.scale.names))),
        coefficients=tuple(float(value) for value in fits.looks),
        good=int(fits.good.sum()),
        looked_at=len(fits.good),
    )


def _cautions(
    runs: Sequence[WeldRun], settings: Sequence[SettingFinding], fits: Fits, *, left_out: int
) -> Iterator[Caution]:
    if left_out:
        yield Caution(
            f"{left_out} runs do not say all settings that were varied: no window is drawn from them"
        )
    if any(run.stopped for run in runs if run.strength_n is not None):
        yield Caution("pulls were stopped before the seam came apart: bounds with them are approximate")
    if len({run.hold_s for run in runs} - {None}) > 1:
        yield Caution("hold time differs between runs and is not looked at: it may stand behind a difference")
    if fits.looks is not None and fits.scale.names and not _looks_follow(settings, fits):
        yield Caution("good looks do not follow a line along the settings: believe each setting's own share")
    if fits.looks is not None and fits.scale.names and fits.good.sum() in (0, len(fits.good)):
        yield Caution("all pieces look alike: where the look turns is not seen")


def _looks_follow(settings: Sequence[SettingFinding], fits: Fits) -> bool:
    """Whether the fitted probability lies inside each setting's own interval."""
    for one in settings:
        plain = [getattr(one, name) for name in fits.scale.names]
        if one.looks is None or None in plain:
            continue
        x = np.concatenate([[1.0], fits.scale.code(np.array([plain], dtype=float))[0]])
        p = 1 / (1 + np.exp(-float(x @ fits.looks)))
        if p not in one.looks.interval:
            return False
    return True
