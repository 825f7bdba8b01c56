"""Bounds of the percentile index, the share outside, the subgroup indices and the mix; the plot's band."""

from __future__ import annotations

from functools import cache, partial

import numpy as np
from numpy.typing import NDArray

from offtool.core.inspection.distribution import (
    FAMILIES,
    fraction_outside,
    percentile_index,
    probability_plot,
)
from offtool.core.inspection.distribution.indices import indices, shares_outside
from offtool.core.inspection.mix import MixFinding, shipped_mix
from offtool.core.inspection.subgroups import subgroup_index
from tests.coverage.cases import covers

TRUTHS: dict[str, tuple[tuple[float, ...], ...]] = {
    "normal": ((5.0, 1.0),),
    "lognormal": ((1.0, 0.5),),
    "Weibull": ((2.0, 1.0),),
    "gamma": ((2.0, 1.0),),
    "folded normal": ((0.0, 1.0), (1.0, 1.0), (3.0, 1.0)),
    "Rayleigh": ((1.0,),),
}
"""Parameters of the worlds; the folded normal from half a normal to nearly a whole one."""
_WORLDS = {**dict.fromkeys(TRUTHS, 2000), "gamma": 1000, "folded normal": 600}
INSIDE_LOW, INSIDE_HIGH = 0.002, 0.9995
"""The limits stand at these quantiles: neither nearer by much."""


def _drawn(
    family: str, truth: tuple[float, ...], parts: int, rng: np.random.Generator
) -> NDArray[np.float64]:
    return FAMILIES[family].quantile(rng.random(parts), *map(np.asarray, truth))


def _limit(family: str, truth: tuple[float, ...], share: float) -> float:
    return float(FAMILIES[family].quantile(np.asarray(share), *map(np.asarray, truth)))


def _index(
    rng: np.random.Generator, *, family: str, truth: tuple[float, ...], parts: int, side: str, two: bool
) -> bool:
    upper = _limit(family, truth, INSIDE_HIGH)
    lower = _limit(family, truth, INSIDE_LOW) if two else None
    true = float(indices(FAMILIES[family], tuple(map(np.asarray, truth)), lower, upper).smaller)
    found = percentile_index(
        _drawn(family, truth, parts, rng),
        lower=lower,
        upper=upper,
        family=family,  # type: ignore[arg-type]
    )
    return found.low <= true if side == "lower" else true <= found.high


def _share(
    rng: np.random.Generator, *, family: str, truth: tuple[float, ...], parts: int, side: str, two: bool
) -> bool:
    upper = _limit(family, truth, INSIDE_HIGH)
    lower = _limit(family, truth, INSIDE_LOW) if two else None
    true = float(np.add(*shares_outside(FAMILIES[family], tuple(map(np.asarray, truth)), lower, upper)))
    found = fraction_outside(
        _drawn(family, truth, parts, rng),
        lower=lower,
        upper=upper,
        family=family,  # type: ignore[arg-type]
    )
    return found.low <= true if side == "lower" else true <= found.high


for _family, _truths in TRUTHS.items():
    for _truth in _truths:
        _of = _family if len(_truths) == 1 else f"{_family} at {_truth[0]:g} s"
        _worlds = _WORLDS[_family]
        for _parts in (20, 50):
            for _side in ("lower", "upper"):
                _how = {"family": _family, "truth": _truth, "parts": _parts, "side": _side}
                # Where the folded normal may be folded at zero, the wider of two bounds is taken.
                _safe = _family == "folded normal"
                covers(
                    f"percentile index, {_of}, {_parts} parts, {_side}",
                    safe_side=_safe,
                    worlds=_WORLDS[_family],
                )(partial(_index, **_how, two=False))
                covers(
                    f"share outside, {_of}, {_parts} parts, {_side}", safe_side=_safe, worlds=_WORLDS[_family]
                )(partial(_share, **_how, two=False))
        for _side in ("lower", "upper"):
            _how = {"family": _family, "truth": _truth, "parts": 20, "side": _side}
            covers(
                f"percentile index, {_of}, two limits, 20 parts, {_side}",
                safe_side=True,
                worlds=_WORLDS[_family],
            )(partial(_index, **_how, two=True))
            covers(
                f"share outside, {_of}, two limits, 20 parts, {_side}",
                safe_side=True,
                worlds=_WORLDS[_family],
            )(partial(_share, **_how, two=True))


