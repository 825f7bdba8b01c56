"""A weld study from its file into the record: shown first, cavities found, kept in whole or not at all."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from offtool.core.values import OfftoolError
from offtool.records.models import Programme, WeldRun, WeldStudy
from offtool.records.operations import AlreadyKept
from offtool.records.queries import find_seam, studies_of_seam, weld_runs
from offtool.records.queries.finding import NotInRecord
from offtool.steps.keep_weld_study import (
    WeldStudyAbout,
    keep_weld_study,
    preview_weld_study,
    set_weld_study_aside,
)
from offtool.steps.read_readings import CannotKeep
from offtool.steps.weld_study_preview import WeldStudyKept, WeldStudyPreview
from tests.steps.clip import NOON
from tests.steps.jointed import a_seam, with_bore

RUNS = (
    b"Piece;P1 cavity;Bottom cavity;Weld time [ms];Amplitude;Strength [N];Failure;Appearance\n"
    b"1;1;1;200;50;180,5;peeled;good\n2;2;1;300;50;>400;;good\n3;2;1;300;50;390;torn;bad\n"
)


@pytest.fixture
def welded(clip: Programme) -> Programme:
    """The clip with a seam between clip and lid."""
    with_bore(clip)
    a_seam()
    return clip


def preview(content: bytes = RUNS, **about: Any) -> WeldStudyPreview:
    return preview_weld_study(content, "w.csv", programme="clip", seam="rim", about=WeldStudyAbout(**about))


def keep(content: bytes = RUNS, study: str = "1", *, leave_out: bool = False, **about: Any) -> WeldStudyKept:
    return keep_weld_study(
        content, "w.csv", programme="clip", seam="rim", study=study, about=WeldStudyAbout(**about),
        read_at=NOON, read_by="bench", leave_out=leave_out,
    )  # fmt: skip


def test_a_study_is_shown_as_it_is_understood_and_nothing_is_kept(welded: Programme) -> None:
    seen = preview()
    assert seen.can_be_kept
    assert (seen.top_part, seen.bottom_part, seen.top_trial, seen.bottom_trial) == (
        "P1",
        "P2",
        "M1 T2",
        "M1 T2",
    )
    assert (seen.runs, seen.held) == (3, 1)
    time, amplitude, strength = seen.seen
    assert (time.what, time.unit, time.levels, time.lowest, time.highest) == ("weld time", "s", 2, 0.2, 0.3)
    assert amplitude.unit == "µm peak-to-peak"
    assert (strength.runs, strength.highest) == (3, 400.0)
    assert "taken as peak-to-peak" in str(seen.cautions[0])
    assert WeldStudy.objects.count() == 0


def test_a_study_is_kept_with_its_cavities_trials_and_what_was_odd(welded: Programme) -> None:
    kept = keep(gauge="G1", done_on=date(2026, 3, 4), note="first window")
    assert (kept.runs, kept.repairs, kept.left_out, kept.top_trial) == (3, 1, 0, "M1 T1")
    (study,) = studies_of_seam(find_seam(welded, "rim"))
    assert study.note.startswith("first window. 1 cell repaired. The heading of the amplitude says neither")
    found = weld_runs([study])
    assert (found.top.tolist(), found.bottom.tolist()) == (["1", "2", "2"], ["1", "1", "1"])
    assert found.failure.tolist() == ["peeled clean", "held", "material torn"]
    assert found.numbers["strength_n"].tolist() == [180.5, 400.0, 390.0]
    assert found.numbers["time_s"].tolist() == [0.2, 0.3, 0.3]
    assert bytes(WeldStudy.objects.get().content) == RUNS


def test_an_unknown_cavity_is_refused_and_may_be_left_out(welded: Programme) -> None:
    content = RUNS.replace(b"3;2;1", b"3;21;1")
    (cell,) = preview(content).refused
    assert (cell.row, cell.column, cell.why) == (4, 2, "is no cavity of P1 in tool M1")
    with pytest.raises(CannotKeep, match="1 cell cannot be read"):
        keep(content)
    assert WeldRun.objects.count() == 0
    assert keep(content, leave_out=True).runs == 2


def test_a_study_of_other_cavities_only_is_not_kept(welded: Programme) -> None:
    content = b"Piece;P1 cavity;Strength [N]\n1;77;100\n"
    assert not preview(content).can_be_kept
    with pytest.raises(CannotKeep, match="no run is of a cavity that is in the record"):
        keep(content, leave_out=True)


def test_a_study_without_strength_says_so(welded: Programme) -> None:
    said = [str(one) for one in preview(b"Piece;Weld time [s]\n1;0,3\n").cautions]
    assert said == ["no run has a strength: the study cannot say what holds"]
    keep()
    assert "study 1 of this seam counts too" in str(preview().cautions[-1])


def test_the_same_bytes_are_kept_once_until_the_study_is_set_aside(welded: Programme) -> None:
    keep()
    with pytest.raises(AlreadyKept, match="the same file is weld study 1 of seam rim"):
        keep(study="2")
    with pytest.raises(OfftoolError, match="no reason"):
        set_weld_study_aside("clip", "rim", "1", reason="", made_by="")
    set_weld_study_aside("clip", "rim", "1", reason="wrong horn", made_by="tooling")
    with pytest.raises(NotInRecord, match="no weld study '3' of seam rim"):
        set_weld_study_aside("clip", "rim", "3", reason="x", made_by="")
    assert keep(study="2").study == "2"


def test_unknown_names_are_answered(welded: Programme) -> None:
    with pytest.raises(NotInRecord, match="no gauge 'G9'"):
        preview(gauge="G9")
    with pytest.raises(NotInRecord, match="no seam 'rin' in clip; did you mean 'rim'"):
        preview_weld_study(RUNS, "w.csv", programme="clip", seam="rin", about=WeldStudyAbout())


def test_the_preview_asks_of_a_time_that_seems_to_be_in_another_unit(welded: Programme) -> None:
    times = enumerate((300, 400, 0.4, 500), start=1)
    rows = "".join(f"{piece},1,1,{value},180,peeled\n" for piece, value in times)
    seen = preview(f"Piece,P1 cavity,Bottom cavity,Weld time [ms],Strength [N],Result\n{rows}".encode())
    assert any("row 4 " in one.text and "another unit?" in one.text for one in seen.cautions)
    assert seen.can_be_kept
