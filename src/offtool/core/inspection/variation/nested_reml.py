"""Groups, subgroups and readings as a tree, and the variances that make it likeliest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import optimize

Array = NDArray[np.float64]
LEAST_SHARE = 1e-9


@dataclass(frozen=True, slots=True)
class Tree:
    """Means and sizes of the leaves (the innermost groups), the group of each, and squares left inside."""

    leaf_mean: Array
    leaf_size: Array
    leaf_group: NDArray[np.intp]
    group_size: Array
    """Leaves in each group; with one level every group is one leaf."""
    rest_squares: float
    two_levels: bool

    @classmethod
    def of(cls, values: Array, group: NDArray[np.intp], inner: NDArray[np.intp] | None) -> Tree:
        """From coded readings; `inner` numbers the subgroups over all groups."""
        leaf = group if inner is None else inner
        size = np.bincount(leaf).astype(float)
        mean = np.bincount(leaf, values) / size
        leaf_group = np.zeros(size.size, dtype=np.intp)
        leaf_group[leaf] = group
        return cls(
            leaf_mean=mean,
            leaf_size=size,
            leaf_group=leaf_group,
            group_size=np.bincount(leaf_group).astype(float),
            rest_squares=float(np.square(values - mean[leaf]).sum()),
            two_levels=inner is not None,
        )

    @property
    def readings(self) -> int:
        return int(self.leaf_size.sum())

    @property
    def balanced(self) -> bool:
        return bool(np.ptp(self.leaf_size) == 0 and np.ptp(self.group_size) == 0)

    @property
    def group_mean(self) -> Array:
        """Unweighted means of the leaves."""
        return np.asarray(np.bincount(self.leaf_group, self.leaf_mean) / self.group_size)

    @property
    def between_squares(self) -> float:
        return float(np.square(self.group_mean - self.group_mean.mean()).sum())

    @property
    def inside_squares(self) -> float:
        return float(np.square(self.leaf_mean - self.group_mean[self.leaf_group]).sum())

    @property
    def inside_in_between(self) -> float:
        """Part of a subgroup's variance in that of a group mean."""
        return float((1 / self.group_size).mean())

    @property
    def rest_in_between(self) -> float:
        """Part of the rest's variance in that of a group mean."""
        each = np.bincount(self.leaf_group, 1 / self.leaf_size) / self.group_size**2
        return float(each.mean())

    @property
    def rest_in_inside(self) -> float:
        """Part of the rest's variance in the mean square of subgroup means inside groups."""
        weight = (1 - 1 / self.group_size)[self.leaf_group]
        freedom = len(self.leaf_size) - len(self.group_size)
        return float((weight / self.leaf_size).sum() / freedom) if freedom else 0.0

    @property
    def units(self) -> list[float]:
        """Readings behind one mean of each level (harmonic), which turn squares of means into the table's."""
        leaf = float(1 / (1 / self.leaf_size).mean())
        inner = [leaf] if self.two_levels else []
        return [1 / self.rest_in_between, *inner, 1.0]

    def mean(self, variances: list[float]) -> float:
        """The mean, groups weighted by how well each is known; nothing known of any weighs them alike."""
        weight, mean = self._groups(np.asarray(variances) / (sum(variances) or 1.0))
        return float((weight * mean).sum() / weight.sum())

    def _groups(self, variances: Array) -> tuple[Array, Array]:
        """Weight and weighted mean of each group under variances of groups, (subgroups,) rest."""
        rest = max(float(variances[-1]), LEAST_SHARE)
        inside = float(variances[1]) if self.two_levels else 0.0
        leaf = 1 / (inside + rest / self.leaf_size)
        inner = np.bincount(self.leaf_group, leaf)
        mean = np.bincount(self.leaf_group, leaf * self.leaf_mean) / inner
        return np.asarray(1 / (variances[0] + 1 / inner)), np.asarray(mean)

    def deviance(self, variances: Array) -> float:
        """-2 log restricted likelihood but for a constant; leaves inside groups, groups round the mean."""
        rest = max(float(variances[-1]), LEAST_SHARE)
        inside = float(variances[1]) if self.two_levels else 0.0
        leaf = 1 / (inside + rest / self.leaf_size)
        inner = np.bincount(self.leaf_group, leaf)
        weight, mean = self._groups(variances)
        centre = (weight * mean).sum() / weight.sum()
        freedom = self.readings - len(self.leaf_size)
        logs = freedom * np.log(rest) - np.log(leaf).sum() + np.log(inner).sum()
        logs += -np.log(weight).sum() + np.log(weight.sum())
        squares = self.rest_squares / rest + (leaf * (self.leaf_mean - mean[self.leaf_group]) ** 2).sum()
        return float(logs + squares + (weight * (mean - centre) ** 2).sum())


def likeliest_variances(tree: Tree, start: list[float]) -> list[float]:
    """Restricted maximum likelihood from a start, in units of its total; standard deviations are searched,
    so that zero is no edge."""
    total = sum(start)
    scaled = Tree(
        leaf_mean=tree.leaf_mean / np.sqrt(total),
        leaf_size=tree.leaf_size,
        leaf_group=tree.leaf_group,
        group_size=tree.group_size,
        rest_squares=tree.rest_squares / total,
        two_levels=tree.two_levels,
    )

    def lost(root: Array) -> float:
        return scaled.deviance(root**2)

    first = np.sqrt(np.maximum(np.asarray(start) / total, 0.01))
    near = optimize.minimize(lost, first, method="L-BFGS-B", tol=1e-12)
    found = optimize.minimize(lost, np.asarray(near.x, dtype=float), method="Nelder-Mead", tol=1e-10)
    return [float(one) ** 2 * total for one in found.x]
