"""Which gauge studies there are, and which of them count."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from datetime import date

from offtool.core.values import nearest
from offtool.handbook.terms import StudyKind
from offtool.records.models import Characteristic, Gauge, GaugeReading, GaugeStudy, Programme
from offtool.records.queries.finding import NotInRecord

SPREAD_KINDS = (StudyKind.CROSSED.value, StudyKind.NESTED.value)
"""Studies that show repeatability and reproducibility on parts as they are made."""


def find_gauge(programme: Programme, code: str) -> Gauge:
    """The gauge with this number. Raises NotInRecord."""
    found = programme.gauges.filter(code=code).first()
    if found is None:
        known = programme.gauges.values_list("code", flat=True)
        raise NotInRecord(f"no gauge {code!r} in {programme.slug}", remedy=nearest(code, known))
    return found


def find_study(gauge: Gauge, name: str) -> GaugeStudy:
    """The study of this gauge with this name. Raises NotInRecord."""
    found = next((one for one in studies_of_gauge(gauge) if one.name == name), None)
    if found is None:
        known = gauge.studies.values_list("name", flat=True)
        raise NotInRecord(f"no study {name!r} of gauge {gauge.code}", remedy=nearest(name, known))
    return found


def studies_of_gauge(gauge: Gauge) -> list[GaugeStudy]:
    """All studies of a gauge, newest first, those set aside too; without their bytes."""
    return _newest_first(GaugeStudy.objects.filter(gauge=gauge))


def studies_of_programme(programme: Programme) -> dict[int, list[GaugeStudy]]:
    """All studies of a programme by the key of their gauge, newest first; without their bytes."""
    found: dict[int, list[GaugeStudy]] = defaultdict(list)
    for one in _newest_first(GaugeStudy.objects.filter(gauge__programme=programme)):
        found[one.gauge_id].append(one)
    return found


def studies_of_gauges(gauges: Collection[int]) -> dict[int, list[GaugeStudy]]:
    """The studies that are not set aside, by the key of their gauge, newest first; without their bytes."""
    found: dict[int, list[GaugeStudy]] = defaultdict(list)
    if gauges:
        for one in _newest_first(GaugeStudy.objects.filter(gauge__in=gauges, set_aside="")):
            found[one.gauge_id].append(one)
    return found


def study_that_counts(
    gauge: Gauge, characteristic: Characteristic | None = None, *, kinds: Collection[str] = SPREAD_KINDS
) -> GaugeStudy | None:
    """The newest study not set aside of that characteristic, else of that gauge in the same unit."""
    return choose_study(studies_of_gauges([gauge.pk])[gauge.pk], characteristic, kinds=kinds)


def choose_study(
    newest_first: Iterable[GaugeStudy],
    characteristic: Characteristic | None = None,
    *,
    kinds: Collection[str] = SPREAD_KINDS,
) -> GaugeStudy | None:
    """Of studies of one gauge, newest first, the one that counts for a characteristic."""
    counting = [one for one in newest_first if not one.set_aside and one.kind in kinds]
    if characteristic is None:
        return counting[0] if counting else None
    own = [one for one in counting if one.characteristic_id == characteristic.pk]
    of_the_gauge = [
        one
        for one in counting
        if one.characteristic is None or one.characteristic.unit == characteristic.unit
    ]
    return next(iter([*own, *of_the_gauge]), None)


def readings_of_studies(studies: Collection[GaugeStudy]) -> dict[int, list[GaugeReading]]:
    """The readings by the key of their study, in the order of the file."""
    found: dict[int, list[GaugeReading]] = defaultdict(list)
    if studies:
        chosen = GaugeReading.objects.filter(study__in=[one.pk for one in studies])
        for one in chosen.order_by("study", "row", "column"):
            found[one.study_id].append(one)
    return found


def _newest_first(studies: Iterable[GaugeStudy]) -> list[GaugeStudy]:
    loaded = studies.select_related("characteristic__part").defer("content")  # type: ignore[attr-defined]
    return sorted(loaded, key=_when, reverse=True)


def _when(study: GaugeStudy) -> tuple[date, int]:
    """By the day it was measured, else the day it was read."""
    return study.done_on or study.read_at.date(), study.pk
