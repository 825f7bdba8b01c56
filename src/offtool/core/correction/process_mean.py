"""Where each size really stands: one linear mixed model of shrinkage over sizes, cavities, steel and
trials."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import linalg

from offtool.core.correction.pooled import PooledShrinkage, pool_shrinkage, robust_sd
from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.values import Caution, ImpossibleInput, NotEnoughData, Range

SETUP_SD = 0.0003
"""How far shrinkage moves from one set-up of the press to the next, as a fraction; common practice, no
source."""
SETUP_WEIGHT = 4.0
"""What that practice counts for, in observed set-up changes."""
SETUP_SHARE = 0.8
"""How far set-ups stray beside how far the sizes of one direction do; common practice, no source."""
LEAST_SD = 2e-5


@dataclass(frozen=True, slots=True, kw_only=True)
class ProcessMeans:
    """For each size and cavity in the steel it last had: the mean it would have over many set-ups."""

    sizes: tuple[str, ...]
    cavities: tuple[str, ...]
    mean_mm: NDArray[np.float64]
    sd_mm: NDArray[np.float64]
    shrinkage: NDArray[np.float64]
    size_shrinkage: NDArray[np.float64]
    direction_shrinkage: NDArray[np.float64]
    directions: dict[str, PooledShrinkage]
    setup_sd: float
    setup_freedom: float
    between_cavities_sd: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "parts_mm": Range(
            meaning="mean of the parts: one for each size, cavity and trial", unit="mm", above=0
        ),
        "uncertainties_mm": Range(meaning="standard uncertainty of each mean", unit="mm", above=0),
        "cavities_mm": Range(meaning="steel size that formed each, as measured", unit="mm", above=0),
        "steel_uncertainties_mm": Range(
            meaning="standard uncertainty of each steel size", unit="mm", at_least=0
        ),
        "sizes": Range(meaning="which size each is of"),
        "cavities": Range(meaning="which cavity"),
        "directions": Range(meaning="flow, cross or thickness"),
        "trials": Range(meaning="which trial, in order of time"),
        "states": Range(meaning="which tool state"),
        "setup_sd": Range(
            meaning="shrinkage's standard deviation between set-ups expected beforehand, as a fraction",
            above=0,
            usual=(0.0001, 0.002),
            source="common practice, no source",
        ),
    },
    example={
        "parts_mm": [19.85, 19.86, 39.70, 39.71],
        "uncertainties_mm": [0.002] * 4,
        "cavities_mm": [20.0, 20.01, 40.0, 40.0],
        "steel_uncertainties_mm": [0.003] * 4,
        "sizes": ["a", "a", "b", "b"],
        "cavities": ["1", "2", "1", "2"],
        "directions": ["flow"] * 4,
        "trials": ["T1"] * 4,
        "states": ["a"] * 4,
    },
    source="best linear unbiased prediction, Henderson 1975 (Biometrics 31:423); weights as pool_shrinkage",
)
def estimate_process_means(
    parts_mm: Numbers,
    uncertainties_mm: Numbers,
    cavities_mm: Numbers,
    steel_uncertainties_mm: Numbers,
    *,
    sizes: Texts,
    cavities: Texts,
    directions: Texts,
    trials: Texts,
    states: Texts,
    setup_sd: float = SETUP_SD,
) -> ProcessMeans:
    """Where each size would stand on average over set-ups, from all trials of a tool together.

    Shrinkage 1 - P/C = direction + size + cavity of that size + error of its steel measurement + set-up of
    that trial + error of the mean. All but the direction are random; what is known of one size steadies the
    others, and a set-up's shift is not taken for steel. Odd sizes are turned down by Huber weights.

    Returns: ProcessMeans, one entry a size and cavity. Raises: ImpossibleInput for unequal lists;
    NotEnoughData for none.

    Holds when: shrinkage differs little in form between the trials: same resin, same press family.
    """
    data = _Data.of(
        parts_mm,
        uncertainties_mm,
        cavities_mm,
        steel_uncertainties_mm,
        sizes,
        cavities,
        directions,
        trials,
        states,
    )
    pooled, size_weight, between_sizes = _pool_directions(data)
    cavity_sd = _between_cavities_sd(data)
    setup, setup_freedom = _setup_sd(
        data, _expected_setup_sd(setup_sd, between_sizes, len(np.unique(data.codes["size"])))
    )
    share = (
        data.same("size")
        * (between_sizes[:, None] * between_sizes[None, :])
        / np.sqrt(size_weight[:, None] * size_weight[None, :])
    )
    share += data.same("cell") * cavity_sd**2
    steel = data.steel_u / data.cavity_mm
    share += data.same("steel") * steel[:, None] * steel[None, :]
    noise = np.diag((data.mean_u / data.cavity_mm) ** 2)
    covariance = share + data.same("setup") * setup**2 + noise
    estimate, variance = _predict(data, covariance, share)

    last = data.last_of_each_cell()
    by_size = _size_means(data, estimate)
    centre = np.array([pooled[d].value for d in data.label("direction").tolist()])
    return ProcessMeans(
        sizes=tuple(data.label("size")[last].tolist()),
        cavities=tuple(data.label("cavity")[last].tolist()),
        mean_mm=(data.cavity_mm * (1 - estimate))[last],
        sd_mm=(data.cavity_mm * np.sqrt(variance))[last],
        shrinkage=estimate[last],
        size_shrinkage=by_size[last],
        direction_shrinkage=centre[last],
        directions=pooled,
        setup_sd=setup,
        setup_freedom=setup_freedom,
        between_cavities_sd=cavity_sd,
        cautions=tuple(_named(pooled)),
    )


@dataclass(frozen=True, slots=True)
class _Data:
    """The observations as numbered groups."""

    cavity_mm: NDArray[np.float64]
    mean_u: NDArray[np.float64]
    steel_u: NDArray[np.float64]
    shrinkage: NDArray[np.float64]
    labels: dict[str, NDArray[np.str_]]
    codes: dict[str, NDArray[np.intp]]

    @classmethod
    def of(
        cls,
        parts: Numbers,
        mean_u: Numbers,
        cavity: Numbers,
        steel_u: Numbers,
        sizes: Texts,
        cavities: Texts,
        directions: Texts,
        trials: Texts,
        states: Texts,
    ) -> _Data:
        numbers = [np.asarray(one, dtype=float) for one in (parts, mean_u, cavity, steel_u)]
        texts = [np.asarray(one, dtype=np.str_) for one in (sizes, cavities, directions, trials, states)]
        count = numbers[0].size
        if count == 0:
            raise NotEnoughData("no size has both parts and steel measured", remedy="measure the steel sizes")
        for one in (*numbers[1:], *texts):
            if one.size != count:
                raise ImpossibleInput("lists", one.size, "", f"every list must have {count} entries")
        labels = dict(zip(("size", "cavity", "direction", "trial", "state"), texts, strict=True))
        codes = {name: np.unique(label, return_inverse=True)[1] for name, label in labels.items()}
        codes["cell"] = _joined(codes["size"], codes["cavity"])
        codes["steel"] = _joined(codes["cell"], codes["state"])
        codes["setup"] = _joined(codes["direction"], codes["trial"])
        return cls(numbers[2], numbers[1], numbers[3], 1 - numbers[0] / numbers[2], labels, codes)

    def same(self, group: str) -> NDArray[np.float64]:
        """1 where two observations share the group, else 0."""
        code = self.codes[group]
        return np.equal.outer(code, code).astype(np.float64)

    def label(self, name: str) -> NDArray[np.str_]:
        """The label of each observation."""
        return self.labels[name]

    def last_of_each_cell(self) -> NDArray[np.intp]:
        """The last observation of each size and cavity, in order of first appearance."""
        last = {cell: place for place, cell in enumerate(self.codes["cell"].tolist())}
        return np.array(list(last.values()), dtype=np.intp)


def _joined(one: NDArray[np.intp], other: NDArray[np.intp]) -> NDArray[np.intp]:
    joined: NDArray[np.intp] = np.unique(one * (int(other.max()) + 1) + other, return_inverse=True)[1]
    return joined


def _pool_directions(
    data: _Data,
) -> tuple[dict[str, PooledShrinkage], NDArray[np.float64], NDArray[np.float64]]:
    """Pooled shrinkage of each direction; each observation's size weight and between-sizes deviation."""
    weight, between = np.ones(len(data.shrinkage)), np.zeros(len(data.shrinkage))
    pooled = {}
    for direction in np.unique(data.label("direction")):
        here = data.label("direction") == direction
        code = np.unique(data.codes["size"][here], return_inverse=True)[1]
        count = np.bincount(code)
        mean = np.bincount(code, weights=data.shrinkage[here]) / count
        variance = (data.mean_u[here] ** 2 + data.steel_u[here] ** 2) / data.cavity_mm[here] ** 2
        own = np.sqrt(np.bincount(code, weights=variance)) / count
        found = pool_shrinkage(mean, np.maximum(own, 1e-9))
        pooled[str(direction)] = found
        weight[here] = np.maximum(np.array(found.weight), 0.01)[code]
        between[here] = max(found.between_sizes_sd, LEAST_SD) if len(mean) > 2 else SETUP_SD
    return pooled, weight, between


