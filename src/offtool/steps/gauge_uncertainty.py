"""The standard uncertainty of one reading of a gauge, and where it comes from.

From the study that counts: repeatability and reproducibility, with bias and reference from a reference study
where there is one; else as it was entered, where a study is named; else not known. Repeatability counts for
no less than the gauge's own step over the square root of 12 (JCGM 100:2008 (GUM), F.2.2.1).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import hypot, sqrt

from offtool.core.inspection.gauge import GaugeStudy as SpreadFound
from offtool.core.inspection.gauge import ReferenceStudy, UncertaintyPart
from offtool.core.inspection.mean_squares import MeanSquare
from offtool.core.values import OfftoolError
from offtool.handbook.terms import StudyKind
from offtool.records.models import Characteristic, Gauge, GaugeReading, GaugeStudy
from offtool.records.queries import choose_study, readings_of_studies, studies_of_gauges
from offtool.steps.kept_studies import result_of

REFERENCE = (StudyKind.REFERENCE.value,)
BIAS, KNOWN = "bias", "reference"

Results = dict[int, SpreadFound | ReferenceStudy]
Readings = Mapping[int, Sequence[GaugeReading]]
"""By the key of their study."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeUncertainty:
    """The standard uncertainty of one reading, in the unit of the size."""

    value: float
    says: str
    """Where it comes from, in words."""
    studies: tuple[str, ...]
    """Names of the studies it rests on; none where it was entered."""
    freedom: float | None
    """Degrees of freedom behind it; None where it is taken as well known."""
    parts: tuple[UncertaintyPart, ...]
    repeatability: MeanSquare | None = None
    """What one person reading one part again adds to the variance; None where no study shows it."""

    @property
    def scatter(self) -> float:
        """Standard deviation of reading one part again: bias and reference do not scatter.

        Where no study tells it apart, the whole uncertainty.
        """
        return sqrt(self.repeatability.value) if self.repeatability is not None else self.value

    @property
    def scatter_freedom(self) -> float | None:
        """Degrees of freedom behind it; None where it is taken as well known."""
        return self.repeatability.freedom if self.repeatability is not None else self.freedom


def gauge_uncertainties_of(characteristics: Collection[Characteristic]) -> dict[int, GaugeUncertainty]:
    """What verdicts on sizes take their gauges to have, by the keys of the sizes: two queries, however many.

    A size whose gauge is not known, or of which nothing is known, is left out.
    """
    with_gauge = [one for one in characteristics if one.gauge is not None]
    studies = studies_of_gauges({one.gauge_id for one in with_gauge if one.gauge_id is not None})
    chosen = {one.pk: _chosen(one, studies.get(one.gauge_id or 0, [])) for one in with_gauge}
    used = {study.pk: study for pair in chosen.values() for study in pair if study is not None}
    steps = {one.gauge_id: one.gauge.resolution for one in with_gauge if one.gauge is not None}
    results = _results(used.values(), readings_of_studies(list(used.values())), steps)
    found = {one.pk: _uncertainty(one.gauge, *chosen[one.pk], results) for one in with_gauge}
    return {key: one for key, one in found.items() if one is not None}


def gauge_uncertainty_of(gauge: Gauge) -> GaugeUncertainty | None:
    """What a gauge is taken to have by its studies of any size: for readings that are of no one size."""
    studies = studies_of_gauges({gauge.pk}).get(gauge.pk, [])
    spread, known = choose_study(studies), choose_study(studies, kinds=REFERENCE)
    used = [one for one in (spread, known) if one is not None]
    results = _results(used, readings_of_studies(used), {gauge.pk: gauge.resolution})
    return _uncertainty(gauge, spread, known, results)


def gauge_uncertainty_by(
    characteristic: Characteristic,
    gauge: Gauge,
    newest_first: Sequence[GaugeStudy],
    readings: Readings,
) -> GaugeUncertainty | None:
    """The same for one size, by the studies of its gauge and their readings that are at hand."""
    spread, known = _chosen(characteristic, newest_first)
    used = [one for one in (spread, known) if one is not None]
    return _uncertainty(gauge, spread, known, _results(used, readings, {gauge.pk: gauge.resolution}))


def _chosen(
    characteristic: Characteristic, newest_first: Sequence[GaugeStudy]
) -> tuple[GaugeStudy | None, GaugeStudy | None]:
    """The study of spread and the study on a reference part that count for a size."""
    return choose_study(newest_first, characteristic), choose_study(
        newest_first, characteristic, kinds=REFERENCE
    )


