"""The line that gauge studies answer: is every gauge of a critical size fit for it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import assert_never

from offtool.core.inspection.gauge import GaugeJudgement
from offtool.core.values import Verdict
from offtool.handbook.terms import WeightClass
from offtool.records.models import Characteristic, Gauge, GaugeStudy
from offtool.records.queries import choose_study, studies_of_programme
from offtool.steps.gauge_studied import GaugeStanding
from offtool.steps.review_changes import of_size
from offtool.steps.review_found import ReviewFact, ReviewSource, ReviewTarget, SourceKind
from offtool.steps.review_ground import ReviewGround
from offtool.steps.review_list import AskedLine
from offtool.steps.sentences import listed
from offtool.steps.study_gauge import SORTS, gauges_of
from offtool.steps.what_is_asked import size_key


def gauge_facts(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """Every gauge that a critical size is measured with, and critical sizes without one."""
    by_gauge: dict[int, list[Characteristic]] = defaultdict(list)
    critical = [one for one in ground.sizes if one.weight_class == WeightClass.CRITICAL]
    for size in critical:
        if size.gauge is None:
            yield _no_gauge(ground, asked, size)
        else:
            by_gauge[size.gauge.pk].append(size)
    studies = studies_of_programme(ground.programme)
    standings = {one.code: one for one in gauges_of(ground.programme.slug).gauges}
    for key, sizes in by_gauge.items():
        gauge = sizes[0].gauge
        if gauge is not None:
            yield _of_gauge(ground, asked, gauge, sizes, standings, studies.get(key, []))
    if not critical:
        todo = "Say which sizes are critical, or why the line is not asked."
        yield ground.fact(asked, "critical sizes", "no size is called critical", None, again=todo)


def _no_gauge(ground: ReviewGround, asked: AskedLine, size: Characteristic) -> ReviewFact:
    key = size_key(size)
    return ground.fact(
        asked,
        key,
        f"{key} {size.name}".rstrip() + ": what it is measured with is not recorded",
        None,
        target=ReviewTarget(page="part", names=(size.part.code,)),
        again=f"Write down what {key} is measured with, and study that gauge.",
    )


def _of_gauge(
    ground: ReviewGround,
    asked: AskedLine,
    gauge: Gauge,
    sizes: Sequence[Characteristic],
    standings: Mapping[str, GaugeStanding],
    kept: Sequence[GaugeStudy],
) -> ReviewFact:
    study = next((one for kinds in SORTS if (one := choose_study(kept, kinds=kinds)) is not None), None)
    standing = standings[gauge.code]
    named = listed([size_key(one) for one in sizes])
    source = (
        (ReviewSource(kind=SourceKind.STUDY, key=study.pk, file_name=study.file_name, sha256=study.sha256),)
        if study is not None
        else ()
    )
    return ground.fact(
        asked,
        gauge.code,
        f"{gauge.code} {gauge.name}".rstrip() + f", for {named}: {standing.says}",
        verdict_of_judgement(standing.judgement),
        day=study.done_on if study is not None else None,
        rests_on=frozenset(of_size(one.pk) for one in sizes),
        target=ReviewTarget(page="gauge", names=(gauge.code,)),
        again=f"Study {gauge.code} on {size_key(sizes[0])}: 10 parts, 3 people, each part twice.",
        sources=source,
    )


def verdict_of_judgement(judgement: GaugeJudgement | None) -> Verdict | None:
    """A gauge that is fit for some uses only is not fit for a critical size; None without a study."""
    match judgement:
        case None:
            return None
        case GaugeJudgement.FIT:
            return Verdict.HOLDS
        case GaugeJudgement.FIT_FOR_SOME | GaugeJudgement.NOT_FIT:
            return Verdict.FAILS
        case GaugeJudgement.NOT_SHOWN:
            return Verdict.NOT_SHOWN
        case _:
            assert_never(judgement)
