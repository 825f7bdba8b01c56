"""Which cavities differ, and by how much."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.limits import CONFIDENCE, VALUES
from offtool.core.inspection.variation.means import Means, Method, of_parts, of_readings
from offtool.core.inspection.variation.table import CAVITIES, centred, coded, parts_of
from offtool.core.values import Caution, ImpossibleInput, Interval, NotEnoughData, Range


@dataclass(frozen=True, slots=True, kw_only=True)
class PairDifference:
    """First less second; interval and p hold for all pairs at once."""

    first: str
    second: str
    difference: float
    interval: Interval
    p: float

    @property
    def told_apart(self) -> bool:
        """Whether the two differ by more than chance."""
        return 0.0 not in self.interval


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityOffset:
    """One cavity less the mean of all cavities; interval and p hold for all cavities at once."""

    cavity: str
    mean: float
    offset: float
    interval: Interval
    p: float

    @property
    def stands_out(self) -> bool:
        """Whether the cavity lies off the mean of all for sure."""
        return 0.0 not in self.interval


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityDifferences:
    """Whether cavities are alike, every pair, and every cavity against the mean of all.

    `sd` is the pooled spread of parts (without their shots where those are blocks); None where spreads are
    unlike. `offsets_exact` is False where the intervals of the offsets are on the safe side.
    """

    alike_p: float
    pairs: tuple[PairDifference, ...]
    offsets: tuple[CavityOffset, ...]
    method: Method
    sd: float | None
    offsets_exact: bool
    readings: int
    cavities: int
    shots: int | None
    confidence: float
    cautions: tuple[Caution, ...] = ()

    @property
    def told_apart(self) -> tuple[PairDifference, ...]:
        """The pairs that differ by more than chance."""
        return tuple(pair for pair in self.pairs if pair.told_apart)


@formula(
    limits={
        "values": VALUES,
        "cavities": CAVITIES,
        "shots": Range(meaning="shot number of each reading; blank when not recorded", at_least=0),
        "confidence": CONFIDENCE,
    },
    example={
        "values": [4.01, 4.02, 4.01, 3.99, 3.98, 4.00, 4.02, 4.03, 4.02],
        "cavities": ["1", "1", "1", "2", "2", "2", "3", "3", "3"],
    },
    source="Tukey and Kramer, Games and Howell 1976, analysis of means (Nelson, Wludyka and Copeland 2005); "
    "NIST/SEMATECH e-Handbook 7.4.7.1",
)
def cavity_differences(
    values: Numbers, cavities: Texts, *, shots: Numbers | None = None, confidence: float = 0.95
) -> CavityDifferences:
    """Which cavities differ, and by how much.

    Pairs: difference ± q(k, f) s sqrt((1/n + 1/m) / 2), q the studentized range. Where spreads are unlike
    each pair goes by its own two (Games and Howell, Welch's freedom). With `shots`, what a shot does to all
    its cavities is taken out (least squares, shots as blocks); unlike spreads then go by paired differences
    and Bonferroni. Against the mean of all: exact analysis of means where all cavities are equally well
    known, else the studentized maximum modulus, on the safe side.

    Returns: CavityDifferences. Raises: ImpossibleInput for unequal lists; NotEnoughData for one cavity, or
    where no cavity has two parts.

    Holds when: parts are roughly normal. The mean of all counts each cavity once, however many its parts.
    """
    reading = np.asarray(values, dtype=float)
    codes, labels = coded(cavities, reading.size, "cavities")
    if len(labels) < 2:
        raise NotEnoughData("one cavity has none to differ from", remedy="measure a second cavity")
    found, cautions = None, []
    if shots is not None:
        if len(shots) != reading.size:
            raise ImpossibleInput(
                "shots", len(shots), "", f"must name one for each of {reading.size} readings"
            )
        parts = parts_of(reading, cavities, shots)
        found = of_parts(parts)
        if found is None:
            cautions.append(Caution("shots do not link the cavities: their movement is not taken out"))
        elif not parts.complete:
            cautions.append(
                Caution("cavities missing in some shots: intervals of pairs are on the safe side")
            )
    if found is None:
        apart, centre = centred(reading)
        found = of_readings(apart, codes, labels)
        if found is None:
            raise NotEnoughData(
                "no cavity has two parts: differences cannot be told from spread",
                remedy="measure at least two parts a cavity",
            )
    else:
        centre = 0.0
    if "" in labels:
        cautions.append(Caution("cavity not recorded: its readings count as a cavity of their own"))
    if not found.pair_variance.any():
        cautions.append(
            Caution("parts of a cavity are all equal: the gauge is too coarse to see their spread")
        )
    return CavityDifferences(
        alike_p=found.alike_p,
        pairs=_pairs(found, labels, confidence),
        offsets=offsets_of(found, labels, centre, confidence),
        method=found.method,
        sd=found.sd,
        offsets_exact=found.even or len(labels) == 2,
        readings=reading.size,
        cavities=len(labels),
        shots=None if shots is None else len(np.unique(np.asarray(shots, dtype=float))),
        confidence=confidence,
        cautions=tuple(cautions),
    )


def _pairs(found: Means, labels: tuple[str, ...], confidence: float) -> tuple[PairDifference, ...]:
    i, j = np.triu_indices(len(labels), 1)
    difference, reach = found.mean[i] - found.mean[j], found.pair_reach(i, j, confidence)
    p = found.pair_chances(i, j)
    return tuple(
        PairDifference(
            first=labels[a],
            second=labels[b],
            difference=float(d),
            interval=Interval(low=float(d - r), high=float(d + r), confidence=confidence),
            p=float(chance),
        )
        for a, b, d, r, chance in zip(i, j, difference, reach, p, strict=True)
    )


def offsets_of(
    found: Means, labels: tuple[str, ...], centre: float, confidence: float
) -> tuple[CavityOffset, ...]:
    """Each cavity against the mean of all; `centre` was taken off the readings before."""
    offset, reach, p = found.offset, found.offset_reach(confidence), found.offset_chances()
    return tuple(
        CavityOffset(
            cavity=label,
            mean=float(centre + found.mean[i]),
            offset=float(offset[i]),
            interval=Interval(
                low=float(offset[i] - reach[i]), high=float(offset[i] + reach[i]), confidence=confidence
            ),
            p=float(p[i]),
        )
        for i, label in enumerate(labels)
    )
