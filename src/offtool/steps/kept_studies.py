"""From a kept study to the mathematics: which study it is, and by which tolerance it is judged."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from offtool.core.inspection.gauge import (
    GaugeStudy,
    LinearityStudy,
    ReferenceStudy,
    crossed_gauge_study,
    gauge_linearity,
    nested_gauge_study,
    reference_gauge_study,
)
from offtool.core.values import NotEnoughData, OfftoolError
from offtool.handbook.terms import StudyKind
from offtool.records.models import Characteristic, Gauge
from offtool.records.models import GaugeStudy as KeptStudy

Found = GaugeStudy | ReferenceStudy | LinearityStudy


class ReadOnce(Protocol):
    """A reading of a study, from the record or from a file that is not kept yet."""

    @property
    def part(self) -> str: ...
    @property
    def operator(self) -> str: ...
    @property
    def reference(self) -> float | None: ...
    @property
    def value(self) -> float: ...


def tolerance_of(given: float | None, characteristic: Characteristic | None) -> float | None:
    """Upper less lower limit: as given for the study, else of the size; None with one limit only."""
    if given is not None:
        return given
    if characteristic is None or characteristic.lower is None or characteristic.upper is None:
        return None
    return characteristic.upper - characteristic.lower


def unit_of(gauge: Gauge, characteristic: Characteristic | None) -> str:
    """The unit of the size that was studied, else the one of all sizes that the gauge measures."""
    if characteristic is not None:
        return characteristic.unit
    units = {one.unit for one in gauge.characteristics.all()}
    return units.pop() if len(units) == 1 else ""


def result_of(study: KeptStudy, readings: Sequence[ReadOnce], *, resolution: float | None) -> Found:
    """What a kept study says. Raises OfftoolError for one that says nothing."""
    return analyse(
        StudyKind(study.kind),
        readings,
        tolerance=tolerance_of(study.tolerance, study.characteristic),
        reference_uncertainty=study.reference_uncertainty,
        resolution=resolution,
    )


def analyse(
    kind: StudyKind,
    readings: Sequence[ReadOnce],
    *,
    tolerance: float | None,
    reference_uncertainty: float,
    resolution: float | None,
) -> Found:
    """What readings say, by how the study was laid out. Raises OfftoolError where they say nothing."""
    values = [one.value for one in readings]
    if kind is StudyKind.CROSSED:
        return crossed_gauge_study(values, *_parts_and_operators(readings), tolerance=tolerance)
    if kind is StudyKind.NESTED:
        parts, operators = _parts_and_operators(readings)
        return nested_gauge_study(values, operators, parts, tolerance=tolerance)
    if kind is StudyKind.LINEARITY:
        return gauge_linearity(values, references_of(readings), tolerance=tolerance)
    return reference_gauge_study(
        values,
        one_reference(readings),
        tolerance=tolerance,
        reference_uncertainty=reference_uncertainty,
        resolution=resolution,
    )


def by_ranges(readings: Sequence[ReadOnce], *, tolerance: float | None) -> GaugeStudy | None:
    """A crossed study by average and range; None where that needs more repeats."""
    values = [one.value for one in readings]
    try:
        return crossed_gauge_study(
            values, *_parts_and_operators(readings), tolerance=tolerance, method="average and range"
        )
    except OfftoolError:
        return None


def _parts_and_operators(readings: Sequence[ReadOnce]) -> tuple[list[str], list[str]]:
    return [one.part for one in readings], [one.operator for one in readings]


def references_of(readings: Sequence[ReadOnce]) -> list[float]:
    """The known size behind each reading. Raises NotEnoughData for a reading without."""
    without = [one.part for one in readings if one.reference is None]
    if without:
        raise NotEnoughData(
            f"{len(without)} of {len(readings)} readings have no reference, the first of part {without[0]}",
            remedy="give the known size in a column headed reference",
        )
    return [one.reference for one in readings if one.reference is not None]


def one_reference(readings: Sequence[ReadOnce]) -> float:
    """The known size of the one reference part. Raises NotEnoughData without, OfftoolError for several."""
    parts = dict.fromkeys(one.part for one in readings)
    if len(parts) > 1:
        raise OfftoolError(
            f"{len(parts)} parts in a study of one reference part",
            remedy="keep each part as a study of its own, or read them as linearity",
        )
    sizes = sorted(set(references_of(readings)))
    if len(sizes) > 1:
        raise OfftoolError(
            f"the one reference part has {len(sizes)} known sizes, {sizes[0]:g} to {sizes[-1]:g}",
            remedy="give it one",
        )
    return sizes[0]
