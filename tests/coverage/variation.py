"""Shares of variation, cavity differences, balance and the time constant of settling."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from offtool.core.inspection import find_settled_shot
from offtool.core.inspection.variation import (
    cavity_balance,
    cavity_differences,
    nested_components,
    variation_shares,
)
from tests.coverage.cases import covers

Bools = NDArray[np.bool_]
GAUGE = 0.3


def trial(
    rng: np.random.Generator, cavities: int, shots: int, cavity_sd: float, shot_sd: float, drift_sd: float
) -> tuple[np.ndarray, dict[str, float]]:
    """[shot, cavity] of a tool whose cavities and drift have exactly these deviations; the rest has 1."""
    offset = np.arange(cavities) - (cavities - 1) / 2
    offset = np.roll(offset**3, 1)
    offset -= offset.mean()
    slope = np.arange(shots) - (shots - 1) / 2
    moved = drift_sd * slope / slope.std(ddof=1) + shot_sd * rng.normal(size=shots)
    table = cavity_sd * offset / offset.std(ddof=1) + moved[:, None] + rng.normal(size=(shots, cavities))
    part = np.sqrt(1 - GAUGE**2)
    return table, {"cavity": cavity_sd, "shot": shot_sd, "drift": drift_sd, "part": part, "gauge": GAUGE}


def held(
    rng: np.random.Generator,
    cavities: int,
    shots: int,
    sds: tuple[float, float, float],
    source: str,
    *,
    filled: float = 1.0,
    of_total: bool = False,
) -> bool:
    """Whether the interval of one source held; `filled` is the share of cells that were measured."""
    table, truth = trial(rng, cavities, shots, *sds)
    shot, cavity = np.indices(table.shape)
    kept = rng.random(table.shape) < filled
    kept[0, :] = kept[:, 0] = True
    found = variation_shares(
        table[kept], [str(one) for one in cavity[kept]], shot[kept].astype(float), gauge_sd=GAUGE
    )
    share = found.share(source)  # type: ignore[arg-type]
    assert share is not None
    if of_total:
        total = sum(one**2 for one in truth.values())
        assert share.of_total_interval is not None
        return truth[source] ** 2 / total in share.of_total_interval
    assert share.interval is not None
    return truth[source] in share.interval


WORLDS = {
    "8 cavities, 20 shots": (8, 20, (1.0, 0.7, 0.5)),
    "4 cavities, 8 shots": (4, 8, (1.0, 1.0, 1.0)),
    "16 cavities, 10 shots": (16, 10, (0.5, 0.5, 0.5)),
}


def _register(words: str, size: tuple[int, int, tuple[float, float, float]], filled: float) -> None:
    how = "" if filled == 1 else f", {filled:.0%} of cells"
    for source in ("cavity", "shot", "drift", "part"):
        for of_total in (False, True):

            def once(rng: np.random.Generator, source: str = source, of_total: bool = of_total) -> bool:
                return held(rng, *size, source, filled=filled, of_total=of_total)

            what = "share" if of_total else "sd"
            covers(f"variation: {source} {what}, {words}{how}")(once)


for _words, _size in WORLDS.items():
    _register(_words, _size, 1.0)
_register("8 cavities, 20 shots", WORLDS["8 cavities, 20 shots"], 0.85)
_register("4 cavities, 8 shots", WORLDS["4 cavities, 8 shots"], 0.85)


def nested(
    rng: np.random.Generator, sizes: list[list[int]], sds: tuple[float, float, float]
) -> tuple[list[float], list[str], list[str]]:
    """Readings of groups of subgroups of so many."""
    values, groups, inner = [], [], []
    for g, group in enumerate(sizes):
        at = sds[0] * rng.normal()
        for s, size in enumerate(group):
            here = at + sds[1] * rng.normal()
            values += list(here + sds[2] * rng.normal(size=size))
            groups += [str(g)] * size
            inner += [str(s)] * size
    return values, groups, inner


@covers("nested: sd of groups, 8 of 5, and of the rest")
def one_level(rng: np.random.Generator) -> Bools:
    values, groups, _ = nested(rng, [[5]] * 8, (1.0, 0.0, 1.0))
    found = nested_components(values, groups).components
    return np.array([1.0 in one.interval for one in found])


@covers("nested: sd of groups of 2 to 9, and of the rest", worlds=1000)
def one_level_uneven(rng: np.random.Generator) -> Bools:
    values, groups, _ = nested(rng, [[n] for n in (2, 3, 9, 5, 4, 9, 6, 2)], (1.0, 0.0, 1.0))
    found = nested_components(values, groups).components
    return np.array([1.0 in one.interval for one in found])


@covers("nested: sd on two levels, 8 by 3 by 2, all three")
def two_levels(rng: np.random.Generator) -> Bools:
    values, groups, inner = nested(rng, [[2, 2, 2]] * 8, (1.0, 0.7, 0.5))
    found = nested_components(values, groups, inner).components
    return np.array([sd in one.interval for sd, one in zip((1.0, 0.7, 0.5), found, strict=True)])


@covers("nested: sd on two uneven levels, all three", worlds=600)
def two_levels_uneven(rng: np.random.Generator) -> Bools:
    sizes = [[2, 2, 3], [1, 2], [4, 2, 2], [2, 3], [2, 2], [1, 3, 2, 2], [2, 2], [3, 2, 2]]
    values, groups, inner = nested(rng, sizes, (1.0, 0.7, 0.5))
    found = nested_components(values, groups, inner).components
    return np.array([sd in one.interval for sd, one in zip((1.0, 0.7, 0.5), found, strict=True)])


def differ(
    rng: np.random.Generator, sizes: list[int], sds: list[float] | None = None
) -> tuple[NDArray[np.float64], list[float], list[str]]:
    """Cavities 0, 0.1, 0.2 ... with so many parts each."""
    true = 0.1 * np.arange(len(sizes))
    spread = sds or [1.0] * len(sizes)
    values = [one for m, n, s in zip(true, sizes, spread, strict=True) for one in m + s * rng.normal(size=n)]
    return true, values, [f"{i:02}" for i, n in enumerate(sizes) for _ in range(n)]


def all_pairs(true: NDArray[np.float64], found: object) -> bool:
    """Whether the intervals of all pairs held at once."""
    pairs = found.pairs  # type: ignore[attr-defined]
    return all(true[int(one.first)] - true[int(one.second)] in one.interval for one in pairs)


def all_offsets(true: NDArray[np.float64], found: object) -> bool:
    """Whether the intervals of all cavities against their mean held at once."""
    offsets = found.offsets  # type: ignore[attr-defined]
    return all(true[int(one.cavity)] - true.mean() in one.interval for one in offsets)


@covers("differences: all pairs of 8 cavities, 5 parts each")
def pairs_even(rng: np.random.Generator) -> bool:
    true, values, cavities = differ(rng, [5] * 8)
    return all_pairs(true, cavity_differences(values, cavities))


@covers("differences: all pairs of 4 cavities, 3 to 12 parts", safe_side=True)
def pairs_uneven(rng: np.random.Generator) -> bool:
    true, values, cavities = differ(rng, [3, 5, 8, 12])
    return all_pairs(true, cavity_differences(values, cavities))


@covers("differences: all pairs of 6 cavities, unlike spreads, 10 parts")
def pairs_unlike(rng: np.random.Generator) -> bool:
    true, values, cavities = differ(rng, [10] * 6, [0.3, 1.0, 1.0, 2.0, 0.3, 4.0])
    return all_pairs(true, cavity_differences(values, cavities))


def in_shots(
    rng: np.random.Generator, cavities: int, shots: int, filled: float = 1.0, wild: float = 1.0
) -> tuple[NDArray[np.float64], NDArray[np.float64], list[str], NDArray[np.float64]]:
    """Cavities 0, 0.1 ... in shots that move together; the last cavity is `wild` times wider."""
    true = 0.1 * np.arange(cavities)
    own = rng.normal(size=(shots, cavities))
    own[:, -1] *= wild
    table = true + 2 * rng.normal(size=(shots, 1)) + own
    shot, cavity = np.indices(table.shape)
    kept = rng.random(table.shape) < filled
    kept[0, :] = kept[:, 0] = True
    return true, table[kept], [f"{one:02}" for one in cavity[kept]], shot[kept].astype(float)


@covers("differences: all pairs, shots as blocks, 8 cavities, 6 shots")
def pairs_blocked(rng: np.random.Generator) -> bool:
    true, values, cavities, shots = in_shots(rng, 8, 6)
    return all_pairs(true, cavity_differences(values, cavities, shots=shots))


@covers("differences: all pairs, shots as blocks with gaps", safe_side=True)
def pairs_blocked_gaps(rng: np.random.Generator) -> bool:
    true, values, cavities, shots = in_shots(rng, 6, 10, filled=0.7)
    return all_pairs(true, cavity_differences(values, cavities, shots=shots))


@covers("differences: all pairs, shots as blocks, one wild cavity", safe_side=True)
def pairs_blocked_wild(rng: np.random.Generator) -> bool:
    true, values, cavities, shots = in_shots(rng, 5, 12, wild=5.0)
    return all_pairs(true, cavity_differences(values, cavities, shots=shots))


@covers("differences: all against the mean, 8 cavities, 5 parts each")
def offsets_even(rng: np.random.Generator) -> bool:
    true, values, cavities = differ(rng, [5] * 8)
    return all_offsets(true, cavity_differences(values, cavities))


@covers("differences: all against the mean, 3 cavities, 4 parts each")
def offsets_three(rng: np.random.Generator) -> bool:
    true, values, cavities = differ(rng, [4] * 3)
    return all_offsets(true, cavity_differences(values, cavities))


@covers("differences: all against the mean, 3 to 12 parts", safe_side=True)
def offsets_uneven(rng: np.random.Generator) -> bool:
    true, values, cavities = differ(rng, [3, 5, 8, 12])
    return all_offsets(true, cavity_differences(values, cavities))


@covers("differences: all against the mean, unlike spreads", safe_side=True)
def offsets_unlike(rng: np.random.Generator) -> bool:
    true, values, cavities = differ(rng, [10] * 6, [0.3, 1.0, 1.0, 2.0, 0.3, 4.0])
    return all_offsets(true, cavity_differences(values, cavities))


def balance_held(rng: np.random.Generator, means: list[float], sd: float, parts: int) -> bool:
    """Whether the interval of the imbalance held."""
    values = [one for m in means for one in m + sd * rng.normal(size=parts)]
    cavities = [str(i) for i in range(len(means)) for _ in range(parts)]
    found = cavity_balance(values, cavities)
    assert found.interval is not None
    return 100 * (max(means) - min(means)) / max(means) in found.interval


@covers("balance: imbalance of 8 cavities, one light, 5 parts", worlds=1000, safe_side=True)
def one_light(rng: np.random.Generator) -> bool:
    return balance_held(rng, [10.0] * 7 + [9.6], 0.05, 5)


@covers("balance: imbalance of 8 cavities, evenly apart, 5 parts", worlds=1000, safe_side=True)
def evenly_apart(rng: np.random.Generator) -> bool:
    return balance_held(rng, list(np.linspace(9.7, 10.0, 8)), 0.05, 5)


@covers("balance: imbalance of 4 cavities, small beside the spread", worlds=1000, safe_side=True)
def small_imbalance(rng: np.random.Generator) -> bool:
    return balance_held(rng, [10.0, 9.98, 9.97, 9.95], 0.05, 5)


@covers("balance: imbalance of 16 cavities, small beside the spread", worlds=1000, safe_side=True)
def many_small(rng: np.random.Generator) -> bool:
    return balance_held(rng, list(np.linspace(9.95, 10.0, 16)), 0.05, 5)


@covers("balance: imbalance of 2 cavities, 3 parts", worlds=1000)
def two_cavities(rng: np.random.Generator) -> bool:
    return balance_held(rng, [10.0, 9.9], 0.05, 3)


def constant_held(
    rng: np.random.Generator, shots: int, sizes: int, time_constant: float, in_common: float
) -> bool:
    """Whether the interval of the time constant held; sizes of a shot share `in_common` of their variance."""
    height = 10 * rng.choice([-1.0, 1.0], size=sizes)
    common = np.sqrt(in_common) * rng.normal(size=(shots, 1))
    own = np.sqrt(1 - in_common) * rng.normal(size=(shots, sizes))
    table = height * np.exp(-np.arange(shots) / time_constant)[:, None] + common + own
    names = [f"size {i}" for i in range(sizes)] * shots
    found = find_settled_shot(np.repeat(np.arange(1.0, shots + 1), sizes), table.ravel(), names)
    assert found.time_constant_interval is not None
    return time_constant in found.time_constant_interval


@covers("settling: time constant 5 shots, one size, 40 shots", worlds=1000)
def constant_of_one(rng: np.random.Generator) -> bool:
    return constant_held(rng, 40, 1, 5.0, 0.0)


@covers("settling: time constant 4 shots, 8 sizes that move together, 30 shots", worlds=1000)
def constant_of_eight(rng: np.random.Generator) -> bool:
    return constant_held(rng, 30, 8, 4.0, 0.5)


@covers("settling: time constant 8 shots, 40 sizes, 60 shots", worlds=500)
def constant_of_many(rng: np.random.Generator) -> bool:
    return constant_held(rng, 60, 40, 8.0, 0.0)
