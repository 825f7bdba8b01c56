"""Sizes in a row that add up to a gap: worst case, root of the sum of squares, and who moves it most."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.joints.evidence import JointEvidence, Link
from offtool.core.joints.response import JointModel, Materials, Response, Sizes, Values
from offtool.core.values import Caution, ImpossibleInput, NotEnoughData, Range
from offtool.handbook.terms import JointKind

SIGMAS = 3.0
"""Standard deviations that a ± stands for: the whole range is 6 s. Common practice, no source."""
USUAL_FACTORS = (0.5, 1.0, 2.0)
LENGTH = "mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkShare:
    """One size of a chain: mm of gap a unit of size, its share of the worst case and of the variance."""

    name: str
    value: float
    plus_minus: float
    unit: str
    slope: float
    share_of_worst: float
    share_of_variance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GapFinding:
    """A gap with its ends. `sd` counts each ± as three standard deviations, `sd_even` as an even spread.

    `outside` is the share of gaps past a limit with `sd`, normal; None without a limit, as is `worst_holds`.
    """

    gap: float
    worst_low: float
    worst_high: float
    rss_low: float
    rss_high: float
    sd: float
    sd_even: float
    links: tuple[LinkShare, ...]
    worst_holds: bool | None
    outside: float | None
    lower: float | None
    upper: float | None
    cautions: tuple[Caution, ...] = ()


PLUS_MINUS = Range(meaning="give or take of each size; three standard deviations", at_least=0)
GAP_LOWER = Range(meaning="least gap allowed; blank when there is none", unit="mm")
GAP_UPPER = Range(meaning="largest gap allowed; blank when there is none", unit="mm")
LINK_NAMES = Range(meaning="name of each size; numbered where left out")


@formula(
    limits={
        "values": Range(meaning="sizes in the row", unit="mm"),
        "plus_minus": PLUS_MINUS,
        "factors": Range(
            meaning="+1 where a larger size opens the gap, −1 where it closes it", unit="mm/mm", usual=(-2, 2)
        ),
        "names": LINK_NAMES,
        "units": Range(meaning="unit of each size; all mm where left out"),
        "lower": GAP_LOWER,
        "upper": GAP_UPPER,
    },
    example={
        "values": [40.0, 25.0, 2.0, 10.0],
        "plus_minus": [0.1, 0.05, 0.03, 0.05],
        "factors": [1, -1, -1, -1],
        "names": ["bore depth", "spacer", "washer", "shoulder"],
        "lower": 2.8,
        "upper": 3.2,
    },
    source="errors of a sum, to first order exact; ± as 3 s by common practice, no source",
)
def chain_of_sizes(
    values: Numbers,
    plus_minus: Numbers,
    factors: Numbers,
    *,
    names: Texts = (),
    units: Texts = (),
    lower: float | None = None,
    upper: float | None = None,
) -> GapFinding:
    """The gap that sizes in a row leave, at worst and as pieces come.

    gap = sum f_i x_i. Worst case: ± sum |f_i| t_i. Root of the sum of squares: ± sqrt(sum (f_i t_i)^2), three
    standard deviations of the gap where each ± is three of its size (6 s over the whole range). Where sizes
    lie evenly over their ±, the standard deviation is sqrt(3) times larger.

    Returns: GapFinding. Raises: ImpossibleInput for lists of unequal length, a factor of 0, a unit that is
    not mm, limits that cross.

    Holds when: sizes go their own ways (for the squares); means lie in the middle of their ±.

    Example: 40 ± 0.10 less 25 ± 0.05, 2 ± 0.03 and 10 ± 0.05 leaves 3.00 mm, at worst ± 0.23 (by hand).
    """
    x, reach, slopes = (np.asarray(one, dtype=float) for one in (values, plus_minus, factors))
    labels = named(names, x.size)
    require_equal(x, plus_minus=reach, factors=slopes)
    for name, slope in zip(labels, slopes, strict=True):
        require_factor(name, float(slope))
    if len(units):
        require_equal(x, units=np.empty(len(units)))
        require_lengths(dict(zip(labels, units, strict=True)))
    gap, worst = float(slopes @ x), float(np.abs(slopes) @ reach)
    return gap_finding(
        gap,
        (gap - worst, gap + worst),
        labels=labels,
        values=x,
        reach=reach,
        slopes=slopes,
        units=[LENGTH] * x.size,
        lower=lower,
        upper=upper,
    )


def gap_finding(
    gap: float,
    worst: tuple[float, float],
    *,
    labels: Sequence[str],
    values: Values,
    reach: Values,
    slopes: Values,
    units: Sequence[str],
    lower: float | None,
    upper: float | None,
    cautions: tuple[Caution, ...] = (),
) -> GapFinding:
    """The finding from the gap, its worst ends, and the slopes at the middle."""
    if lower is not None and upper is not None and not lower < upper:
        raise ImpossibleInput("lower", lower, "mm", f"must be below the upper limit {upper:g}", "swap them")
    moves = np.abs(slopes * reach)
    largest = float(moves.max(initial=0.0))
    rss = largest * float(np.sqrt(((moves / largest) ** 2).sum())) if largest > 0 else 0.0
    return GapFinding(
        gap=gap,
        worst_low=worst[0],
        worst_high=worst[1],
        rss_low=gap - rss,
        rss_high=gap + rss,
        sd=rss / SIGMAS,
        sd_even=rss / sqrt(3),
        links=tuple(_shares(labels, values, reach, slopes, units, moves)),
        worst_holds=_within(worst, lower, upper),
        outside=_outside(gap, rss / SIGMAS, lower, upper),
        lower=lower,
        upper=upper,
        cautions=cautions,
    )


def chain_model(links: Sequence[Link]) -> JointModel:
    """How a chain of these links answers."""
    factors = tuple((link.role, link.factor) for link in links)

    def respond(sizes: Sizes, materials: Materials, friction: Values) -> Response:
        gap: Values = np.zeros(())
        for role, factor in factors:
            size = np.asarray(sizes[role], dtype=float)
            gap = gap + (size if factor == 1 else factor * size)
        return Response(measure=np.asarray(gap), strain_use=np.zeros(np.shape(gap)))

    return JointModel(kind=JointKind.CHAIN, respond=respond)


def require_chain(evidence: JointEvidence) -> tuple[Caution, ...]:
    """Refuse links that make no chain; cautions for factors that are rare."""
    require_links(evidence)
    cautions = []
    for link in evidence.links:
        require_factor(link.role, link.factor)
        if link.role == evidence.gap:
            raise ImpossibleInput(
                "links", link.role, "", "is the gap: it is what the others add up to", "leave it out"
            )
        if link.angle_role or link.angle_deg is not None:
            raise ImpossibleInput(
                "links",
                link.role,
                "",
                "has an angle: a chain lies in one line and holds lengths only",
                "take a loop, or give the factor",
            )
        if abs(link.factor) not in USUAL_FACTORS:
            cautions.append(
                Caution(f"{link.role} counts {link.factor:g} times in the gap: usual are ±1, and ±½ or ±2")
            )
    return tuple(cautions)


def require_links(evidence: JointEvidence) -> None:
    """Refuse a chain or loop without links, or with a size in two of them."""
    if not evidence.links:
        raise NotEnoughData("no size is in the chain", remedy="name each size with its factor or direction")
    names = [link.role for link in evidence.links]
    for name in names:
        if names.count(name) > 1:
            raise ImpossibleInput("links", name, "", "is in the chain twice", "put both factors into one")


def require_factor(name: str, factor: float) -> None:
    """Refuse a factor that lets a size move nothing."""
    if not isfinite(factor) or factor == 0:
        raise ImpossibleInput(
            "factors", factor, "mm/mm", f"{name} must open (+1) or close (−1) the gap", "or leave it out"
        )


def require_lengths(units: Mapping[str, str]) -> None:
    """Refuse an angle, or another unit, among lengths in mm."""
    for name, unit in units.items():
        if unit != LENGTH:
            raise ImpossibleInput(
                "units",
                unit or "none",
                "",
                f"{name} must be in mm as the others",
                "convert it, or take a loop",
            )


def require_equal(first: Values, **others: NDArray[np.float64]) -> None:
    """Refuse an empty list, or others that are not as long."""
    if first.size == 0:
        raise NotEnoughData("no size is in the chain", remedy="give at least one")
    for name, other in others.items():
        if other.size != first.size:
            raise ImpossibleInput(name, other.size, "", f"must be one for each of {first.size} sizes")


def named(names: Texts, count: int) -> tuple[str, ...]:
    """The names given, or numbers."""
    if len(names) == 0:
        return tuple(f"size {i + 1}" for i in range(count))
    if len(names) != count:
        raise ImpossibleInput("names", len(names), "", f"must be one for each of {count} sizes")
    return tuple(str(name) for name in names)


def _shares(
    labels: Sequence[str],
    values: Values,
    reach: Values,
    slopes: Values,
    units: Sequence[str],
    moves: Values,
) -> list[LinkShare]:
    largest = float(moves.max(initial=0.0))
    even = moves / largest if largest > 0 else moves
    total, squares = float(even.sum()), float((even**2).sum())
    return [
        LinkShare(
            name=label,
            value=float(values[i]),
            plus_minus=float(reach[i]),
            unit=units[i],
            slope=float(slopes[i]),
            share_of_worst=float(even[i] / total) if total > 0 else 0.0,
            share_of_variance=float(even[i] ** 2 / squares) if squares > 0 else 0.0,
        )
        for i, label in enumerate(labels)
    ]


def _within(worst: tuple[float, float], lower: float | None, upper: float | None) -> bool | None:
    if lower is None and upper is None:
        return None
    return (lower is None or worst[0] >= lower) and (upper is None or worst[1] <= upper)


def _outside(gap: float, sd: float, lower: float | None, upper: float | None) -> float | None:
    if lower is None and upper is None:
        return None
    if sd == 0:
        return float((lower is not None and gap < lower) or (upper is not None and gap > upper))
    below = float(special.ndtr((lower - gap) / sd)) if lower is not None else 0.0
    above = float(special.ndtr((gap - upper) / sd)) if upper is not None else 0.0
    return below + above
