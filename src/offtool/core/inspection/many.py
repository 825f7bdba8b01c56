"""Many tests at once: how many alarms are false by chance alone, and which stand all the same."""

from __future__ import annotations

from dataclasses import dataclass
from math import expm1, log1p

import numpy as np
from numpy.typing import NDArray

from offtool.core.formulas import Numbers, formula
from offtool.core.values import Caution, Range

SIGNIFICANCE = Range(meaning="how often one test alarms where there is nothing", above=0, below=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class FalseAlarms:
    """False alarms on average, and how likely there is at least one if the tests are independent."""

    expected: float
    chance_of_any: float
    tests: int
    significance: float
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FalseDiscoveries:
    """Which findings stand: `stands` and `adjusted` are in the order given; `positions` are those that do."""

    stands: NDArray[np.bool_]
    adjusted: NDArray[np.float64]
    positions: tuple[int, ...]
    tested: int
    rate: float
    dependent: bool
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "tests": Range(meaning="number of tests", at_least=0, at_most=10**12),
        "significance": SIGNIFICANCE,
    },
    example={"tests": 400, "significance": 0.05},
    source="mean of a binomial count",
)
def expected_false_alarms(tests: int, significance: float = 0.05) -> FalseAlarms:
    """How many of so many tests alarm although there is nothing.

    tests * a on average, whether they depend on each other or not; at least one with probability
    1 - (1 - a)^tests if they do not.

    Returns: FalseAlarms.

    Example: 20 tests at 0.05 give one on average, and at least one with probability 0.64.
    """
    return FalseAlarms(
        expected=tests * significance,
        chance_of_any=-expm1(tests * log1p(-significance)),
        tests=int(tests),
        significance=significance,
    )


@formula(
    limits={
        "p_values": Range(
            meaning="p of each test",
            at_least=0,
            at_most=1,
            remedy="leave out tests that could not be run, and say so",
        ),
        "rate": Range(meaning="share of false ones among what stands, on average", above=0, below=1),
        "dependent": Range(
            meaning="yes: whatever the tests have in common; no: they are independent, or rise together"
        ),
    },
    example={"p_values": [0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.324]},
    source="Benjamini and Hochberg 1995, J. R. Statist. Soc. B 57:289; "
    "Benjamini and Yekutieli 2001, Ann. Statist. 29:1165 where dependent",
)
def control_false_discoveries(
    p_values: Numbers, *, rate: float = 0.05, dependent: bool = False
) -> FalseDiscoveries:
    """Which of many findings stand, so that no more than a share of them is false on average.

    Sorted p_(1) <= ... <= p_(m): adjusted is the least of c m p_(j) / j over j >= i, c = 1, or
    1 + 1/2 + ... + 1/m for tests that depend on each other in any way; what is at most the rate stands.

    Returns: FalseDiscoveries. Raises: ImpossibleInput for a p that is no number or not from 0 to 1.

    Example: of the 15 p-values of Benjamini and Hochberg 1995 the four smallest stand at 0.05.
    """
    p = np.asarray(p_values, dtype=float)
    order = np.argsort(p, kind="stable")
    rank = np.arange(1, p.size + 1)
    factor = p.size * (float((1 / rank).sum()) if dependent else 1.0)
    rising = np.minimum.accumulate((p[order] * factor / rank)[::-1])[::-1]
    adjusted = np.empty(p.size)
    adjusted[order] = np.minimum(rising, 1.0)
    stands = adjusted <= rate
    return FalseDiscoveries(
        stands=stands,
        adjusted=adjusted,
        positions=tuple(int(position) for position in np.flatnonzero(stands)),
        tested=p.size,
        rate=rate,
        dependent=bool(dependent),
        cautions=() if p.size else (Caution("no tests: nothing can stand"),),
    )