def _results(studies: Iterable[GaugeStudy], readings: Readings, steps: Mapping[int | None, float]) -> Results:
    """What each study says; one that says nothing, such as readings all equal, is left out."""
    found: Results = {}
    for study in studies:
        result = _result(study, readings[study.pk], steps.get(study.gauge_id))
        if result is not None:
            found[study.pk] = result
    return found


def _result(
    study: GaugeStudy, readings: Sequence[GaugeReading], resolution: float | None
) -> SpreadFound | ReferenceStudy | None:
    try:
        found = result_of(study, readings, resolution=resolution)
    except OfftoolError:
        return None
    return found if isinstance(found, SpreadFound | ReferenceStudy) else None


def _uncertainty(
    gauge: Gauge | None, spread: GaugeStudy | None, known: GaugeStudy | None, results: Results
) -> GaugeUncertainty | None:
    if gauge is None:
        return None
    of_spread = results.get(spread.pk) if spread is not None else None
    of_known = results.get(known.pk) if known is not None else None
    reference = of_known if isinstance(of_known, ReferenceStudy) else None
    if isinstance(of_spread, SpreadFound) and spread is not None:
        return _from_studies(gauge, spread, of_spread, known, reference)
    if reference is not None and known is not None:
        return GaugeUncertainty(
            value=reference.standard_uncertainty,
            says=f"reference study {known.name}: one person only, what differs between people is not in it",
            studies=(known.name,),
            freedom=_freedom(reference.standard_uncertainty, reference.sd, reference.freedom),
            parts=reference.uncertainty_parts,
            repeatability=_square(reference.sd, reference.freedom),
        )
    if gauge.study:
        part = UncertaintyPart(source="as entered", standard_uncertainty=gauge.uncertainty)
        return GaugeUncertainty(
            value=gauge.uncertainty,
            says=f"as entered: {gauge.study}",
            studies=(),
            freedom=None,
            parts=(part,),
        )
    return None


def _from_studies(
    gauge: Gauge,
    spread: GaugeStudy,
    found: SpreadFound,
    known: GaugeStudy | None,
    reference: ReferenceStudy | None,
) -> GaugeUncertainty:
    repeated, step = repeatability_of(found), gauge.resolution / sqrt(12)
    between = sqrt(max(found.gauge_sd**2 - repeated**2, 0.0))
    parts = [
        UncertaintyPart(
            source="repeatability" if repeated >= step else "step of the gauge",
            standard_uncertainty=max(repeated, step),
        ),
        UncertaintyPart(source="reproducibility", standard_uncertainty=between),
    ]
    says, names = f"{spread.kind} study {spread.name}", [spread.name]
    if reference is not None and known is not None:
        sizes = {one.source: one.standard_uncertainty for one in reference.uncertainty_parts}
        parts += [
            UncertaintyPart(source=source, standard_uncertainty=sizes[source]) for source in (BIAS, KNOWN)
        ]
        says, names = f"{says}, bias by reference study {known.name}", [*names, known.name]
    value = hypot(*(one.standard_uncertainty for one in parts))
    return GaugeUncertainty(
        value=value,
        says=says,
        studies=tuple(names),
        freedom=_freedom(value, found.gauge_sd, found.gauge_freedom),
        parts=tuple(parts),
        repeatability=_square(repeated, _freedom_of_repeats(found)),
    )


def repeatability_of(found: SpreadFound) -> float:
    """Standard deviation of one person reading one part again."""
    share = found.share("repeatability")
    return share.sd if share is not None else found.gauge_sd


def _square(sd: float, freedom: float) -> MeanSquare | None:
    return MeanSquare(sd**2, freedom) if sd > 0 and freedom > 0 else None


def _freedom_of_repeats(found: SpreadFound) -> int:
    """Degrees of freedom behind repeatability, with those of an interaction that was pooled into it."""
    p, o, r = found.parts, found.operators, found.repeats
    return p * o * (r - 1) + (p - 1) * (o - 1) * found.interaction_pooled


def _freedom(value: float, scatter: float, freedom: float) -> float | None:
    """Welch and Satterthwaite's: only the scatter has few degrees of freedom, the rest is well known."""
    return (value / scatter) ** 4 * freedom if scatter > 0 and freedom > 0 else None
