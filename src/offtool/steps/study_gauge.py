"""Study a gauge: is it fit for the sizes it measures, and what does it do to their verdicts."""

from __future__ import annotations

from collections.abc import Sequence

from offtool import __version__
from offtool.core.inspection.gauge import GaugeJudgement, ReferenceStudy
from offtool.core.values import Caution, OfftoolError
from offtool.handbook.terms import StudyKind
from offtool.records.models import Gauge, GaugeReading
from offtool.records.models import GaugeStudy as KeptStudy
from offtool.records.queries import (
    choose_study,
    find_gauge,
    find_programme,
    find_study,
    readings_of_studies,
    studies_of_gauge,
    studies_of_programme,
)
from offtool.steps.gauge_meaning import sizes_with_gauge
from offtool.steps.gauge_sentences import actions, decimals_of, facts, headline, no_study_headline
from offtool.steps.gauge_studied import GaugesStanding, GaugeStanding, GaugeStudied, StudyLine
from offtool.steps.gauge_uncertainty import GaugeUncertainty, gauge_uncertainty_by
from offtool.steps.kept_studies import Found, by_ranges, result_of, tolerance_of, unit_of
from offtool.steps.overview import is_invented

METHOD = f"offtool {__version__}"
SORTS = (
    (StudyKind.CROSSED.value, StudyKind.NESTED.value),
    (StudyKind.REFERENCE.value,),
    (StudyKind.LINEARITY.value,),
)
"""Of each sort the newest study counts; the first that there is stands for the gauge."""


def study_gauge(programme: str, gauge: str, study: str | None = None) -> GaugeStudied:
    """A gauge by one of its studies; without a name, by the one that counts.

    Raises NotInRecord for names that are not there, OfftoolError for a named study that says nothing.
    """
    found = find_gauge(find_programme(programme), gauge)
    kept = studies_of_gauge(found)
    chosen = find_study(found, study) if study is not None else _the_one(kept)
    readings = readings_of_studies(kept)
    if chosen is None:
        return _studied(found, kept, readings, None, None)
    try:
        result = result_of(chosen, readings[chosen.pk], resolution=found.resolution)
    except OfftoolError as error:
        raise OfftoolError(error.what, where=f"study {chosen.name}", remedy=error.remedy) from error
    return _studied(found, kept, readings, chosen, result)


def gauges_of(programme: str) -> GaugesStanding:
    """Every gauge of a programme and how far it can be trusted. Raises NotInRecord."""
    found = find_programme(programme)
    studies = studies_of_programme(found)
    counting = {pk: one for pk, kept in studies.items() if (one := _the_one(kept)) is not None}
    readings = readings_of_studies(list(counting.values()))
    gauges = tuple(
        _standing(gauge, studies.get(gauge.pk, []), counting.get(gauge.pk), readings)
        for gauge in found.gauges.order_by("code").prefetch_related("characteristics")
    )
    return GaugesStanding(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        headline=_headline_of_all(gauges),
        gauges=gauges,
    )


def _the_one(newest_first: Sequence[KeptStudy]) -> KeptStudy | None:
    """The study that stands for a gauge."""
    chosen = (choose_study(newest_first, kinds=kinds) for kinds in SORTS)
    return next((one for one in chosen if one is not None), None)


