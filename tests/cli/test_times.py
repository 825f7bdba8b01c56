"""offtool times: engineers and presses that stand, said, listed and taken back."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from offtool.records.models import EngineersThere, PressOff
from offtool.steps.plain import as_plain
from offtool.steps.shop_times import shop_times
from tests.cli.conftest import Run
from tests.steps.asked import ON, make_asked, run_job
from tests.web import otter

FROM, TO = "2026-03-24T08:00", "2026-03-24T17:00"


@pytest.fixture
def asked(record: Path) -> None:
    """A trial that is asked for, two presses."""
    make_asked()


@pytest.mark.usefixtures("asked")
def test_an_engineer_is_said_in_this_computers_time(run: Run) -> None:
    answer = run("times", otter.SLUG, "--engineer", FROM, TO, "--who", "product engineer")
    assert answer.exit_code == 0
    kept = EngineersThere.objects.get()
    assert (kept.who, kept.begins_at) == ("product engineer", datetime(2026, 3, 24, 8).astimezone())
    assert "product engineer is there" in answer.out


@pytest.mark.usefixtures("asked")
def test_a_press_that_stands_is_said_with_why(run: Run) -> None:
    answer = run("times", otter.SLUG, "--press-off", "P1", FROM, TO, "--why", "check ring")
    kept = PressOff.objects.get()
    assert (kept.press.code, kept.why, kept.ends_at) == (
        "P1",
        "check ring",
        datetime(2026, 3, 24, 17).astimezone(),
    )
    assert "P1 stands: check ring" in answer.out


@pytest.mark.usefixtures("asked")
def test_a_time_is_taken_back_by_its_number(run: Run) -> None:
    run("times", otter.SLUG, "--engineer", FROM, TO)
    run("times", otter.SLUG, "--press-off", "P1", FROM, TO)
    assert run("times", otter.SLUG, "--take-back", "2").exit_code == 0
    assert EngineersThere.objects.exists()
    assert not PressOff.objects.exists()
    assert run("times", otter.SLUG, "--take-back", "2").exit_code == 1


@pytest.mark.usefixtures("asked")
def test_json_is_the_result_of_the_step(run: Run) -> None:
    assert run("times", otter.SLUG, "--json").json == as_plain(shop_times(otter.SLUG))


@pytest.mark.usefixtures("asked")
def test_times_that_run_backwards_and_options_left_over_are_refused(run: Run) -> None:
    assert run("times", otter.SLUG, "--engineer", TO, FROM).exit_code == 1
    assert run("times", otter.SLUG, "--who", "somebody").exit_code == 2
    assert run("times", otter.SLUG, "--why", "check ring").exit_code == 2
    assert run("times", otter.SLUG, "--press-off", "P9", FROM, TO).exit_code == 1
    assert not EngineersThere.objects.exists()


@pytest.mark.usefixtures("asked")
def test_where_no_engineer_is_there_the_plan_names_the_command(run: Run) -> None:
    run_job("P1")
    run("times", otter.SLUG, "--engineer", FROM, "2026-03-24T08:05")
    said = " ".join(run("slots", otter.SLUG, "--from", ON.isoformat()).out.split())
    assert f"offtool times {otter.SLUG} --engineer FROM TO" in said
