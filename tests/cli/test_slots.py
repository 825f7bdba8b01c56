"""offtool slots and jobs: the plan on the terminal, slots fixed, the same as JSON."""

from __future__ import annotations

from pathlib import Path

import pytest

from offtool.cli.slots import USUAL_DAYS, USUAL_SECONDS
from offtool.handbook.shop_times import DAYS_PLANNED
from offtool.records.models import Job, TrialRequest
from offtool.steps.place_trials import SECONDS, place_waiting_trials
from offtool.steps.plain import as_plain
from tests.cli.conftest import Run
from tests.steps.asked import NAME, ON, make_asked, run_job
from tests.web import otter

AT = ("--from", ON.isoformat())
TRIAL = f"{otter.TOOL} {NAME}"


@pytest.fixture
def asked(record: Path) -> None:
    """A trial that is asked for, a job on the press."""
    make_asked()
    run_job()


def test_what_help_says_is_what_the_step_takes() -> None:
    assert (USUAL_DAYS, USUAL_SECONDS) == (DAYS_PLANNED, SECONDS)


@pytest.mark.usefixtures("asked")
def test_it_says_verdict_table_reasons_and_cautions(run: Run) -> None:
    answer = run("slots", otter.SLUG, *AT)
    assert answer.exit_code == 0
    said = " ".join(answer.out.split())
    found = place_waiting_trials(otter.SLUG, from_day=ON)
    assert said.startswith(found.headline)
    for words in ("What to do", "Trials, in order of time", "Why there", "no plan is better", "With care"):
        assert words in said


@pytest.mark.usefixtures("asked")
def test_json_is_the_result_of_the_step(run: Run) -> None:
    assert run("slots", otter.SLUG, *AT, "--json").json == as_plain(
        place_waiting_trials(otter.SLUG, from_day=ON)
    )


@pytest.mark.usefixtures("asked")
def test_slots_are_fixed_and_released(run: Run) -> None:
    assert run("slots", otter.SLUG, *AT, "--fix", TRIAL).exit_code == 0
    assert TrialRequest.objects.get(name=NAME).is_fixed
    assert "fixed" in run("slots", otter.SLUG, *AT).out
    assert run("slots", otter.SLUG, *AT, "--release", TRIAL).exit_code == 0
    assert not TrialRequest.objects.get(name=NAME).is_fixed
    assert run("slots", otter.SLUG, *AT, "--fix-all").exit_code == 0
    assert TrialRequest.objects.get(name=NAME).is_fixed


@pytest.mark.usefixtures("asked")
def test_what_moves_is_said(run: Run) -> None:
    answer = run("slots", otter.SLUG, *AT, "--slip", TRIAL, "--by", "48")
    assert f"If {TRIAL} slips by 2 days" in " ".join(answer.out.split())


@pytest.mark.usefixtures("asked")
def test_names_that_are_not_there_are_refused(run: Run) -> None:
    assert run("slots", otter.SLUG, *AT, "--fix", "M9 T9").exit_code == 1
    assert run("slots", otter.SLUG, *AT, "--slip", "M9 T9").exit_code == 1
    assert run("slots", otter.SLUG, *AT, "--release", "T9").exit_code == 2
    assert run("slots", otter.SLUG, *AT, "--by", "3").exit_code == 2


@pytest.mark.usefixtures("asked")
def test_jobs_are_shown_and_then_kept(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "jobs.csv"
    file.write_text("job,press,begins,ends,may stop\nJ-9,P2,2026-04-13,2026-04-20,yes\n")
    assert "Nothing is kept yet" in run("jobs", otter.SLUG, file).out
    assert not Job.objects.filter(code="J-9").exists()
    assert "Kept: 1 new job" in run("jobs", otter.SLUG, file, "--keep").out
    assert Job.objects.get(code="J-9").may_stop


@pytest.mark.usefixtures("asked")
def test_what_must_never_meet_stands_before_all_else_and_once(run: Run) -> None:
    TrialRequest.objects.update(resin="POM")
    Job.objects.update(resin="PVC-P")
    run_job("P2", resin="PVC-P")
    said = " ".join(run("slots", otter.SLUG, *AT).out.split())
    assert said.startswith("Before all else: POM and PVC-P")
    assert said.count("must never meet") == 1


@pytest.mark.usefixtures("asked")
@pytest.mark.parametrize("resin", ["XYZ", ""])
def test_a_job_of_which_no_known_resin_is_said_is_asked_before_a_slot_is_agreed(run: Run, resin: str) -> None:
    Job.objects.update(resin=resin)
    run_job("P2", resin=resin)
    said = " ".join(run("slots", otter.SLUG, *AT).out.split())
    todo = said.split("What to do")[1].split("Trials, in order of time")[0]
    assert todo.index("find out the resin first") < todo.index("Agree")


@pytest.mark.usefixtures("asked")
def test_jobs_that_stay_out_are_named_with_what_was_kept(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "jobs.csv"
    file.write_text("job,press,begins,resin\nJ-8,P1,01/12/2026,PP\nJ-9,P2,2026-04-13 06:00,PP\n")
    said = "1 job is left out: J-8; its press looks free."
    assert said in " ".join(run("jobs", otter.SLUG, file).out.split())
    kept = " ".join(run("jobs", otter.SLUG, file, "--keep", "--leave-out").out.split())
    assert f"1 refused cell left out. {said}" in kept
    assert "the time is left out: the record keeps days" in kept
    assert not Job.objects.filter(code="J-8").exists()


@pytest.mark.usefixtures("asked")
def test_a_job_that_ends_before_it_begins_is_not_counted_as_understood(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "jobs.csv"
    file.write_text("job,press,begins,ends,resin\nJ-8,P2,2026-04-13,2026-04-01,PP\n")
    said = " ".join(run("jobs", otter.SLUG, file).out.split())
    assert "0 jobs understood" in said
    assert "J-8 ends before it begins" in said
