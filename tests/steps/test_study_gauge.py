"""Gauge studies through the record: the published study from file to JSON, and what it does to verdicts."""

from __future__ import annotations

import json
from dataclasses import replace
from math import hypot, sqrt

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from examples.make_gauge_studies import CROSSED, STUDIES, keep_gauge_studies, study_files
from pytest_django import DjangoAssertNumQueries
from scipy import stats

from offtool.core.inspection.gauge import (
    GaugeJudgement,
    GaugeStudy,
    LinearityStudy,
    ReferenceStudy,
    crossed_gauge_study,
    nested_gauge_study,
    reference_gauge_study,
)
from offtool.core.values import OfftoolError, Verdict
from offtool.exchange.gauge_readings import read_study
from offtool.exchange.readings import FileRefused
from offtool.handbook.terms import StudyKind
from offtool.records.models import Characteristic, Gauge, Programme
from offtool.records.models import GaugeStudy as KeptStudy
from offtool.records.queries.finding import NotInRecord
from offtool.steps.gauge_uncertainty import GaugeUncertainty, gauge_uncertainties_of
from offtool.steps.inspect_trial import inspect_trial
from offtool.steps.keep_study import (
    StudyAbout,
    keep_study,
    place_of_study,
    preview_study,
    set_aside,
)
from offtool.steps.plain import as_plain
from offtool.steps.read_readings import CannotKeep
from offtool.steps.study_gauge import gauges_of, study_gauge
from tests import published as data
from tests.labels import independent, published
from tests.steps.clip import NOON, SLUG, TOOL, keep, trial_file

PUBLISHED = (data.HERE / "gauge_10x3x3.csv").read_bytes()
MANUAL = "AIAG, Measurement Systems Analysis, 4th ed., ANOVA table, interaction pooled"
CROSSED_CSV = study_files()[CROSSED.file].encode()


def keep_one(content: bytes = PUBLISHED, name: str = "S1", *, gauge: str = "G1", **about: object) -> None:
    keep_study(
        content, f"{name}.csv", programme=SLUG, gauge=gauge, study=name, about=StudyAbout(**about),  # type: ignore[arg-type]
        read_at=NOON, read_by="tester",
    )  # fmt: skip


def uncertainty_of(size: Characteristic) -> GaugeUncertainty | None:
    return gauge_uncertainties_of([size]).get(size.pk)


def shown(**about: object) -> str:
    """What the first thing to mend is, for a study that cannot be kept."""
    content = about.pop("content", PUBLISHED)
    assert isinstance(content, bytes)
    preview = preview_study(content, "s.csv", programme=SLUG, gauge="G1", about=StudyAbout(**about))  # type: ignore[arg-type]
    assert preview.can_be_kept is not bool(preview.problems)
    return preview.problems[0] if preview.problems else ""


def test_the_published_study_comes_out_of_the_record_as_it_was_printed(clip: Programme) -> None:
    keep_one()
    result = study_gauge(SLUG, "G1").result
    assert isinstance(result, GaugeStudy)
    deviations = {one.source: one.sd for one in result.shares}
    for source, printed in (
        ("repeatability", "0.199933"),
        ("operator", "0.226838"),
        ("gauge", "0.302373"),
        ("part", "1.042327"),
    ):
        # the manual rounds on its way: half its fifth decimal
        assert deviations[source] == independent(float(printed), way=MANUAL, rel=0, within=5e-6)
    assert result.distinct_categories == published("4", source=MANUAL)


def test_the_json_of_a_study_is_the_answer_of_the_core(clip: Programme) -> None:
    keep_one()
    table = read_study(PUBLISHED, "s.csv")
    values, parts, operators = (
        [getattr(one, name) for one in table.readings] for name in ("value", "part", "operator")
    )
    found = json.loads(json.dumps(as_plain(study_gauge(SLUG, "G1"))))
    assert found["result"] == json.loads(json.dumps(as_plain(crossed_gauge_study(values, parts, operators))))
    ranges = crossed_gauge_study(values, parts, operators, method="average and range")
    assert found["by_ranges"] == json.loads(json.dumps(as_plain(ranges)))


def test_the_study_by_average_and_range_stands_beside_it(clip: Programme) -> None:
    keep_one()
    other = study_gauge(SLUG, "G1").by_ranges
    assert other is not None
    repeat = other.share("repeatability")
    assert repeat is not None
    assert repeat.sd == independent(0.20188, way="AIAG, report sheet, rounded on its way", rel=0, within=3e-4)


