"""inspect and correct: verdict first, then what to do, then why; and the decision that is kept."""

from __future__ import annotations

from pathlib import Path

import pytest

from offtool.steps.correct_tool import correct_tool
from offtool.steps.inspect_trial import inspect_trial
from offtool.steps.plain import as_plain
from tests.cli.conftest import Run, report


def test_the_verdict_stands_first_then_what_to_do_then_why(run: Run, flipper: str) -> None:
    answer = run("inspect", flipper, "M1", "T1")
    assert answer.exit_code == 0
    assert answer.out.splitlines()[0] == inspect_trial(flipper, "M1", "T1").headline
    order = [
        answer.out.index(f"\n{heading}\n")
        for heading in ("What to do", "Why", "What it rests on", "With care")
    ]
    assert order == sorted(order)


def test_a_size_that_does_not_hold_has_a_bar_for_each_cavity(run: Run, flipper: str) -> None:
    shown = run("inspect", flipper, "M1", "T1").out
    below = shown[shown.index("P1 1 peg, 3.98 to 4.03 mm") :].splitlines()
    bars = [line for line in below[:8] if "×" in line]
    assert [line.split()[0] for line in bars] == ["1", "2"]
    peg = inspect_trial(flipper, "M1", "T1").sizes[0].finding
    assert all(f"{cavity.mean:.3f}" in line for cavity, line in zip(peg.cavities, bars, strict=True))


def test_sizes_that_hold_are_a_line_each_and_in_full_when_asked(run: Run, flipper: str) -> None:
    short, full = run("inspect", flipper, "M1", "T1").out, run("inspect", flipper, "M1", "T1", "--all").out
    assert "2 sizes hold" in short
    assert "P1 2 length, 39.9 to 40.1 mm" not in short
    assert "P1 2 length, 39.9 to 40.1 mm, major, Ppk 1.00 asked: holds" in full


def test_json_is_the_result_itself(run: Run, flipper: str) -> None:
    assert run("inspect", flipper, "M1", "T1", "--json").json == as_plain(inspect_trial(flipper, "M1", "T1"))
    assert run("correct", flipper, "M1", "T1", "--json").json == as_plain(correct_tool(flipper, "M1", "T1"))


