"""How much of a size's variation comes from the cavities, the shots, drift, the parts and the gauge."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.limits import CONFIDENCE, VALUES
from offtool.core.inspection.mean_squares import chance_of_ratio
from offtool.core.inspection.variation import pivots
from offtool.core.inspection.variation.sources import Method, Squares, mean_squares
from offtool.core.inspection.variation.table import CAVITIES, SHOTS, Parts, finite, parts_of
from offtool.core.values import Caution, Interval, Range

Array = NDArray[np.float64]
Name = Literal["cavity", "shot", "drift", "part", "gauge"]
FEW_SHOTS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """One source: its variance, its standard deviation, its share of the total.

    `p` is the chance of such a share where the source adds nothing; None where that is not asked.
    """

    source: Name
    variance: float
    sd: float
    of_total: float
    interval: Interval | None
    of_total_interval: Interval | None
    p: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class VariationShares:
    """The shares, from the cavities to the gauge; they add up to the total."""

    shares: tuple[Share, ...]
    total_sd: float
    method: Method
    drift_per_shot: float | None
    readings: int
    cavities: int
    shots: int
    confidence: float
    cautions: tuple[Caution, ...] = ()

    def share(self, source: Name) -> Share | None:
        """The share of a source; None where these readings cannot tell it."""
        return next((one for one in self.shares if one.source == source), None)


@formula(
    limits={
        "values": VALUES,
        "cavities": CAVITIES,
        "shots": SHOTS,
        "gauge_sd": Range(
            meaning="standard deviation of the gauge; blank when there is no gauge study",
            unit="as measured",
            at_least=0,
        ),
        "gauge_freedom": Range(
            meaning="degrees of freedom behind it; blank when it is taken as known", at_least=1
        ),
        "confidence": CONFIDENCE,
    },
    example={
        "values": [4.01, 4.03, 4.02, 4.03, 4.00, 4.02, 4.01, 4.04, 4.02, 4.03, 4.02, 4.05],
        "cavities": ["1", "2"] * 6,
        "shots": [1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 6],
        "gauge_sd": 0.002,
    },
    source="expected mean squares and restricted maximum likelihood as in Searle, Casella and McCulloch "
    "1992, Variance Components; intervals from generalized pivotal quantities (Weerahandi 1993)",
)
def variation_shares(
    values: Numbers,
    cavities: Texts,
    shots: Numbers,
    *,
    gauge_sd: float | None = None,
    gauge_freedom: float | None = None,
    confidence: float = 0.95,
) -> VariationShares:
    """Where the variation of one size comes from: cavity, shot, drift, part or gauge.

    Reading = cavity + slope × shot number + shot + part + gauge. The cavities are those of this tool: their
    variance is that of their own values, sum (c - mean)^2 / (cavities - 1), and so is drift's over the shots
    measured. Shots and parts are random. Where every cavity was measured in every shot the shares come from
    mean squares, else by REML. Several readings of a cavity in a shot are of one part; how they differ
    belongs to the gauge, so that without `gauge_sd` it is in the part's share.

    Returns: VariationShares; a source that cannot be told is left out, with a caution. An estimate below zero
    is zero; its interval says what it can be. Intervals are one source at a time.
    Raises: NotEnoughData where nothing is left to see the parts by.

    Holds when: parts are roughly normal and spread alike in all cavities, and drift is straight. Intervals of
    tables with missing cells rest on unweighted means: good while most cells are filled.
    """
    parts = parts_of(values, cavities, shots)
    squares = mean_squares(parts)
    return _result(parts, squares, gauge_sd, gauge_freedom, confidence)


def _result(
    parts: Parts, found: Squares, gauge_sd: float | None, gauge_freedom: float | None, confidence: float
) -> VariationShares:
    again = parts.again_squares / parts.again_freedom if parts.again_freedom else 0.0
    rest = found.rest + (1 - 1 / parts.per_part) * again
    gauge = None if gauge_sd is None else finite(gauge_sd**2)
    variance: dict[Name, float | None] = {
        "cavity": found.cavity,
        "shot": found.shot,
        "drift": found.drift,
        "part": max(0.0, rest - (gauge or 0.0)),
        "gauge": gauge,
    }
    told = {name: value for name, value in variance.items() if value is not None}
    total = finite(sum(told.values()))
    moves = float(np.square(parts.value).sum()) + parts.again_squares > 0
    draws = _draws(parts, found, gauge, gauge_freedom) if moves else {}
    p = _chances(parts, found) if moves else {}
    total_draws = sum(draws.values(), np.zeros(pivots.DRAWS))
    shares = tuple(
        Share(
            source=name,
            variance=value,
            sd=sqrt(value),
            of_total=value / total if total > 0 else 0.0,
            interval=pivots.interval(np.sqrt(draws[name]), sqrt(value), confidence)
            if moves and (name != "gauge" or gauge_freedom)
            else None,
            of_total_interval=pivots.interval(draws[name] / total_draws, value / total, confidence)
            if moves and total > 0
            else None,
            p=p.get(name),
        )
        for name, value in told.items()
    )
    return VariationShares(
        shares=shares,
        total_sd=sqrt(total),
        method=found.method,
        drift_per_shot=None if found.drift is None else found.slope / float(np.ptp(parts.shots)),
        readings=parts.readings,
        cavities=len(parts.labels),
        shots=len(parts.shots),
        confidence=confidence,
        cautions=tuple(_cautions(parts, found, rest, gauge, moves=moves)),
    )


def _draws(
    parts: Parts, found: Squares, gauge: float | None, gauge_freedom: float | None
) -> dict[Name, Array]:
    """Variances that may be behind what was found, each source in the same draws."""
    # Without any rest the intervals close on what was found.
    least = 1e-20 * (found.rest_squares + found.shot_squares + found.cavity_squares + found.slope_squares)
    least = max(least, 1e-290)
    one = max(found.rest_squares, least) * pivots.inverse_chi_square("part", found.rest_freedom)
    draws: dict[Name, Array] = {}
    if found.cavity is not None:
        unit, freedom = found.cavity_factor * one, len(parts.labels) - 1
        draws["cavity"] = (
            pivots.noncentralities("cavity", found.cavity_squares / unit, freedom) * unit / freedom
        )
    of_line = one
    if found.shot is not None:
        of_line = max(found.shot_squares, least) * pivots.inverse_chi_square("shot", found.shot_freedom)
        draws["shot"] = np.maximum(of_line - found.shot_factor * one, 0.0)
    if found.drift is not None:
        unit = found.slope_factor * of_line
        behind = pivots.noncentralities("drift", found.slope_squares / unit, 1) * unit
        draws["drift"] = behind / (len(parts.shots) - 1)
    rest = one
    if parts.again_freedom:
        again = parts.again_squares * pivots.inverse_chi_square("again", parts.again_freedom)
        rest = one + (1 - 1 / parts.per_part) * again
    if gauge is not None:
        known = np.full(pivots.DRAWS, gauge)
        if gauge_freedom:
            known = gauge * gauge_freedom * pivots.inverse_chi_square("gauge", gauge_freedom)
        draws["gauge"] = known
        rest = np.maximum(rest - known, 0.0)
    draws["part"] = rest
    return draws


def _chances(parts: Parts, found: Squares) -> dict[Name, float]:
    """p of each source, from F."""
    rest = found.rest_squares / found.rest_freedom
    p: dict[Name, float] = {}
    if found.cavity is not None:
        freedom = len(parts.labels) - 1
        p["cavity"] = chance_of_ratio(
            found.cavity_squares / freedom, found.cavity_factor * rest, freedom, found.rest_freedom
        )
    of_line, line_freedom = rest, found.rest_freedom
    if found.shot is not None:
        of_line, line_freedom = found.shot_squares / found.shot_freedom, found.shot_freedom
        p["shot"] = chance_of_ratio(of_line, found.shot_factor * rest, line_freedom, found.rest_freedom)
    if found.drift is not None:
        p["drift"] = chance_of_ratio(found.slope_squares, found.slope_factor * of_line, 1, line_freedom)
    return p


def _cautions(
    parts: Parts, found: Squares, rest: float, gauge: float | None, *, moves: bool
) -> list[Caution]:
    cautions = []
    count, width = len(parts.shots), len(parts.labels)
    if not moves:
        cautions.append(Caution("all readings are equal: the gauge is too coarse to see any variation"))
    if width == 1:
        cautions.append(Caution("one cavity: its share is not asked, and shots cannot be told from parts"))
    elif found.shot is None:
        cautions.append(Caution("hardly two cavities of a shot measured: shots cannot be told from parts"))
    if found.drift is None:
        cautions.append(Caution(f"{count} shots: drift cannot be told from what single shots do"))
    elif count < FEW_SHOTS:
        cautions.append(Caution(f"{count} shots say little: measure at least {FEW_SHOTS}, better ten"))
    if "" in parts.labels:
        cautions.append(Caution("cavity not recorded: a bad cavity cannot be told from spread"))
    if gauge is None:
        cautions.append(Caution("no gauge study: the parts' share holds what the gauge adds"))
    elif gauge > rest:
        cautions.append(
            Caution(
                "the gauge study says more than all that is left here: look whether it was the same gauge"
            )
        )
    return cautions
