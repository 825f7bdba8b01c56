"""Samples from a folder into the record and out again: what was seen is added or set aside, never changed."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from offtool.core.values import OfftoolError
from offtool.records.models import (
    Build,
    Detail,
    DetailInState,
    Job,
    Press,
    Programme,
    Sample,
    SampleColour,
    SamplePart,
    SampleSize,
    SeenDetail,
    SeenSign,
    Trial,
)
from offtool.steps.dump_programme import dump_programme
from tests.exchange.programme.folders import bytes_in
from tests.exchange.programme.otter import change
from tests.exchange.programme.sampled_otter import BACK, FILES, RUN, write_sampled_otter
from tests.steps.test_programme_folder import changes, counts, load

pytestmark = pytest.mark.django_db

NEW = {
    "presses": (2, 0),
    "press_holds": (1, 0),
    "jobs": (2, 0),
    "builds": (1, 0),
    "build_parts": (1, 0),
    "details": (2, 0),
    "detail_states": (2, 0),
    "stage_names": (1, 0),
    "sign_shares": (1, 0),
    "samples": (2, 0),
    "sample_parts": (2, 0),
    "seen_details": (2, 0),
    "seen_signs": (2, 0),
    "sample_sizes": (2, 0),
    "sample_colours": (1, 0),
    "sample_photographs": (1, 0),
}
KEPT = (Press, Job, Build, Detail, DetailInState, Sample, SamplePart, SeenDetail, SeenSign, SampleSize)


@pytest.fixture
def otter(tmp_path: Path) -> Path:
    return write_sampled_otter(tmp_path / "otter")


def test_all_of_it_is_in_the_record(otter: Path) -> None:
    assert changes(load(otter)).items() >= NEW.items()
    trial = Trial.objects.get()
    assert (trial.stage, trial.interrupted, trial.lightness) == (
        "early trial",
        Job.objects.get(code="J-17"),
        55.5,
    )
    sample = Sample.objects.get(number="S1")
    torso, arm = sample.parts.order_by("pk")
    assert (sample.build, sample.place) == (Build.objects.get(), "drawer 3")
    assert (torso.trial, torso.state.label, torso.cavity.label, torso.shot) == (trial, "a", "2", 14)
    assert (arm.part.code, arm.tool, arm.trial) == ("limb", None, None)
    assert [(one.detail.code, one.is_there) for one in torso.seen_details.order_by("pk")] == [
        ("date", False),
        ("insert", True),
    ]
    assert [(one.sample_part, one.set_aside) for one in sample.seen_signs.order_by("pk")] == [
        (None, ""),
        (torso, "it was washed"),
    ]
    assert bytes(sample.photographs.get().content) == BACK
    for kept in KEPT:
        assert set(kept.history.values_list("history_user_id", "history_type")) == {("Ada", "+")}


def test_loading_twice_changes_nothing(otter: Path) -> None:
    load(otter)
    report = load(otter)
    assert report.is_unchanged
    assert report.cautions == ()
    assert [model.history.count() for model in KEPT] == [model.objects.count() for model in KEPT]


def test_what_is_dumped_loads_as_it_was_and_is_dumped_again_as_the_same_bytes(
    otter: Path, tmp_path: Path
) -> None:
    load(otter)
    dump_programme("otter", tmp_path / "out")
    assert load(tmp_path / "out").is_unchanged
    dump_programme("otter", tmp_path / "again")
    assert bytes_in(tmp_path / "out") == bytes_in(tmp_path / "again")
    assert (tmp_path / "out" / "sample_photographs" / "back.png").read_bytes() == BACK


def test_a_folder_of_before_loads_beside_it_and_no_table_loses_a_row(otter: Path, tmp_path: Path) -> None:
    older = shutil.copytree(otter, tmp_path / "older")
    change(older, "programme.toml", RUN.partition("\n")[2], "")
    for name in FILES:
        (older / name).unlink()
    shutil.rmtree(older / "sample_photographs")
    load(otter)
    report = load(older)
    assert changes(report) == {"trials": (0, 1)}
    assert {name: kept for name, (_, _, _, kept) in counts(report).items() if kept} == {
        name: added for name, (added, _) in NEW.items()
    }


def test_what_is_said_of_a_sample_is_changed_and_what_was_said_before_is_kept(otter: Path) -> None:
    load(otter)
    change(otter, "samples.csv", "drawer 3", "drawer 4")
    change(otter, "sample_parts.csv", "T1,14,blue", "T1,15,navy")
    change(otter, "detail_states.csv", "M1,b,yes", "M1,b,no")
    change(otter, "jobs.csv", "2026-03-06", "2026-03-07")
    assert changes(load(otter)) == {
        "jobs": (0, 1),
        "detail_states": (0, 1),
        "samples": (0, 1),
        "sample_parts": (0, 1),
    }
    now, before = Sample.history.filter(number="S1")
    assert (now.place, before.place, now.history_user_id) == ("drawer 4", "drawer 3", "Ada")


@pytest.mark.parametrize(
    ("file", "old", "model"),
    [
        ("seen_details.csv", "Ada,worn,", SeenDetail),
        ("seen_signs.csv", "loose parts,,2026-04-02T10:00:00Z,Ada,,", SeenSign),
        ("sample_sizes.csv", "4.035,,2,2026-04-02T10:00:00Z,Ada,,", SampleSize),
        ("sample_colours.csv", "Z,Ada,,", SampleColour),
    ],
)
def test_what_was_seen_is_set_aside_with_its_history(
    file: str, old: str, model: type[SeenSign], otter: Path
) -> None:
    load(otter)
    change(otter, file, old, f"{old}the wrong piece")
    assert changes(load(otter)) == {file.removesuffix(".csv"): (0, 1)}
    now = model.history.latest()
    before = model.history.filter(id=now.id).earliest()
    assert (now.set_aside, before.set_aside) == ("the wrong piece", "")


SETTLED = [
    (
        "seen_details.csv",
        "date,no",
        "date,yes",
        "line 2, is_there: True, but the record has False, and that is",
    ),
    (
        "seen_signs.csv",
        "loose parts",
        "welded",
        "line 2, outcome: 'welded', but the record has 'loose parts'",
    ),
    (
        "sample_sizes.csv",
        "4.03,",
        "4.04,",
        "line 2, value: 4.04, but the record has 4.03, and that is settled",
    ),
    ("sample_colours.csv", "55.2", "56.2", "line 2, lightness: 56.2, but the record has 55.2, and that is"),
    ("sample_colours.csv", "instrument", "photograph", "line 2, by: 'photograph', but the record has"),
    ("sample_photographs.csv", "S1,torso", "S1,", "line 2, sample_part: '', but the record has 'torso'"),
    (
        "samples.csv",
        "2026-04-02T09:00:00Z,Ada",
        "2026-04-02T09:00:00Z,Bo",
        "line 2, registered_by: 'Bo', but",
    ),
]


@pytest.mark.parametrize(
    ("file", "old", "new", "said"), SETTLED, ids=[f"{file}: {new}" for file, _, new, _ in SETTLED]
)
def test_what_was_seen_or_measured_is_never_changed(
    file: str, old: str, new: str, said: str, otter: Path
) -> None:
    load(otter)
    change(otter, file, old, new)
    change(otter, "programme.toml", "Invented otter", "Renamed")
    with pytest.raises(OfftoolError) as refused:
        load(otter)
    assert f"{file} {said}" in str(refused.value)
    assert refused.value.remedy
    assert Programme.objects.get().title == "Invented otter"


def test_a_part_that_was_looked_at_stays_the_part_it_is_and_another_may_change(otter: Path) -> None:
    load(otter)
    change(otter, "sample_parts.csv", "left arm,limb", "left arm,body")
    assert changes(load(otter)) == {"sample_parts": (0, 1)}
    for name in ("seen_details.csv", "sample_sizes.csv"):
        header = (otter / name).read_text(encoding="utf-8").splitlines()[0]
        (otter / name).write_text(f"{header}\n", encoding="utf-8")
    change(otter, "sample_parts.csv", "torso,body,M1,a,2,T1", "torso,limb,M1,a,,T1")
    with pytest.raises(OfftoolError, match="part: 'limb', but the record has 'body', and that is settled"):
        load(otter)


def test_more_may_be_seen(otter: Path) -> None:
    load(otter)
    for file, row in (
        ("seen_details.csv", "S1,torso,date,yes,,2026-04-03T10:00:00Z,Bo,,"),
        ("sample_sizes.csv", "S1,torso,2,30.01,,,2026-04-03T10:00:00Z,Bo,,"),
    ):
        with (otter / file).open("a", encoding="utf-8") as out:
            out.write(f"{row}\n")
    assert changes(load(otter)) == {"seen_details": (1, 0), "sample_sizes": (1, 0)}
    assert load(otter).is_unchanged
