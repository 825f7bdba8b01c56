"""offtool plan: the plan on the terminal, its papers, and the same as JSON."""

from __future__ import annotations

from pathlib import Path

import pytest

from offtool.steps.plain import as_plain
from offtool.steps.plan_trial import plan_trial
from tests.cli.conftest import Run
from tests.steps.asked import NAME, ON, make_asked, run_job
from tests.web import otter

PLACE = (otter.SLUG, otter.TOOL, NAME)
AT = ("--on", ON.isoformat())


@pytest.fixture
def asked(record: Path) -> None:
    """A trial that is asked for, a job on the press."""
    make_asked()
    run_job()


@pytest.mark.usefixtures("asked")
def test_it_says_verdict_steps_time_and_cautions(run: Run) -> None:
    answer = run("plan", *PLACE, *AT)
    assert answer.exit_code == 0
    found = plan_trial(*PLACE, on=ON)
    said = " ".join(answer.out.split())
    assert said.startswith(found.headline)
    for words in ("What to do", "At the press:", "Press time:", "What is missing", "With care",
                  "only trained people work at the press"):  # fmt: skip
        assert words in said
    for step in found.steps:
        assert step.do in said


@pytest.mark.usefixtures("asked")
def test_json_is_the_result_of_the_step(run: Run) -> None:
    assert run("plan", *PLACE, *AT, "--json").json == as_plain(plan_trial(*PLACE, on=ON))


@pytest.mark.usefixtures("asked")
def test_the_papers_are_written_where_they_are_asked_for(run: Run, tmp_path: Path) -> None:
    request, labels = tmp_path / "request.pdf", tmp_path / "labels.pdf"
    answer = run("plan", *PLACE, *AT, "--request", request, "--labels", labels)
    assert answer.exit_code == 0
    for file, what in ((request, "request"), (labels, "labels")):
        assert file.read_bytes().startswith(b"%PDF")
        assert what in answer.out.split("\n\n")[0]


@pytest.mark.usefixtures("asked")
def test_what_cannot_be_leaves_without_a_file(run: Run, tmp_path: Path) -> None:
    nowhere = tmp_path / "no" / "request.pdf"
    assert run("plan", *PLACE, *AT, "--request", nowhere).exit_code == 1
    assert run("plan", *PLACE, *AT, "--request", tmp_path / "request.txt").exit_code == 2
    assert run("plan", *PLACE, *AT, "--single").exit_code == 2
    assert run("plan", otter.SLUG, otter.TOOL, "T9", *AT).exit_code == 1
    assert run("plan", *PLACE, "--on", "tomorrow").exit_code == 2
    assert list(tmp_path.glob("**/*.pdf")) == []


@pytest.mark.usefixtures("asked")
def test_without_a_tool_it_lists_the_trials_that_wait(run: Run) -> None:
    answer = run("plan", otter.SLUG)
    assert answer.exit_code == 0
    assert "M2 T2" in answer.out
    assert f"offtool plan {otter.SLUG} M2 T2 plans it." in " ".join(answer.out.split())
    assert run("plan", otter.SLUG, "--json").json["requests"][0]["name"] == NAME
    assert run("plan", otter.SLUG, otter.TOOL).exit_code == 2
    assert run("plan", otter.SLUG, "--on", ON.isoformat()).exit_code == 2


@pytest.mark.usefixtures("asked")
def test_the_bags_are_counted_once(run: Run) -> None:
    bring = run("plan", *PLACE, *AT).out.partition("What to bring")[2].partition("What it rests on")[0]
    assert bring.count(" bags ") == 1
    assert "--labels" in bring


def test_a_programme_without_requests_says_how_one_is_asked_for(run: Run, record: Path) -> None:
    otter.make_programme()
    assert f"offtool request {otter.SLUG}" in run("plan", otter.SLUG).out