def _between_cavities_sd(data: _Data) -> float:
    """Robust spread between the cavities of one size in one trial, beyond measurement; mean over sizes."""
    group = _joined(data.codes["size"], data.codes["trial"])
    spreads = [
        robust_sd(data.shrinkage[here])
        for one in range(int(group.max()) + 1)
        if (here := group == one).sum() > 1
    ]
    if not spreads:
        return SETUP_SD
    measured = float(np.median((data.mean_u**2 + data.steel_u**2) / data.cavity_mm**2))
    return float(np.sqrt(max(float(np.mean(spreads)) ** 2 - measured, LEAST_SD**2)))


def _expected_setup_sd(usual: float, between_sizes: NDArray[np.float64], sizes: int) -> float:
    """What to expect between set-ups before two are seen.

    The causes that set places apart (pressure, temperature, orientation) also set set-ups apart, so where
    sizes shrink unlike, set-ups are expected to.
    """
    shown = (SETUP_SHARE * float(np.median(between_sizes))) ** 2
    return float(np.sqrt((SETUP_WEIGHT * usual**2 + sizes * shown) / (SETUP_WEIGHT + sizes)))


def _setup_sd(data: _Data, expected: float) -> tuple[float, float]:
    """Spread of whole directions between trials, steadied by what is expected; and its freedom."""
    squares, changes = 0.0, 0.0
    for direction in np.unique(data.codes["direction"]):
        here = data.codes["direction"] == direction
        trial = np.unique(data.codes["trial"][here], return_inverse=True)[1]
        trials = int(trial.max()) + 1
        cell = np.unique(data.codes["cell"][here], return_inverse=True)[1]
        everywhere = (np.bincount(cell) == trials)[cell]
        if trials < 2 or not everywhere.any():
            continue
        shrinkage, variance = np.zeros((2, int(cell.max()) + 1, trials))
        shrinkage[cell, trial] = data.shrinkage[here]
        variance[cell, trial] = (data.mean_u[here] ** 2 + data.steel_u[here] ** 2) / data.cavity_mm[here] ** 2
        kept = np.unique(cell[everywhere])
        # Weighted by how sharply a size shows shrinkage, alike in every trial: long sizes carry this.
        weight = 1 / variance[kept].mean(axis=1)[:, None]
        mean = (weight * shrinkage[kept]).sum(axis=0) / weight.sum()
        noise = float((weight**2 * variance[kept]).sum(axis=0).mean() / weight.sum() ** 2)
        squares += max(float(((mean - mean.mean()) ** 2).sum()) - (trials - 1) * noise, 0.0)
        changes += trials - 1
    freedom = changes + SETUP_WEIGHT
    return float(np.sqrt((squares + SETUP_WEIGHT * expected**2) / freedom)), freedom


