"""offtool define-seam, seam and open-piece: named, judged, weld studies read, kept and set aside."""

from __future__ import annotations

import re
from pathlib import Path
from random import Random
from typing import get_args

import pytest

from offtool.cli.define_seam import BLANKS, KINDS
from offtool.cli.open_piece import CAME_APART, NOT_LOOKED, RIDGES, SEEN
from offtool.cli.typeset import columns_of
from offtool.core.welding.open_seam import CameApart, RidgeSeen, Seen
from offtool.handbook.seam_kinds import SEAM_KINDS
from offtool.handbook.terms import SeamKind
from offtool.records.models import Part, Seam
from offtool.steps.as_defined import seam_as_defined
from offtool.steps.ask_if_open import PieceSeen, ask_if_open
from offtool.steps.define_seam import SeamDefined
from offtool.steps.judge_seam import judge_seam, judge_seams
from offtool.steps.plain import as_plain
from offtool.steps.sizes_given import SizeSaid
from tests.cli.conftest import Run

RIM = (
    *("--kind", "step", "--top", "P1", "--bottom", "P2", "--required-n", "180"),
    *("--size", "joint_width=1.6", "--size", "seam_length=92", "--size", "ridge_height=0.45"),
    *("--size", "side_gap=0.08+-0.02", "--size", "open_height=18.5"),
)