@pytest.mark.parametrize("columns", ["60", "80", "100", "120"])
def test_no_line_is_longer_than_the_terminal(
    run: Run, flipper: str, columns: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    for command in ("inspect", "correct"):
        shown = run(command, flipper, "M1", "T1").out
        assert max(map(len, shown.splitlines())) <= int(columns)


def test_the_findings_are_written_as_a_workbook(run: Run, flipper: str, tmp_path: Path) -> None:
    answer = run("inspect", flipper, "M1", "T1", "--workbook", tmp_path / "T1.xlsx")
    assert answer.exit_code == 0, answer.err
    assert (tmp_path / "T1.xlsx").read_bytes().startswith(b"PK")
    assert "T1.xlsx" in answer.out


def test_a_file_that_cannot_be_written_is_refused(run: Run, flipper: str, tmp_path: Path) -> None:
    answer = run("inspect", flipper, "M1", "T1", "--workbook", tmp_path / "nowhere" / "T1.xlsx")
    assert answer.exit_code == 1
    assert "cannot be written" in answer.err


def test_a_cut_says_amount_steel_before_and_after_and_what_the_part_gets(run: Run, flipper: str) -> None:
    shown = " ".join(run("correct", flipper, "M1", "T1").out.split())
    for change in correct_tool(flipper, "M1", "T1").changes:
        assert (
            f"remove {change.amount_mm:.2f} {change.size_before_mm:.3f} → {change.size_after_mm:.3f}" in shown
        )
    assert "cavity half of P1; amounts on diameter" in shown
    assert "P1 1 peg gets LARGER" in shown
    assert "Nothing is decided yet: add --keep all" in shown


def test_all_cuts_are_kept_with_their_predictions(run: Run, flipper: str) -> None:
    from offtool.records.models import Correction, Prediction

    answer = run("correct", flipper, "M1", "T1", "--keep", "all")
    assert answer.exit_code == 0, answer.err
    assert "Decided after this trial" in answer.out
    assert Correction.objects.count() == 2
    assert Prediction.objects.count() == 2


def test_single_cuts_are_kept_by_feature_and_cavity(run: Run, flipper: str) -> None:
    kept = run("correct", flipper, "M1", "T1", "--keep", "F1/2", "--json").json["kept"]
    assert [(one["feature"], one["cavity"], one["status"]) for one in kept] == [("F1", "2", "proposed")]


def test_a_cut_that_is_not_proposed_is_refused(run: Run, flipper: str) -> None:
    answer = run("correct", flipper, "M1", "T1", "--keep", "F9/1")
    assert answer.exit_code == 1
    assert "no cut is proposed for F9 in cavity 1; choose from F1/1, F1/2" in answer.err


def test_a_choice_without_cavity_is_wrong_usage(run: Run, flipper: str) -> None:
    answer = run("correct", flipper, "M1", "T1", "--keep", "F1")
    assert answer.exit_code == 2
    assert "FEATURE/CAVITY" in answer.err


def test_nothing_is_decided_when_the_sheet_has_no_folder_to_go_to(
    run: Run, flipper: str, tmp_path: Path
) -> None:
    from offtool.records.models import Correction

    answer = run("correct", flipper, "M1", "T1", "--keep", "all", "--sheet", tmp_path / "nowhere" / "s.pdf")
    assert answer.exit_code == 1
    assert "s.pdf: cannot be written" in answer.err
    assert Correction.objects.count() == 0


def test_the_sheet_is_a_pdf(run: Run, flipper: str, tmp_path: Path) -> None:
    answer = run("correct", flipper, "M1", "T1", "--sheet", tmp_path / "sheet.pdf")
    assert answer.exit_code == 0, answer.err
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")


def test_the_whole_loop_ends_with_predictions_confirmed(run: Run, flipper: str, tmp_path: Path) -> None:
    """Decided, cut, measured again, moulded as predicted: each prediction is judged, and the peg holds."""
    table = tmp_path / "steel.csv"
    assert run("correct", flipper, "M1", "T1", "--keep", "all", "--to-measure", table).exit_code == 0
    asked = {row.split(",")[1]: row.split(",")[2] for row in table.read_text("utf-8-sig").splitlines()[1:]}
    table.write_text(
        "feature;cavity;measured_mm\n"
        + "".join(f"F1;{c};{size.replace('.', ',')}\n" for c, size in asked.items()),
        encoding="utf-8",
    )
    cut = run("correct", flipper, "M1", "T1", "--remeasured", table, "--cut-on", "2026-03-20")
    assert cut.out.startswith("Tool M1 is now in state b: 2 steel sizes as measured again.")
    changes = correct_tool(flipper, "M1", "T1").kept
    assert {(one.status, one.resulting_state) for one in changes} == {("cut", "b")}

    (tmp_path / "T2.csv").write_text(report(seed=5, shift=0.035), encoding="utf-8")
    kept = run("read", flipper, "M1", "T2", tmp_path / "T2.csv", "--keep", "--json").json
    assert (kept["state"], kept["predictions_judged"]) == ("b", 2)
    seen = run("inspect", flipper, "M1", "T2", "--all").out
    assert "Predictions of T1" in seen
    assert seen.count(" confirmed") >= 2
    assert "not hold" not in seen.splitlines()[0]


def test_a_remeasurement_stands_alone(run: Run, flipper: str, tmp_path: Path) -> None:
    file = tmp_path / "steel.csv"
    file.write_text("feature,cavity,measured_mm\nF1,1,4.0\n", encoding="utf-8")
    answer = run("correct", flipper, "M1", "T1", "--remeasured", file, "--keep", "all")
    assert answer.exit_code == 2
    assert run("correct", flipper, "M1", "T1", "--cut-on", "2026-03-20").exit_code == 2


def test_nothing_to_measure_is_refused(run: Run, flipper: str, tmp_path: Path) -> None:
    answer = run("correct", flipper, "M1", "T1", "--to-measure", tmp_path / "steel.csv")
    assert answer.exit_code == 1
    assert "decide on cuts with --keep first" in answer.err


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("feature,cavity\nF1,1\n", "line 1: no column measured_mm"),
        ("feature,cavity,measured_mm,colour\nF1,1,4,red\n", "line 1: unknown column colour"),
        ("feature,cavity,measured_mm\nF1,1,wide\n", "line 2, measured_mm: 'wide' is no number"),
        ("feature,cavity,measured_mm\nF1,1,4.0\nF1,1,4.1\n", "line 3: F1 in cavity 1 a second time"),
        ("feature,cavity,measured_mm\nF1,1,\n", "no steel size is filled in"),
        ("feature,cavity,measured_mm\nF9,1,4.0\n", "no steel feature 'F9'"),
        ("feature,cavity,measured_mm\nF1,9,4.0\n", "no cavity '9'"),
        ("feature,cavity,measured_mm\nF1,1,-4\n", "error"),
        ("feature,cavity,measured_mm\nF1,1,nan\n", "error"),
        ("feature,cavity,measured_mm\nF1\n", "no steel size is filled in"),
        ("", "is empty"),
    ],
)
def test_a_steel_file_that_cannot_be_is_refused_and_the_tool_keeps_its_state(
    run: Run, flipper: str, tmp_path: Path, content: str, said: str
) -> None:
    from offtool.records.models import ToolState

    file = tmp_path / "steel.csv"
    file.write_text(content, encoding="utf-8")
    answer = run("correct", flipper, "M1", "T1", "--remeasured", file)
    assert answer.exit_code == 1
    assert said.casefold() in answer.err.casefold()
    assert ToolState.objects.count() == 1
