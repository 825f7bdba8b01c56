"""offtool presses: tools against presses, one tool with numbers that are tried, and what is refused."""

from __future__ import annotations

import pytest

from offtool.cli.typeset import columns_of
from offtool.records.models import Press, Tool
from offtool.steps.fit_presses import fit_presses, fit_tool
from offtool.steps.plain import as_plain
from offtool.steps.tool_at_press import ToolTyped
from tests.cli.conftest import Run
from tests.steps.pressed import Shape, make_presses, shaped


@pytest.fixture
def pressed(flipper: str, monkeypatch: pytest.MonkeyPatch) -> str:
    """The flipper's tool with three presses and a shape; gives the programme."""
    shaped(monkeypatch, Shape(weight_g=9.0))
    make_presses(Tool.objects.get(code="M1"))
    return flipper


def test_without_a_tool_every_tool_is_held_against_every_press(run: Run, pressed: str) -> None:
    out = run("presses", pressed).out
    for words in ("M1", "P1", "P2", "P3", "800 kN, 82 t", "numbers are not written down", "With care"):
        assert words in out
    assert all(columns_of(line) <= 100 for line in out.splitlines())


def test_one_tool_shows_each_check_the_cycle_and_what_it_rests_on(run: Run, pressed: str) -> None:
    out = run("presses", pressed, "M1").out
    assert out.startswith(fit_tool(pressed, "M1").headline[:40])
    for words in ("What to do", "On P2", "time in the barrel", "tie bars", "to spare", "Cycle",
                  "parts a minute", "Cooling", "What it rests on", "nobody beneath"):  # fmt: skip
        assert words in out
    assert all(columns_of(line) <= 100 for line in out.splitlines())


def test_json_is_the_result_of_the_step(run: Run, pressed: str) -> None:
    assert run("presses", pressed, "--json").json == as_plain(fit_presses(pressed))
    told = run("presses", pressed, "M1", "--wall-mm", "3.1", "--json").json
    assert told == as_plain(fit_tool(pressed, "M1", ToolTyped(wall_mm=3.1)))


def test_a_heavier_shot_changes_the_answer_and_not_the_record(run: Run, pressed: str) -> None:
    assert "cannot hold the shot" in run("presses", pressed, "M1", "--parts-g", "300").out
    assert "cannot hold the shot" not in run("presses", pressed, "M1").out.split("P1")[0]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("--wall-mm", "2"), 2, "--wall-mm belongs to one tool"),
        (("M1", "--wall-mm", "0"), 1, "must be above 0"),
        (("M77",), 1, "M77"),
        (("M1", "--wall-mm", "thick"), 2, "is no number"),
    ],
)
def test_what_cannot_be_is_refused(
    run: Run, pressed: str, words: tuple[str, ...], code: int, said: str
) -> None:
    answer = run("presses", pressed, *words)
    assert answer.exit_code == code
    assert said in answer.err


def test_without_a_press_the_command_that_writes_one_down_is_named_and_works(run: Run, flipper: str) -> None:
    adds = f"offtool press {flipper} PRESS --new"
    for typed in (("presses", flipper), ("presses", flipper, "M1")):
        assert adds in run(*typed).out
    assert "offtool press PROGRAMME PRESS --new" in run("colour", flipper).err
    refused = run("press", flipper, "P9", "--clamp-kn", "500")
    assert (refused.exit_code, "'P9' --new writes it down" in refused.err) == (1, True)
    assert not Press.objects.exists()
    kept = run("press", flipper, "P9", "--new", "--clamp-kn", "500")
    assert kept.exit_code == 0, kept.err
    assert "Press P9 is written down." in kept.out
    assert [(one.code, one.clamp_kn) for one in Press.objects.all()] == [("P9", 500.0)]
    assert adds not in run("presses", flipper).out
    again = run("press", flipper, "P9", "--new")
    assert (again.exit_code, "a press P9 already" in again.err) == (1, True)
    assert run("press", flipper, "P9", "--new", "--forget", "clamp-kn").exit_code == 2


def test_help_has_an_example(run: Run) -> None:
    assert "Example: offtool presses" in run("presses", "--help").out