@pytest.fixture
def rim(run: Run, flipper: str) -> tuple[str, str]:
    """The flipper welded to a second part: programme and seam."""
    blade = Part.objects.get(code="P1")
    Part.objects.create(programme=blade.programme, code="P2", resin=blade.resin)
    answer = run("define-seam", flipper, "rim", *RIM)
    assert answer.exit_code == 0, answer.err
    return flipper, "rim"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Two settings of ten pulls, one of them weak."""
    random = Random(4)
    lines = ["Piece,Weld time [s],Pressure [bar],Strength [N],Failure,Height [mm],Appearance"]
    for setting, (time, mean) in enumerate(((0.2, 150.0), (0.3, 300.0))):
        lines += [
            f"{10 * setting + piece},{time},2,{random.gauss(mean, 12):.0f},torn,"
            f"{random.gauss(18.1, 0.02):.2f},good"
            for piece in range(10)
        ]
    path = tmp_path / "weld.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_the_words_in_help_are_those_that_there_are() -> None:
    assert set(KINDS) == {kind.value for kind in SeamKind}
    for named, words in ((RIDGES, RidgeSeen), (SEEN, Seen), (CAME_APART, CameApart)):
        assert {*named, NOT_LOOKED} == set(get_args(words))


def test_every_kind_is_listed_with_every_size_it_has(run: Run) -> None:
    listed = run("define-seam").out
    for kind, roles in SEAM_KINDS.items():
        assert f"\n{kind}\n" in listed
        assert all(f"    {role.name} " in listed for role in roles)
    assert set(run("define-seam", "--json").json) == set(KINDS)


def test_a_seam_is_named_changed_and_taken_out(run: Run, rim: tuple[str, str]) -> None:
    before = seam_as_defined(*rim)
    assert before.sizes["side_gap"] == SizeSaid(value=0.08, plus_minus=0.02)
    changed = run("define-seam", *rim, "--change", "--converter-um", "20", "--booster", "1.5", "--horn", "2",
                  "--frequency-khz", "20", "--blank", "required-n")  # fmt: skip
    assert changed.exit_code == 0, changed.err
    after = seam_as_defined(*rim)
    assert (after.converter_um, after.booster_gain, after.horn_gain, after.required_n) == (20, 1.5, 2, None)
    assert (after.sizes, after.kind, after.top_part) == (before.sizes, before.kind, before.top_part)
    assert "60 µm peak-to-peak" in changed.out
    assert "rim is taken out of flipper" in run("define-seam", *rim, "--remove").out
    assert not Seam.objects.exists()


def test_all_that_can_be_made_blank_is_blank_where_nothing_is_said() -> None:
    bare = SeamDefined(code="bare", kind="ridge", top_part="P1", bottom_part="P2", sizes={})
    fields = {"booster": "booster_gain", "horn": "horn_gain"}
    assert all(getattr(bare, fields.get(one, one.replace("-", "_"))) in (None, "") for one in BLANKS)


def test_what_is_shown_is_what_was_found(run: Run, rim: tuple[str, str], file: Path) -> None:
    programme = rim[0]
    assert run("seam", *rim).out.startswith("Rim: no piece has been pulled yet.")
    run("seam", *rim, "--read", file, "--name", "W1", "--keep")
    found = judge_seam(*rim)
    answer = run("seam", *rim)
    assert answer.out.startswith(found.headline[:40])
    for heading in ("What to do", "Strength at 0.3 s, 2 bar", "Settings that were tried", "Melt and welder",
                    "Sizes", "Studies", "What it rests on", "With care"):  # fmt: skip
        assert f"\n{heading}\n" in answer.out
    assert re.search(r"\n +0\.2 +2 +10 +1\d\d +\d+ +10 of 10 +too weak\n", answer.out)
    assert "Never touch a horn" in answer.out
    assert run("seam", *rim, "--json").json == as_plain(found)
    assert run("seam", programme, "--json").json == as_plain(judge_seams(programme))
    assert re.search(r"\n  rim  .*; asked: a pull of at least 180 N\n", run("seam", programme).out)


def test_without_a_seam_it_says_how_to_name_one(run: Run, flipper: str) -> None:
    assert "offtool define-seam flipper SEAM names one." in run("seam", flipper).out


def test_a_study_is_shown_first_kept_when_asked_and_set_aside(
    run: Run, rim: tuple[str, str], file: Path
) -> None:
    shown = run("seam", *rim, "--read", file)
    assert shown.exit_code == 0, shown.err
    assert shown.out.startswith("weld.csv: 20 runs of seam rim understood. Nothing is kept yet.")
    assert re.search(r"weld time +s +20 +2 +0\.2 +0\.3", shown.out)
    assert not judge_seam(*rim).studies
    kept = run("seam", *rim, "--read", file, "--keep")
    assert kept.out.startswith("Kept: 20 runs of weld.csv as study weld of seam rim, programme flipper.")
    twice = run("seam", *rim, "--read", file, "--name", "W2", "--keep")
    assert twice.exit_code == 1
    aside = run("seam", *rim, "--set-aside", "weld", "--because", "the horn was cracked")
    assert "weld: 20 runs" in aside.out
    assert "set aside: the horn was cracked" in " ".join(aside.out.split())


def test_the_report_on_all_seams_is_a_pdf(run: Run, rim: tuple[str, str], tmp_path: Path) -> None:
    file = tmp_path / "seams.pdf"
    answer = run("seam", rim[0], "--report", file)
    assert answer.exit_code == 0, answer.err
    assert answer.out.startswith("The report on the seams is in")
    assert file.read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize("columns", [60, 100, 120])
def test_no_line_is_wider_than_the_terminal(
    run: Run, rim: tuple[str, str], file: Path, columns: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("seam", *rim, "--read", file, "--keep")
    monkeypatch.setenv("COLUMNS", str(columns))
    piece = ("open-piece", *rim, "--height-mm", "18.48", "--flash", "absent")
    for words in (("seam", *rim), ("seam", rim[0]), ("seam", *rim, "--read", file), ("define-seam",), piece):
        lines = run(*words).out.splitlines()
        assert lines
        assert max(map(columns_of, lines)) <= columns


def test_a_piece_as_high_as_two_parts_laid_together_is_open(
    run: Run, rim: tuple[str, str], file: Path
) -> None:
    run("seam", *rim, "--read", file, "--keep")
    answer = run("open-piece", *rim, "--height-mm", "18.5", "--flash", "absent")
    assert answer.exit_code == 0, answer.err
    assert answer.out.startswith("Seam rim: open: ")
    assert re.search(r"height +18\.5 mm +speaks for open", answer.out)
    assert re.search(r"Welded +18\.\d+ ± 0\.0\d+ mm .*20 pieces", answer.out)
    same = ask_if_open(*rim, PieceSeen(height_mm=18.5, flash="absent"))
    assert run("open-piece", *rim, "--height-mm", "18.5", "--flash", "absent", "--json").json == as_plain(
        same
    )


def test_a_piece_that_nobody_looked_at_cannot_be_told(run: Run, rim: tuple[str, str]) -> None:
    answer = run("open-piece", *rim)
    assert answer.out.startswith("Seam rim: cannot tell: 50 % that it was never welded")
    assert "\nWhat to look at next\n" in answer.out


@pytest.mark.parametrize(
    "words",
    [
        ("seam", "flipper", "--read", __file__),
        ("seam", "flipper", "--set-aside", "W1"),
        ("seam", "flipper", "rim", "--read", __file__, "--set-aside", "W1"),
        ("seam", "flipper", "rim", "--keep"),
        ("define-seam", "flipper", "--top", "P1"),
        ("define-seam", "flipper", "rim", "--kind", "ridge"),
        ("define-seam", "flipper", "rim", "--kind", "glue", "--top", "P1", "--bottom", "P2"),
        ("define-seam", "flipper", "rim", "--remove", "--note", "gone"),
        ("open-piece", "flipper", "rim", "--ridge", "gone"),
        ("open-piece", "flipper"),
    ],
)
def test_wrong_usage_leaves_with_2(run: Run, words: tuple[str, ...]) -> None:
    answer = run(*words)
    assert answer.exit_code == 2
    assert "Error: " in answer.err


def test_what_cannot_be_leaves_with_1_in_one_sentence(run: Run, rim: tuple[str, str]) -> None:
    for words, said in (
        (("define-seam", rim[0], "lid", *RIM[:4], "--bottom", "P9"), "no part 'P9' in flipper"),
        (("define-seam", *rim, "--change", "--amplitude-pct", "120"), "is above the full amplitude"),
        (("seam", rim[0], "rin"), "did you mean 'rim'?"),
        (("open-piece", *rim, "--height-mm", "-1"), "height_mm"),
    ):
        answer = run(*words)
        assert answer.exit_code == 1
        assert said in answer.err
        assert len(answer.err.splitlines()) == 1


def test_a_report_never_writes_over_a_file_of_readings(
    run: Run, rim: tuple[str, str], tmp_path: Path
) -> None:
    file = tmp_path / "t1.csv"
    file.write_bytes(b"piece,value")
    answer = run("seam", rim[0], "--report", file)
    assert answer.exit_code == 2
    assert "does not end in .pdf" in answer.err
    assert file.read_bytes() == b"piece,value"
