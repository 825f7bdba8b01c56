"""What offtool says of the demo programme, gathered once for the tests that hold it against the truth."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime

from examples.otter_story.programme import SLUG
from examples.otter_story.trials import RUNS, Run

from offtool.steps.correct_tool import correct_tool
from offtool.steps.demo import DemoResult, run_demo
from offtool.steps.findings import TrialFindings
from offtool.steps.inspect_trial import inspect_trial
from offtool.steps.overview import ProgrammeOverview, programme_overview
from offtool.steps.steel_changes import ToolCorrection

NOW = datetime(2026, 3, 23, 9, tzinfo=UTC)


@dataclass(slots=True, kw_only=True)
class Shown:
    """What offtool says of the committed programme, the third trials read."""

    first: DemoResult
    again: DemoResult
    overview: ProgrammeOverview
    findings: dict[tuple[str, str], TrialFindings] = field(default_factory=dict)
    corrections: dict[tuple[str, str], ToolCorrection] = field(default_factory=dict)


def show_all() -> Shown:
    """Run the demo twice, which reads the third trials, and inspect and correct every trial."""
    first, again = (run_demo(read_at=NOW, read_by="tester") for _ in range(2))
    found = Shown(first=first, again=again, overview=programme_overview(SLUG))
    for run in RUNS:
        tool = run.drawing.code
        found.findings[tool, run.name] = inspect_trial(SLUG, tool, run.name)
        found.corrections[tool, run.name] = correct_tool(SLUG, tool, run.name)
    return found


def run_of(tool: str, trial: str) -> Run:
    return next(run for run in RUNS if (run.drawing.code, run.name) == (tool, trial))