def _named(pooled: dict[str, PooledShrinkage]) -> Iterator[Caution]:
    """The cautions of each direction, with its name."""
    for direction, found in pooled.items():
        for caution in found.cautions:
            yield Caution(f"shrinkage, {direction or 'direction not stated'}: {caution.text}", caution.source)


def _predict(
    data: _Data, covariance: NDArray[np.float64], share: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Best linear unbiased prediction of each observation's lasting part, and its variance."""
    fixed = (data.codes["direction"][:, None] == np.unique(data.codes["direction"])[None, :]).astype(float)
    factor = linalg.cho_factor(covariance, lower=True)
    carried = linalg.cho_solve(factor, fixed)
    information = linalg.cho_factor(fixed.T @ carried)
    centre = linalg.cho_solve(information, carried.T @ data.shrinkage)
    estimate = fixed @ centre + share @ linalg.cho_solve(factor, data.shrinkage - fixed @ centre)
    half = linalg.solve_triangular(factor[0], share, lower=True)
    left = fixed - share @ carried
    variance = (
        np.diag(share) - (half**2).sum(axis=0) + (left * linalg.cho_solve(information, left.T).T).sum(axis=1)
    )
    return estimate, np.maximum(variance, 0.0)


def _size_means(data: _Data, estimate: NDArray[np.float64]) -> NDArray[np.float64]:
    """Mean shrinkage of each size over its cavities in their last state, as a median so that one cavity
    stands out."""
    last = data.last_of_each_cell()
    size = data.codes["size"]
    return np.array([float(np.median(estimate[last][size[last] == one])) for one in size])
