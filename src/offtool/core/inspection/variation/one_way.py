"""One-way analysis of variance: whether groups differ by more than their own spread explains."""

from __future__ import annotations

from dataclasses import dataclass
from math import fsum, inf, sqrt

import numpy as np
from scipy import special

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.limits import VALUES
from offtool.core.inspection.variation.table import coded, finite
from offtool.core.values import Caution, NotEnoughData, Range

GROUPS = Range(meaning="group of each reading: cavity, batch, operator")


@dataclass(frozen=True, slots=True, kw_only=True)
class OneWayAnova:
    """The table; `f` is infinite where groups differ and nothing spreads inside them."""

    between_squares: float
    between_freedom: int
    between_mean_square: float
    within_squares: float
    within_freedom: int
    within_mean_square: float
    f: float
    p: float
    r_squared: float
    residual_sd: float
    groups: int
    readings: int
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={"values": VALUES, "groups": GROUPS},
    example={"values": [4.01, 4.02, 4.01, 3.99, 3.98, 4.00], "groups": ["1", "1", "1", "2", "2", "2"]},
    source="NIST/SEMATECH e-Handbook 7.4.3; certified tables of NIST StRD in the tests",
)
def one_way_anova(values: Numbers, groups: Texts) -> OneWayAnova:
    """Whether groups differ by more than the spread inside them explains.

    F = (between squares / (groups - 1)) / (within squares / (readings - groups)). Readings are taken from the
    first one and summed exactly, so that leading digits that all share cost nothing.

    Returns: OneWayAnova. Raises: ImpossibleInput for unequal lists; NotEnoughData for one group, or none with
    two readings.

    Holds when: readings are independent and groups spread alike and roughly normally.

    Example: NIST StRD SiRstv gives F 1.18046237440255.
    """
    reading = np.asarray(values, dtype=float)
    codes, labels = coded(groups, reading.size, "groups")
    between_freedom, within_freedom = len(labels) - 1, reading.size - len(labels)
    if between_freedom < 1 or within_freedom < 1:
        raise NotEnoughData(
            f"{len(labels)} group{'s' * (len(labels) != 1)} of {reading.size} readings: nothing to compare",
            remedy="give at least two groups, one of them with two readings",
        )
    apart = reading - reading[0]
    finite(float(np.square(apart).sum()))
    members = np.split(apart[np.argsort(codes, kind="stable")], np.cumsum(np.bincount(codes))[:-1])
    centre = fsum(apart) / apart.size
    means = [fsum(group) / group.size for group in members]
    between = fsum(group.size * (mean - centre) ** 2 for group, mean in zip(members, means, strict=True))
    within = fsum(fsum((group - mean) ** 2) for group, mean in zip(members, means, strict=True))
    square, rest = between / between_freedom, within / within_freedom
    # Readings that are equal in every group: rounding of the means is no difference.
    f = square / rest if rest > 0 else inf if between > 0 else 0.0
    return OneWayAnova(
        between_squares=between,
        between_freedom=between_freedom,
        between_mean_square=square,
        within_squares=within,
        within_freedom=within_freedom,
        within_mean_square=rest,
        f=f,
        p=0.0 if f == inf else float(special.fdtrc(between_freedom, within_freedom, f)),
        r_squared=between / (between + within) if between + within > 0 else 0.0,
        residual_sd=sqrt(rest),
        groups=len(labels),
        readings=reading.size,
        cautions=tuple(_cautions(within, between)),
    )


def _cautions(within: float, between: float) -> list[Caution]:
    if within > 0:
        return []
    if between > 0:
        return [Caution("readings are equal inside every group: the gauge is too coarse to see their spread")]
    return [Caution("all readings are equal: the gauge is too coarse to see any difference")]