def test_the_tolerance_is_that_of_the_size_unless_another_is_given(clip: Programme) -> None:
    keep_one(size="P1 1", content=PUBLISHED)
    keep_one(CROSSED_CSV, "S2", size="P1 1", tolerance=0.2)
    first, second = (study_gauge(SLUG, "G1", name).result for name in ("S1", "S2"))
    assert isinstance(first, GaugeStudy)
    assert isinstance(second, GaugeStudy)
    assert first.tolerance == pytest.approx(0.05)  # 3.98 to 4.03
    assert second.tolerance == 0.2


def test_a_nested_study_and_the_reference_studies_give_the_answers_of_the_core(clip: Programme) -> None:
    tester = Gauge.objects.create(programme=clip, code="PUL-09", resolution=1.0, uncertainty=0.0)
    kept = [replace(one, gauge="G1" if one.gauge == "MIC-07" else one.gauge, size="") for one in STUDIES]
    keep_gauge_studies(SLUG, read_at=NOON, read_by="tester", studies=kept)
    assert tester.studies.count() == 1
    pull = read_study(study_files()["PUL-09_weld_pull.csv"].encode(), "w.csv").readings
    expected = nested_gauge_study(
        [one.value for one in pull],
        [one.operator for one in pull],
        [one.part for one in pull],
        tolerance=60.0,
    )
    assert study_gauge(SLUG, "PUL-09").result == expected
    block = [
        one.value for one in read_study(study_files()["MIC-07_block_5_mm.csv"].encode(), "r.csv").readings
    ]
    found = study_gauge(SLUG, "G1", "R1")
    assert found.result == reference_gauge_study(block, 5.0, reference_uncertainty=0.0002, resolution=0.001)
    assert found.run == tuple(block)
    line = study_gauge(SLUG, "G1", "L1")
    assert isinstance(line.result, LinearityStudy)
    assert line.judgement is None
    assert line.headline.startswith("G1 is not the same over 2.5 to 20")
    assert study_gauge(SLUG, "G1").study is not None


def test_the_uncertainty_is_that_of_the_study_that_counts_with_bias_and_reference(clip: Programme) -> None:
    peg = Characteristic.objects.select_related("gauge", "part").get(part__code="P1", number="1")
    entered = uncertainty_of(peg)
    assert entered is not None
    assert (entered.value, entered.studies, entered.says) == (0.001, (), "as entered: 2026")
    keep_one(CROSSED_CSV, size="P1 1")
    of_study, result = uncertainty_of(peg), study_gauge(SLUG, "G1").result
    assert of_study is not None
    assert isinstance(result, GaugeStudy)
    assert of_study.value == independent(result.gauge_sd, way="repeatability and reproducibility of the core")
    keep_one(study_files()["MIC-07_block_5_mm.csv"].encode(), "R1", kind=StudyKind.REFERENCE, reference=5.0,
             reference_uncertainty=0.0002)  # fmt: skip
    with_bias, reference = uncertainty_of(peg), study_gauge(SLUG, "G1", "R1").result
    assert with_bias is not None
    assert isinstance(reference, ReferenceStudy)
    assert with_bias.studies == ("S1", "R1")
    assert with_bias.value == independent(
        hypot(result.gauge_sd, reference.bias, 0.0002), way="root of the sum of squares, by hand"
    )
    set_aside(SLUG, "G1", "S1", reason="worn anvil", made_by="tester")
    alone = uncertainty_of(peg)
    assert alone is not None
    assert alone.value == reference.standard_uncertainty


def test_a_gauge_of_which_nothing_is_known_gives_none(clip: Programme) -> None:
    Gauge.objects.filter(code="G1").update(study="")
    sizes = list(Characteristic.objects.select_related("gauge", "part").order_by("pk"))
    assert gauge_uncertainties_of(sizes) == {}
    assert uncertainty_of(Characteristic.objects.get(number="3")) is None  # without a gauge


def test_repeats_that_never_differ_count_for_the_step_of_the_gauge(clip: Programme) -> None:
    rows = "".join(f"{i},A,{4 + i / 100}\n{i},A,{4 + i / 100}\n" for i in range(5))
    keep_one(f"Part,Operator,Value\n{rows}".encode())
    peg = Characteristic.objects.select_related("gauge").get(part__code="P1", number="1")
    found = uncertainty_of(peg)
    assert found is not None
    assert found.value == independent(0.001 / sqrt(12), way="a step evenly spread: JCGM 100:2008, F.2.2.1")
    assert "too coarse" in study_gauge(SLUG, "G1").headline


