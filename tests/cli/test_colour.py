"""offtool colour: a change with its way back, measured shots, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from offtool.cli.typeset import columns_of
from offtool.handbook.terms import TrialPurpose
from offtool.records.models import ColourChange, Tool
from offtool.steps.colour_change import ColourAsked, find_change
from offtool.steps.plain import as_plain
from tests.cli.conftest import Run
from tests.steps import coloured
from tests.steps.coloured import DAY
from tests.steps.pressed import Shape, shaped

ON = ("--on", DAY.isoformat())
COLOURS = ("--from", "38,14,20", "--to", "81 6 74", "--shot-g", "22")


@pytest.fixture
def shop(flipper: str, monkeypatch: pytest.MonkeyPatch) -> str:
    """The flipper's tool beside presses that run colours; gives the programme."""
    shaped(monkeypatch, Shape())
    coloured.make_coloured(Tool.objects.get(code="M1"))
    return flipper


@pytest.fixture
def shots(tmp_path: Path) -> Path:
    """A file of measured shots."""
    file = tmp_path / coloured.FILE
    file.write_text(coloured.shots_csv(), encoding="utf-8")
    return file


def test_it_says_what_the_page_says(run: Run, shop: str) -> None:
    out = run("colour", shop, *ON).out
    found = find_change(shop, ColourAsked(), on=DAY)
    assert out.startswith(found.headline[:60])
    for words in ("What to do", "In which colour to shoot", "Shots from each colour to each other on P1",
                  "What it rests on", "With care", "only trained people"):  # fmt: skip
        assert words in out
    assert all(columns_of(line) <= 100 for line in out.splitlines())


def test_json_is_the_result_of_the_step(run: Run, shop: str) -> None:
    told = run("colour", shop, "P1", "--shot-g", "20", "--limit", "0.5", *ON, "--json").json
    assert told == as_plain(find_change(shop, ColourAsked(press="P1", shot_g=20.0, limit_de=0.5), on=DAY))


def test_pom_after_pvc_is_the_first_line(run: Run, shop: str) -> None:
    coloured.ask(Tool.objects.get(code="M1"), "T5", TrialPurpose.SIZES, resin="POM")
    out = run("colour", shop, "P2", "--to", "M1 T5", *ON).out
    assert out.startswith("Before all else: POM and PVC-P: POM and PVC must never meet")


def test_a_decimal_comma_is_as_good_as_a_point(run: Run, shop: str) -> None:
    comma, point = (run("colour", shop, "P1", "--limit", one, *ON, "--json").json for one in ("0,5", "0.5"))
    assert comma == point


def test_colours_are_named_or_typed(run: Run, shop: str) -> None:
    out = run("colour", shop, "P1", "--from", "yellow", "--to", "28, 2, −15", "--to-resin", "ABS", *ON).out
    assert "until the colour 28, 2, −15 is inside" in out.replace("\n", " ")
    assert "natural" in run("colour", shop, "P1", "--to", "natural", *ON).out


def test_measured_shots_are_shown_then_kept_then_set_aside(run: Run, shop: str, shots: Path) -> None:
    shown = run("colour", shop, "P1", *COLOURS, "--read", shots).out
    assert "16 shots on P1 understood" in shown
    assert "Nothing is kept yet" in shown
    assert not ColourChange.objects.exists()
    kept = run("colour", shop, "P1", *COLOURS, "--read", shots, "--name", "March", "--keep", "--json").json
    assert (kept["change"], kept["shots"]) == ("March", 16)
    assert "fitted to 16 measured shots" in run("colour", shop, "P1", *ON).out
    out = run("colour", shop, "P1", "--set-aside", "March", "--because", "it stood between", *ON).out
    assert out.startswith("March counts no longer.")
    assert "set aside: it stood between" in out


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("P77",), 1, "P77"),
        (("P1", "--to", "ultramarine"), 1, "no colour 'ultramarine' is known"),
        (("P1", "--to", "110,0,0"), 1, "no surface"),
        (("P1", "--keep"), 2, "--read"),
        (("--set-aside", "x"), 2, "name the press"),
        (("P1", "--shot-g", "0"), 2, "--shot-g"),
        (("P1", "--shot-g", "0,0"), 2, "is not above 0"),
        (("P1", "--trial-shots", "0,5"), 2, "is below 1"),
    ],
)
def test_what_cannot_be_is_refused(run: Run, shop: str, words: tuple[str, ...], code: int, said: str) -> None:
    answer = run("colour", shop, *words)
    assert answer.exit_code == code
    assert said in answer.err


def test_a_file_needs_both_colours_and_the_weight_beside_it(run: Run, shop: str, shots: Path) -> None:
    answer = run("colour", shop, "P1", "--read", shots)
    assert answer.exit_code == 2
    assert "--from, --to and --shot-g" in answer.err
    named = run("colour", shop, "P1", "--from", "yellow", "--to", "teal", "--shot-g", "22", "--read", shots)
    assert "16 shots on P1 understood" in named.out
