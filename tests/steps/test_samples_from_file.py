"""A register of samples from its file into the record: shown first, names matched, kept whole or not."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from offtool.core.values import OfftoolError
from offtool.exchange.samples_file import read_samples, samples_csv
from offtool.records.models import Part, Programme, Sample, Tool
from offtool.records.queries.finding import NotInRecord
from offtool.steps.plain import as_plain
from offtool.steps.read_readings import CannotKeep
from offtool.steps.samples_as_rows import samples_as_rows
from offtool.steps.samples_from_file import SamplesKept, SamplesPreview, keep_samples, preview_samples
from tests.exchange.programme.sampled_otter import write_sampled_otter
from tests.steps.clip import NOON
from tests.steps.test_programme_folder import load

pytestmark = pytest.mark.django_db

HEAD = "sample,what,part,part label,tool,tool state,cavity,trial,build,shot,holder\n"


@pytest.fixture
def otter(tmp_path: Path) -> Programme:
    load(write_sampled_otter(tmp_path / "otter"))
    return Programme.objects.get()


def preview(lines: str) -> SamplesPreview:
    return preview_samples((HEAD + lines).encode(), "r.csv", programme="otter")


def keep(lines: str, *, leave_out: bool = False) -> SamplesKept:
    return keep_samples(
        (HEAD + lines).encode(), "r.csv", programme="otter", leave_out=leave_out,
        registered_at=NOON, registered_by="Bo",
    )  # fmt: skip


GOOD = "S7,otter,body,torso,m1,a,2,T1,EP1,14,Ada\nS7,,limb,,,,,,,,\nS8,a bag,,,,,,,,,\n"


def test_a_register_is_shown_as_it_is_understood_and_nothing_is_kept(otter: Programme) -> None:
    seen = preview(GOOD)
    assert seen.can_be_kept
    assert ([one.number for one in seen.samples], seen.parts, seen.refused) == (["S7", "S8"], 2, ())
    assert [str(one) for one in seen.cautions] == [
        "without a part: S8. Which tool made a piece is asked of its parts: say which it has"
    ]
    assert json.dumps(as_plain(seen))
    assert otter.samples.count() == 2


def test_what_was_shown_is_kept_with_its_tags(otter: Programme) -> None:
    kept = keep(GOOD)
    assert (kept.numbers, kept.parts, kept.left_out) == (("S7", "S8"), 2, 0)
    sample = Sample.objects.get(number="S7")
    torso, limb = sample.parts.order_by("pk")
    assert (sample.build.code, sample.holder, sample.registered_by) == ("EP1", "Ada", "Bo")
    assert (torso.label, torso.tool.code, torso.state.label, torso.cavity.label, torso.shot) == (
        "torso", "M1", "a", "2", 14,
    )  # fmt: skip
    assert torso.trial.name == "T1"
    assert (limb.label, limb.tool, limb.trial) == ("limb", None, None)


def test_the_only_tool_that_makes_the_part_need_not_be_named(otter: Programme) -> None:
    keep("S7,,body,,,,2,T1,,,\n")
    assert Sample.objects.get(number="S7").parts.get().tool.code == "M1"


UNKNOWN = [
    (
        "S1,,body,,,,,,,,",
        "column 1: 'S1' is in the register already; change it there, or give another number",
    ),
    ("S7,,bodi,,,,,,,,", "column 3: 'bodi' is no part of otter; did you mean 'body'?; the row is left out"),
    ("S7,,body,,M2,,,,,,", "column 5: 'M2' is no tool of otter; known are: M1, M9; the row is left out"),
    ("S7,,body,,M9,a,,,,,", "column 5: 'M9' does not make part body; name one of: M1; the row is left out"),
    ("S7,,body,,M1,c,,,,,", "column 6: 'c' is no state of tool M1; known are: a, b; the row is left out"),
    ("S7,,body,,M1,,3,,,,", "column 7: '3' is no cavity of body in M1; known are: 1, 2; the row is left out"),
    ("S7,,body,,M1,,,T9,,,", "column 8: 'T9' is no trial of tool M1; known are: T1"),
    ("S7,,,,,,,,EP7,,", "column 9: 'EP7' is no build of otter; did you mean 'EP1'"),
    ("S7,,tail,,,,1,,,,", "column 7: '1' is that of a tool, and 0 tools make part tail; give its tool first"),
]


@pytest.mark.parametrize(("line", "said"), UNKNOWN, ids=[line for line, _ in UNKNOWN])
def test_a_name_that_the_record_does_not_have_is_refused_by_its_cell(
    line: str, said: str, otter: Programme
) -> None:
    Tool.objects.create(programme=otter, code="M9")
    Part.objects.create(programme=otter, code="tail", resin=otter.resins.get())
    seen = preview(f"S9,,,,,,,,,,\n{line}\n")
    assert [one.number for one in seen.samples] == ["S9"]
    (refused,) = seen.refused
    assert str(refused).startswith("row 3, ")
    assert said in str(refused)
    assert refused.remedy.endswith("; the row is left out")
    with pytest.raises(CannotKeep):
        keep(f"S9,,,,,,,,,,\n{line}\n")
    assert keep(f"S9,,,,,,,,,,\n{line}\n", leave_out=True).numbers == ("S9",)


def test_two_parts_of_one_name_are_refused_at_the_second(otter: Programme) -> None:
    seen = preview("S7,,limb,,,,,,,,\nS7,,limb,,,,,,,,\nS7,,limb,left,,,,,,,\n")
    assert [part.label for part in seen.samples[0].parts] == ["limb", "left"]
    (refused,) = seen.refused
    assert (refused.row, refused.column, refused.found) == (3, 3, "limb")
    assert refused.why == "is a part of sample S7 in row 2 already"
    assert refused.remedy == "give each a part label, such as left arm; the row is left out"


def test_a_file_of_which_nothing_can_be_entered_is_kept_by_no_means(otter: Programme) -> None:
    assert preview("S1,,,,,,,,,,\n").problems == ("no sample of it can be entered",)
    with pytest.raises(CannotKeep, match="no sample of it can be entered"):
        keep("S1,,,,,,,,,,\n", leave_out=True)
    with pytest.raises(NotInRecord):
        preview_samples(b"sample\nS1\n", "r.csv", programme="beaver")


def test_the_register_goes_out_as_a_table_and_comes_in_again_as_it_was(otter: Programme) -> None:
    rows = samples_as_rows("otter")
    assert [(row.number, row.part, row.label, row.trial) for row in rows] == [
        ("S1", "body", "torso", "T1"),
        ("S1", "limb", "left arm", ""),
        ("S2", "", "", ""),
    ]
    assert read_samples(samples_csv(rows).encode(), "r.csv").rows == rows
    assert [row.number for row in samples_as_rows("otter", words="LEFT")] == ["S1", "S1"]
    renamed = samples_csv(rows).replace("S1,", "T1,").replace("S2,", "T2,").encode()
    keep_samples(renamed, "r.csv", programme="otter", registered_at=NOON, registered_by="Bo")
    again = [row for row in samples_as_rows("otter") if row.number.startswith("T")]
    assert [(one.part, one.label, one.tool, one.trial, one.place) for one in again] == [
        (one.part, one.label, one.tool, one.trial, one.place) for one in rows
    ]


def test_a_sample_that_cannot_be_named_is_an_error_in_words(otter: Programme) -> None:
    with pytest.raises(OfftoolError) as refused:
        preview_samples(b"part\nbody\n", "r.csv", programme="otter")
    assert refused.value.remedy
