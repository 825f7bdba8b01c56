"""offtool tell-apart: details, presses, jobs, builds and runs said, changed and listed."""

from __future__ import annotations

from datetime import date

import pytest

from offtool.cli.tell_apart import BELONGS, STAGES
from offtool.handbook.terms import Stage
from offtool.records.models import Build, Detail, Job, Press, Tool, Trial
from offtool.steps.know_ground import know_ground
from offtool.steps.plain import as_plain
from tests.cli.conftest import Run


@pytest.fixture
def cut(flipper: str) -> str:
    """The flipper's tool in three states of steel."""
    tool = Tool.objects.get(code="M1")
    first = tool.states.get()
    tool.states.create(label="later", ordinal=first.ordinal + 1)
    tool.states.create(label="last", ordinal=first.ordinal + 2)
    return flipper


def shows(detail: str) -> list[bool | None]:
    """What the record says of the detail, state by state."""
    known = {row.state_id: row.is_there for row in Detail.objects.get(code=detail).in_states.all()}
    return [known.get(state.pk) for state in Tool.objects.get(code="M1").states.order_by("ordinal")]


def test_the_words_in_help_are_those_that_there_are() -> None:
    assert set(STAGES) == {one.value for one in Stage}
    assert set(BELONGS) == {"--detail", "--press", "--job", "--build", "--run"}


def test_a_detail_came_with_a_state_and_its_lost_sheet_says_nothing(run: Run, cut: str) -> None:
    answer = run("tell-apart", cut, "--detail", "P1: mark", "--name", "date mark", "--came", "M1 last",
                 "--lost", "M1 later", "--where", "inside")  # fmt: skip
    assert answer.exit_code == 0, answer.err
    assert "Detail mark of P1 is kept." in answer.out
    assert shows("mark") == [False, None, True]
    assert "date mark" in answer.out.partition("Details of P1")[2]


def test_a_detail_is_changed_where_that_is_said_and_what_is_not_said_stays(run: Run, cut: str) -> None:
    run("tell-apart", cut, "--detail", "P1: mark", "--came", "M1 last", "--where", "inside")
    assert run("tell-apart", cut, "--detail", "P1: mark").exit_code == 1
    changed = run("tell-apart", cut, "--detail", "P1: mark", "--change", "--came", "M1 later",
                  "--went", "M1 last", "--comes-and-goes")  # fmt: skip
    assert changed.exit_code == 0, changed.err
    kept = Detail.objects.get(code="mark")
    assert (kept.where, kept.kind, shows("mark")) == ("inside", "comes and goes", [False, True, False])
    assert run("tell-apart", cut, "--detail", "P1: vent", "--change").exit_code == 1


def test_a_press_a_job_and_the_run_that_interrupted_it_are_said(run: Run, cut: str) -> None:
    run("tell-apart", cut, "--press", "P6", "--holds", "M1")
    job = run("tell-apart", cut, "--job", "P6: J118", "--product", "wheelbarrow", "--colour", "orange",
              "--lab", "62 48 58 +-0.8", "--begins", "2026-02-01")  # fmt: skip
    assert job.exit_code == 0, job.err
    said = run("tell-apart", cut, "--run", "M1 T1", "--interrupted", "P6:J118", "--stage", "first shots",
               "--pieces", "30", "--on", "2026-02-10")  # fmt: skip
    assert said.exit_code == 0, said.err
    trial = Trial.objects.get(name="T1")
    kept = Job.objects.get()
    assert (trial.interrupted, trial.stage, trial.pieces) == (kept, "first shots", 30)
    assert (kept.lightness, kept.a, kept.b, kept.spread_de) == (62.0, 48.0, 58.0, 0.8)
    assert run("tell-apart", cut, "--job", "P6: J118", "--change", "--ends", "2026-02-20").exit_code == 0
    kept.refresh_from_db()
    assert (kept.ends, kept.product, kept.lightness) == (date(2026, 2, 20), "wheelbarrow", 62.0)
    assert [one.tool.code for one in Press.objects.get().holds.all()] == ["M1"]


def test_a_build_names_its_runs(run: Run, cut: str) -> None:
    answer = run("tell-apart", cut, "--build", "EP", "--stage", "engineering build", "--from-run", "M1 T1",
                 "--pieces", "40")  # fmt: skip
    assert answer.exit_code == 0, answer.err
    assert run("tell-apart", cut, "--build", "EP", "--change", "--on", "2026-03-01").exit_code == 0
    kept = Build.objects.get()
    assert (kept.pieces, kept.built_on) == (40, date(2026, 3, 1))
    assert [one.trial.name for one in kept.from_runs.all()] == ["T1"]


def test_what_is_listed_is_what_the_page_shows(run: Run, cut: str) -> None:
    run("tell-apart", cut, "--detail", "P1: mark", "--came", "M1 last")
    assert run("tell-apart", cut, "--json").json == as_plain(know_ground(cut))
    assert "no detail tells states" in run("tell-apart", cut).out


@pytest.mark.parametrize(
    ("typed", "says", "code"),
    [
        (("--came", "M1 a"), "--came belongs to --detail", 2),
        (("--detail", "P1: x", "--press", "P6"), "one thing at a time", 2),
        (("--press", "P6", "--lab", "1 2 3"), "--lab belongs to", 2),
        (("--detail", "mark"), "type it as", 2),
        (("--detail", "P1: x", "--went", "M1 last"), "with which state it came", 2),
        (("--job", "P6: J1"), "on which day", 2),
        (("--build", "EP"), "how far the product had come", 2),
        (("--change",), "--change belongs to", 2),
        (("--detail", "P1: x", "--came", "M1 z"), "no state 'z'", 1),
        (("--run", "M1 T9"), "'T9' is not in the record", 1),
        (("--job", "P9: J1", "--begins", "2026-01-01"), "no press 'P9'", 1),
        (("--press", "P6", "--holds", "M9"), "M9", 1),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_kept(
    run: Run, cut: str, typed: tuple[str, ...], says: str, code: int
) -> None:
    refused = run("tell-apart", cut, *typed)
    assert (refused.exit_code, says in refused.err) == (code, True), refused.err
    assert not any(model.objects.exists() for model in (Detail, Press, Job, Build))