def _subgroups(
    rng: np.random.Generator, *, which: str, side: str, size: int, groups: int, wander: float, two: bool
) -> bool:
    """The true Cpk is against the long-run mean; with wandering means Ppk takes both spreads."""
    means = np.repeat(rng.normal(0, wander, groups), size) if wander else 0.0
    found = subgroup_index(
        rng.normal(means, 1.0, groups * size),
        [str(i // size) for i in range(groups * size)],
        lower=-40.0 if two else None,
        upper=4.0,
    )
    spread = 1.0 if which == "within" else np.sqrt(1 + wander**2)
    true = 4.0 / (3 * spread)
    one = getattr(found, which)
    return bool(one.low <= true if side == "lower" else true <= one.high)


for _side in ("lower", "upper"):
    for _which, _name in (("within", "Cpk"), ("overall", "Ppk")):
        covers(f"{_name} of 20 subgroups of 5, {_side}")(
            partial(_subgroups, which=_which, side=_side, size=5, groups=20, wander=0.0, two=False)
        )
        covers(f"{_name} of 20 subgroups of 5, means wander by s, {_side}")(
            partial(_subgroups, which=_which, side=_side, size=5, groups=20, wander=1.0, two=False)
        )
    covers(f"Cpk of 40 single parts, {_side}")(
        partial(_subgroups, which="within", side=_side, size=1, groups=40, wander=0.0, two=False)
    )

MIX_PATTERN = np.linspace(-1, 1, 4)


@cache
def _true_mix(apart: float, lower: float | None, upper: float) -> MixFinding:
    """The same formulas on readings that have exactly the true means and deviations."""
    exact = np.concatenate([apart * mean + np.sqrt(0.5) * np.array([-1.0, 1.0]) for mean in MIX_PATTERN])
    return shipped_mix(exact, ["1", "1", "2", "2", "3", "3", "4", "4"], lower=lower, upper=upper).as_is


def _mix(rng: np.random.Generator, *, what: str, apart: float, two: bool) -> bool:
    """Four cavities of ten parts, their means spread evenly to `apart` s each side."""
    means = apart * MIX_PATTERN
    upper = 4.0 + 0.5 * apart
    lower = -upper if two else None
    many = _true_mix(apart, lower, upper)
    found = shipped_mix(
        rng.normal(np.repeat(means, 10), 1.0),
        [str(i) for i in range(4) for _ in range(10)],
        lower=lower,
        upper=upper,
    ).as_is
    return {
        "index, lower": found.index_low <= many.index,
        "index, upper": many.index <= found.index_high,
        "share outside, upper": many.outside <= found.outside_high,
        "share outside, lower": found.outside_low <= many.outside,
    }[what]


for _what in ("index, lower", "share outside, upper", "index, upper", "share outside, lower"):
    for _apart in (0.0, 1.0, 4.0):
        _spread = f"means to {_apart:g} s"
        _flatters_nobody = _what in ("index, upper", "share outside, lower")
        covers(
            f"mix of 4 cavities of 10, {_spread}, {_what}",
            worlds=800,
            safe_side=_flatters_nobody or _apart == 0.0,
        )(partial(_mix, what=_what, apart=_apart, two=False))
        covers(f"mix of 4 cavities of 10, {_spread}, two limits, {_what}", worlds=800, safe_side=True)(
            partial(_mix, what=_what, apart=_apart, two=True)
        )


def _band(rng: np.random.Generator, *, family: str, truth: tuple[float, ...], parts: int) -> bool:
    found = probability_plot(_drawn(family, truth, parts, rng), family)  # type: ignore[arg-type]
    return found.outside_band == 0


for _family, _truths in TRUTHS.items():
    for _truth in _truths:
        _of = _family if len(_truths) == 1 else f"{_family} at {_truth[0]:g} s"
        _worlds = 2000 if FAMILIES[_family].shape_free else 500
        covers(f"band of the probability plot, {_of}, 20 parts", worlds=_worlds)(
            partial(_band, family=_family, truth=_truth, parts=20)
        )