def test_all_sizes_of_a_trial_take_two_queries(
    clip: Programme, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    keep_one(CROSSED_CSV)
    sizes = list(Characteristic.objects.select_related("gauge", "part"))
    with django_assert_num_queries(2):
        found = gauge_uncertainties_of(sizes)
    assert len(found) == 3
    assert len({one.value for one in found.values()}) == 1


def test_all_gauges_of_a_programme_take_as_many_queries_as_one(clip: Programme) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as made:
            gauges_of(SLUG)
        return len(made)

    one = asked()
    for code in ("G2", "G3", "G4", "G5"):
        Gauge.objects.create(programme=clip, code=code, resolution=0.01, uncertainty=0.0)
    assert asked() == one


def test_a_gauge_loads_its_studies_once_and_once_more_with_the_trial_it_looks_at(clip: Programme) -> None:
    keep(trial_file(4.005, 20.0))
    keep_one(CROSSED_CSV, size="P1 1")
    with CaptureQueriesContext(connection) as made:
        study_gauge(SLUG, "G1")
    for table in ("records_gaugestudy", "records_gaugereading"):
        assert sum(f'FROM "{table}"' in one["sql"] for one in made) == 2


def test_what_the_gauge_does_to_each_size_of_the_newest_trial(clip: Programme) -> None:
    keep(trial_file(seed=1), "T1")
    keep(trial_file(4.005, 20.0, seed=2), "T2", name="m2.csv")
    keep_one(CROSSED_CSV, size="P1 1")
    found = study_gauge(SLUG, "G1")
    peg, length = found.sizes
    assert [(one.part, one.number, one.tool, one.trial) for one in (peg, length)] == [
        ("P1", "1", TOOL, "T2"), ("P1", "2", TOOL, "T2"),
    ]  # fmt: skip
    known = found.uncertainty
    assert known is not None
    factor = float(stats.t.ppf(0.95, known.freedom))
    assert peg.guard_band == independent(factor * known.value, way="Student's 95 % quantile, scipy.stats")
    assert peg.guard_share == independent(2 * factor * known.value / 0.05, way="by hand")
    judged = {one.number: one for one in inspect_trial(SLUG, TOOL, "T2").sizes}
    worst = min(cavity.index.value for cavity in judged["1"].finding.cavities if cavity.index)
    assert peg.observed == pytest.approx(worst)
    assert peg.exact is not None
    assert peg.share is not None
    assert peg.exact == independent(worst / sqrt(1 - peg.share), way="variance less the gauge's, by hand")
    assert length.share is not None
    assert length.share < peg.share


def test_a_part_that_was_read_twice_holds_less_of_the_gauge(clip: Programme) -> None:
    keep(trial_file(4.005, seed=1), "T1")
    keep_one(CROSSED_CSV, size="P1 1")
    keep(trial_file(4.005, seed=2), "T1", name="again.csv")
    twice, known = study_gauge(SLUG, "G1").sizes[0], study_gauge(SLUG, "G1").uncertainty
    (judged,) = (
        one for one in inspect_trial(SLUG, TOOL, "T1").sizes if (one.part, one.number) == ("P1", "1")
    )
    index = min((one.index for one in judged.finding.cavities if one.index), key=lambda one: one.value)
    assert known is not None
    assert known.repeatability is not None
    assert twice.share == independent(
        known.repeatability.value / 2 / index.sd**2, way="variance of a mean of two"
    )


def keep_five(furthest: float) -> None:
    """A trial of five readings of P1 1, one of them near the upper limit or beyond it."""
    values = (furthest, 4.01, 4.005, 4.0, 4.02)
    rows = "".join(f"{shot},1,{value}\n" for shot, value in enumerate(values, 30))
    keep(f"Shot,Cavity,P1 1\n{rows}".encode())


def test_a_verdict_that_the_guard_band_decides_hangs_on_the_gauge(clip: Programme) -> None:
    Characteristic.objects.filter(part__code="P1", number="1").update(weight_class="minor")
    keep_five(4.0295)
    keep_one(CROSSED_CSV, size="P1 1")
    found = study_gauge(SLUG, "G1")
    (peg,) = found.sizes
    assert (peg.verdict, peg.verdict_exact) == (Verdict.NOT_SHOWN, Verdict.HOLDS)
    assert peg.hangs_on_gauge
    assert peg.says == "hangs on the gauge: with an exact one it would hold"
    assert "Measure P1 1 again with a finer gauge" in found.actions[0].do


def people_differ() -> bytes:
    """10 parts, 3 people, 2 repeats; people differ more than their repeats: few degrees of freedom."""
    rng = np.random.default_rng(1)
    parts, people = 4 + np.linspace(-0.02, 0.02, 10), (-0.002, 0.0, 0.002)
    rows = [
        f"{number},{name},{part + off + rng.normal(0, 0.0005):.4f}"
        for number, part in enumerate(parts, 1)
        for name, off in zip("ABC", people, strict=True)
        for _ in range(2)
    ]
    return "\n".join(["Part,Operator,Value", *rows]).encode()


@pytest.mark.parametrize("furthest", [4.0290, 4.0255, 4.0200, 4.0400])
@pytest.mark.parametrize("weight_class", ["minor", "major"])
def test_trial_and_gauge_page_give_one_verdict_however_few_people_measured(
    clip: Programme, furthest: float, weight_class: str
) -> None:
    Characteristic.objects.filter(part__code="P1", number="1").update(weight_class=weight_class)
    keep_five(furthest)
    keep_one(people_differ(), size="P1 1")
    (peg,) = study_gauge(SLUG, "G1").sizes
    (judged,) = inspect_trial(SLUG, TOOL, "T1").sizes
    assert peg.verdict is judged.finding.verdict
    assert peg.hangs_on_gauge is (peg.verdict is not peg.verdict_exact)


def test_the_guard_band_is_wider_where_few_people_stand_behind_it(clip: Programme) -> None:
    Characteristic.objects.filter(part__code="P1", number="1").update(weight_class="minor")
    keep_five(4.0255)
    keep_one(people_differ(), size="P1 1")
    found = study_gauge(SLUG, "G1")
    (peg,), known = found.sizes, found.uncertainty
    assert known is not None
    assert known.freedom is not None
    assert known.freedom < 3
    assert 4.0255 + 1.645 * known.value < 4.03  # with a well known uncertainty it would hold
    factor = float(stats.t.ppf(0.95, known.freedom))
    assert peg.guard_band == independent(factor * known.value, way="Student's 95 % quantile, scipy.stats")
    assert (peg.verdict, peg.verdict_exact) == (Verdict.NOT_SHOWN, Verdict.HOLDS)
    assert peg.hangs_on_gauge


def test_without_a_study_nothing_is_taken_out_of_the_spread(clip: Programme) -> None:
    keep(trial_file(4.005, 20.0))
    Gauge.objects.filter(code="G1").update(study="")
    found = study_gauge(SLUG, "G1")
    assert (found.study, found.result, found.judgement) == (None, None, None)
    assert found.headline == "No study of G1: verdicts take it as exact."
    assert found.actions[0].do.startswith("Study it: 10 parts")
    assert all(one.exact is None and one.guard_band is None for one in found.sizes)
    assert not any(one.hangs_on_gauge for one in found.sizes)


def test_a_study_set_aside_stays_visible_and_the_next_one_counts(clip: Programme) -> None:
    keep_one(PUBLISHED, "old")
    keep_one(CROSSED_CSV, "new")
    assert [(one.name, one.counts) for one in study_gauge(SLUG, "G1").studies] == [
        ("new", True),
        ("old", False),
    ]
    set_aside(SLUG, "G1", "new", reason="the pegs were wet", made_by="tooling")
    found = study_gauge(SLUG, "G1")
    assert found.study is not None
    assert found.study.name == "old"
    assert [(one.name, one.set_aside) for one in found.studies] == [("new", "the pegs were wet"), ("old", "")]
    again = study_gauge(SLUG, "G1", "new")
    assert "this study is set aside: the pegs were wet" in [one.text for one in again.cautions]


@pytest.mark.parametrize(
    ("content", "about", "problem"),
    [
        (PUBLISHED.replace(b"A,1,1,0.29\n", b""), {}, "unequal numbers of readings"),
        (
            PUBLISHED,
            {"kind": StudyKind.REFERENCE, "reference": 1.0},
            "10 parts in a study of one reference part",
        ),
        (PUBLISHED, {"kind": StudyKind.LINEARITY}, "90 of 90 readings have no reference"),
        (PUBLISHED, {"kind": StudyKind.LINEARITY, "reference": 1.0}, "has several references"),
        (b"Value\n4.01\n4.02\n", {"kind": StudyKind.REFERENCE}, "2 of 2 readings have no reference"),
        (
            b"Reference,Value\n4,4.01\n4,4.02\n",
            {"kind": StudyKind.REFERENCE, "reference": 5.0},
            "gives other references than 5",
        ),
        (
            b"Part,Operator,Value [N]\n1,A,4\n1,A,5\n2,A,7\n2,A,7\n",
            {"size": "P1 1"},
            "readings are in N, P1 1 in mm",
        ),
        (b"Part,Operator,Value\n1,A,4\n1,A,5\n", {}, "one part shows no spread of parts"),
        (b"Part,Operator,Value\n1,A,4\n1,A,4\n2,A,4\n2,A,4\n", {}, "all readings are equal"),
        (PUBLISHED, {"tolerance": -1.0}, "tolerance = -1.0"),
    ],
)
def test_a_study_that_says_nothing_is_shown_with_what_to_mend_and_not_kept(
    clip: Programme, content: bytes, about: dict[str, object], problem: str
) -> None:
    assert problem in shown(content=content, **about)
    with pytest.raises(CannotKeep, match="nothing was kept"):
        keep_one(content, **about)
    assert KeptStudy.objects.count() == 0


def test_refused_cells_are_left_out_only_when_that_is_asked(clip: Programme) -> None:
    rows = "".join(
        f"{p},{who},{4 + p / 100 + i / 1000}\n" for p in range(3) for who in "AB" for i in range(3)
    )
    content = f"Part,Operator,Value\n{rows}0,A,OOL\n".encode()
    with pytest.raises(CannotKeep, match=r"1 cell cannot be read, the first: row 20, column 3: 'OOL'"):
        keep_one(content)
    kept = keep_study(
        content, "s.csv", programme=SLUG, gauge="G1", study="S1", about=StudyAbout(note="first"),
        read_at=NOON, read_by="tester", leave_out=True,
    )  # fmt: skip
    assert (kept.readings, kept.left_out) == (18, 1)
    assert KeptStudy.objects.get().note.startswith("first. 1 cell left out: row 20, column 3")


def test_names_that_are_not_there_are_answered(clip: Programme) -> None:
    with pytest.raises(NotInRecord, match="no gauge 'G9'"):
        study_gauge(SLUG, "G9")
    with pytest.raises(NotInRecord, match="no study 'S9'"):
        study_gauge(SLUG, "G1", "S9")
    with pytest.raises(NotInRecord, match="no size 'P1 9'"):
        keep_one(size="P1 9")
    with pytest.raises(FileRefused):
        keep_one(b"nothing")


def test_a_kept_study_that_says_nothing_names_itself(clip: Programme) -> None:
    keep_one()
    KeptStudy.objects.get().readings.exclude(part="1").delete()
    with pytest.raises(OfftoolError, match="study S1: one part shows no spread of parts"):
        study_gauge(SLUG, "G1")
    (line,) = gauges_of(SLUG).gauges
    assert line.says.startswith("Study S1 says nothing:")


def test_the_list_of_gauges_says_how_far_each_can_be_trusted(clip: Programme) -> None:
    Gauge.objects.create(programme=clip, code="CAL", resolution=0.02, uncertainty=0.0)
    before = gauges_of(SLUG)
    assert before.headline == "None of 2 gauges has a study."
    keep_one(tolerance=100.0)
    found = gauges_of(SLUG)
    assert found.headline == "1 of 2 gauges has a study, 0 are shown to be fit."
    cal, micrometer = found.gauges
    assert cal.says == "No study of CAL: verdicts take it as exact."
    assert (micrometer.sizes, micrometer.studies) == (3, 1)
    assert micrometer.judgement is GaugeJudgement.FIT_FOR_SOME
    assert micrometer.says.startswith("G1 is fit for some uses: it takes 2 % of the tolerance (1 to 9 %).")


def test_the_place_of_a_study_names_the_gauges_own_sizes_first(clip: Programme) -> None:
    keep_one()
    place = place_of_study(SLUG, "G1")
    assert [key for key, _ in place.sizes] == ["P1 1", "P1 2", "P2 1", "P1 3"]
    assert place.next_name == "S2"


def test_the_files_of_the_demo_are_those_that_are_made() -> None:
    from examples.make_gauge_studies import FOLDER

    for name, text in study_files().items():
        assert (FOLDER / name).read_text(encoding="utf-8") == text, name


def test_a_preview_says_which_study_it_may_displace(clip: Programme) -> None:
    before = preview_study(PUBLISHED, "s.csv", programme=SLUG, gauge="G1", about=StudyAbout())
    assert not any("counts until now" in one.text for one in before.cautions)
    keep_one(name="first")
    again = preview_study(PUBLISHED + b"\n", "s.csv", programme=SLUG, gauge="G1", about=StudyAbout())
    assert any(one.text.startswith("study first counts until now") for one in again.cautions)
    other = preview_study(
        PUBLISHED,
        "s.csv",
        programme=SLUG,
        gauge="G1",
        about=StudyAbout(kind=StudyKind.REFERENCE, reference=1),
    )
    assert not any("counts until now" in one.text for one in other.cautions)