def _studied(
    gauge: Gauge,
    kept: Sequence[KeptStudy],
    readings: dict[int, list[GaugeReading]],
    study: KeptStudy | None,
    result: Found | None,
) -> GaugeStudied:
    unit, decimals = (
        unit_of(gauge, study.characteristic if study is not None else None),
        decimals_of(gauge.resolution),
    )
    sizes = tuple(sizes_with_gauge(gauge))
    own = readings[study.pk] if study is not None else []
    size = _size(study)
    crossed = study is not None and study.kind == StudyKind.CROSSED
    return GaugeStudied(
        programme=gauge.programme.slug,
        programme_title=gauge.programme.title,
        invented=is_invented(gauge.programme),
        gauge=gauge.code,
        gauge_name=gauge.name,
        resolution=gauge.resolution,
        unit=unit,
        decimals=decimals,
        study=_line(study, kept, len(own)) if study is not None else None,
        headline=(
            headline(gauge, size, result, decimals, unit) if result else no_study_headline(gauge, unit)
        ),
        judgement=getattr(result, "judgement", None),
        actions=tuple(
            actions(result, sizes, decimals, unit, studied_on_parts=choose_study(kept) is not None)
        ),
        rests_on=tuple(facts(study, len(own), result, unit)) if study is not None and result else (),
        result=result,
        by_ranges=(
            by_ranges(own, tolerance=tolerance_of(study.tolerance, study.characteristic))
            if crossed and study is not None
            else None
        ),
        run=tuple(one.value for one in own) if isinstance(result, ReferenceStudy) else (),
        uncertainty=_uncertainty(gauge, kept, readings, study),
        sizes=sizes,
        studies=tuple(_line(one, kept, len(readings[one.pk])) for one in kept),
        method=METHOD,
        cautions=(*_cautions(study), *(result.cautions if result else ())),
    )


def _size(study: KeptStudy | None) -> str:
    one = study.characteristic if study is not None else None
    return f"{one.part.code} {one.number}" if one is not None else ""


def _line(study: KeptStudy, kept: Sequence[KeptStudy], readings: int) -> StudyLine:
    kinds = next(kinds for kinds in SORTS if study.kind in kinds)
    same_size = [one for one in kept if one.characteristic_id == study.characteristic_id]
    newest = choose_study(same_size, kinds=kinds)
    return StudyLine(
        name=study.name,
        kind=study.kind,
        size=_size(study),
        done_on=study.done_on,
        read_by=study.read_by,
        readings=readings,
        file=study.file_name,
        sha256=study.sha256,
        note=study.note,
        set_aside=study.set_aside,
        counts=newest is not None and newest.pk == study.pk,
        study_id=study.pk,
    )


def _uncertainty(
    gauge: Gauge,
    kept: Sequence[KeptStudy],
    readings: dict[int, list[GaugeReading]],
    study: KeptStudy | None,
) -> GaugeUncertainty | None:
    """As verdicts on the size of the study take it; without one, those on any size of the gauge."""
    one = study.characteristic if study is not None else None
    one = one or gauge.characteristics.first()
    return gauge_uncertainty_by(one, gauge, kept, readings) if one is not None else None


def _cautions(study: KeptStudy | None) -> tuple[Caution, ...]:
    if study is None:
        return ()
    said = []
    if study.set_aside:
        said.append(f"this study is set aside: {study.set_aside}")
    if study.done_on is None:
        said.append("the day of the study is not recorded")
    return tuple(Caution(text) for text in said)


def _standing(
    gauge: Gauge,
    kept: Sequence[KeptStudy],
    study: KeptStudy | None,
    readings: dict[int, list[GaugeReading]],
) -> GaugeStanding:
    unit, decimals = (
        unit_of(gauge, study.characteristic if study is not None else None),
        decimals_of(gauge.resolution),
    )
    judgement, says = None, no_study_headline(gauge, unit)
    if study is not None:
        try:
            found = result_of(study, readings[study.pk], resolution=gauge.resolution)
            judgement = getattr(found, "judgement", None)
            says = headline(gauge, _size(study), found, decimals, unit)
        except OfftoolError as error:
            says = f"Study {study.name} says nothing: {error}."
    return GaugeStanding(
        code=gauge.code,
        name=gauge.name,
        resolution=gauge.resolution,
        unit=unit,
        sizes=len(gauge.characteristics.all()),
        studies=len(kept),
        judgement=judgement,
        says=says,
    )


def _headline_of_all(gauges: Sequence[GaugeStanding]) -> str:
    if not gauges:
        return "No gauge is named yet: name one for each size in the programme folder."
    fit = sum(one.judgement is GaugeJudgement.FIT for one in gauges)
    studied = sum(one.studies > 0 for one in gauges)
    if studied == 0:
        return f"None of {len(gauges)} gauges has a study." if len(gauges) > 1 else "The gauge has no study."
    have = f"{studied} of {len(gauges)} gauges {'has' if studied == 1 else 'have'} a study"
    return f"{have}, {fit} {'is' if fit == 1 else 'are'} shown to be fit."
