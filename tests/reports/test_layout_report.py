"""The layout report: every size with its drawings, what was left out and why, the same bytes every time."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from offtool.records.models import Programme, Trial
from offtool.reports.layout_report import layout_report
from offtool.steps.inspect_size import inspect_sizes
from offtool.steps.judge_readings import find_reading, leave_out
from tests.steps.clip import NOON, SLUG, TOOL, keep, make_clip, trial_file


@pytest.fixture
def clip(db: None) -> Programme:
    return make_clip()


def text_of(pdf: bytes, tmp_path: Path) -> str:
    file = tmp_path / "report.pdf"
    file.write_bytes(pdf)
    done = subprocess.run(
        ["pdftotext", "-layout", str(file), "-"], capture_output=True, text=True, check=True
    )
    return " ".join(done.stdout.split())


def test_the_report_holds_every_size_its_verdict_and_the_readings_left_out(
    clip: Programme, tmp_path: Path
) -> None:
    keep(trial_file())
    reading = find_reading(SLUG, TOOL, "T1", size="P1 1", cavity="2", shot=35)
    leave_out(
        SLUG,
        TOOL,
        "T1",
        readings=[reading.reading_id],
        reason="fell #panic() *on* the floor",
        made_at=NOON,
        made_by="tester",
    )
    findings, sizes = inspect_sizes(SLUG, TOOL, "T1")
    pdf = layout_report(findings, sizes)
    said = text_of(pdf, tmp_path)
    assert findings.headline in said
    for size in findings.sizes:
        assert size.name in said
        assert size.why.split(".")[0] in said
    assert "Readings left out by a person" in said
    assert "fell #panic() *on* the floor" in said
    assert "parts outside" in said
    assert layout_report(findings, sizes) == pdf


def test_a_trial_without_readings_makes_a_report_that_says_so(clip: Programme, tmp_path: Path) -> None:
    tool = clip.tools.get()
    Trial.objects.create(tool=tool, name="T1", state=tool.states.get())
    assert "Nothing was measured yet" in text_of(layout_report(*inspect_sizes(SLUG, TOOL, "T1")), tmp_path)
