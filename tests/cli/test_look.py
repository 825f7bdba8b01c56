"""look and defects: what was seen is kept, with photographs, from a file too; where every finding stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from offtool.records.models import Defect, Flaw, Look, Photograph, Trial
from tests.cli.conftest import Run
from tests.exchange.test_pictures import photograph

PLACE = ("look", "flipper", "M1", "T1")


def one_line(text: str) -> str:
    return " ".join(text.split())


def test_a_flaw_is_kept_with_its_place_and_its_photograph(run: Run, flipper: str, tmp_path: Path) -> None:
    picture = tmp_path / "IMG_1.jpg"
    picture.write_bytes(photograph())
    answer = run(
        *PLACE,
        "--cavity",
        "2",
        "--shot",
        "12",
        "--flaw",
        "short-shot=1@left ear",
        "--photo",
        picture,
        "--by",
        "tooling",
        "--note",
        "first of the day",
    )
    assert answer.exit_code == 0, answer.err
    assert answer.out.startswith("Kept in T1, state a: 1 piece in 1 look, 1 flaw, 1 photograph.")
    assert "short shot, major: 1 of 1 piece here" in answer.out
    said = one_line(answer.out)
    assert "cavity 2, left ear, 1 of 1 (" in said
    assert "Open since T1 (state a): 1 of 1 in T1." in said
    look = Look.objects.get()
    assert (look.shot_number, look.looked_by, look.note) == (12, "tooling", "first of the day")
    assert Flaw.objects.get().place == "left ear"
    assert bytes(Photograph.objects.get().content) == photograph()


def test_a_look_without_a_flaw_is_a_clean_one_and_several_cavities_may_be_clean(
    run: Run, flipper: str
) -> None:
    answer = run(*PLACE, "--cavity", "1", "--cavity", "2", "--pieces", "8")
    assert answer.out.startswith("Kept in T1, state a: 16 pieces in 2 looks, nothing wrong.")
    assert Look.objects.count() == 2


def test_the_standing_is_listed_and_nothing_is_kept(run: Run, flipper: str) -> None:
    run(*PLACE, "--cavity", "2", "--pieces", "24", "--flaw", "flash=9")
    listed = run(*PLACE, "--list")
    assert "1 defect seen on 24 pieces of T1." in listed.out
    assert "Mend flash in cavity 2." in listed.out
    assert "only trained people work at the press" in one_line(listed.out)
    assert Look.objects.count() == 1
    found = run(*PLACE, "--list", "--json").json["findings"]
    assert found["defects"][0]["followed"][0]["standing"] == "open"


def test_an_unknown_cavity_is_said_to_be_unknown(run: Run, flipper: str) -> None:
    run(*PLACE, "--cavity", "unknown", "--flaw", "sink")
    assert Look.objects.get().cavity is None


def test_a_new_trial_is_made_only_when_asked_for(run: Run, flipper: str) -> None:
    words = ("look", "flipper", "M1", "T2", "--cavity", "1")
    refused = run(*words)
    assert refused.exit_code == 1
    assert "no trial 'T2' of tool M1" in refused.err
    assert run(*words, "--new").out.startswith(
        "Kept in T2, state a: 1 piece in 1 look, nothing wrong. The trial was"
    )
    assert Trial.objects.filter(name="T2").exists()


def test_a_look_is_set_aside_by_the_number_under_which_it_is_listed(run: Run, flipper: str) -> None:
    run(*PLACE, "--cavity", "2", "--shot", "12", "--flaw", "flash@left ear")
    run(*PLACE, "--cavity", "unknown", "--pieces", "8")
    first, second = Look.objects.order_by("pk").values_list("pk", flat=True)
    listed = one_line(run(*PLACE, "--list").out)
    assert f"Looks {second} cavity unknown 8 pieces nothing wrong" in listed
    assert f"{first} cavity 2, shot 12 1 piece flash, left ear" in listed
    aside = run(*PLACE, "--set-aside", str(first), "--because", "it was oil", "--by", "quality")
    assert aside.exit_code == 0, aside.err
    assert "1 look set aside" in aside.out
    assert "cavity 2, shot 12: it was oil" in aside.out
    row = Look.objects.get(pk=first).history.latest()
    assert (row.set_aside, row.history_user_id) == ("it was oil", "quality")
    assert f"{first} cavity 2" not in one_line(run(*PLACE, "--list").out)
    again = run(*PLACE, "--set-aside", str(first), "--because", "again")
    assert (again.exit_code, "it was set aside before: it was oil" in again.err) == (1, True)


def test_looks_come_from_a_file(run: Run, flipper: str, tmp_path: Path) -> None:
    file = tmp_path / "looks.csv"
    file.write_text("cavity,shot,defect,place\n1,1,,\n2,1,flash,parting line\n", encoding="utf-8")
    answer = run(*PLACE, "--from", file)
    assert answer.exit_code == 0, answer.err
    assert answer.out.startswith("Kept in T1, state a: 2 pieces in 2 looks, 1 flaw.")
    assert "the same file was read before" in run(*PLACE, "--from", file).err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "say which cavity"),
        (("--cavity", "1", "--cavity", "2", "--flaw", "flash"), "flaws and photographs are of one cavity"),
        (("--list", "--from", __file__), "--from and --list cannot both be meant"),
        (("--list", "--set-aside", "1", "--because", "x"), "--list and --set-aside cannot both be meant"),
        (("--list", "--new"), "--new has no meaning with --list"),
        (("--list", "--by", "Ada"), "--by has no meaning with --list"),
        (("--set-aside", "1"), "--set-aside and --because belong together"),
        (("--cavity", "1", "--because", "x"), "--set-aside and --because belong together"),
        *(
            ((*instead, option, value), f"{option} has no meaning with {instead[0]}")
            for instead in (("--from", __file__), ("--list",), ("--set-aside", "1", "--because", "x"))
            for option, value in (
                ("--cavity", "1"),
                ("--flaw", "flash"),
                ("--pieces", "1"),
                ("--note", ""),
                ("--shot", "0"),
                ("--photo", __file__),
            )
        ),
    ],
)
def test_wrong_usage_leaves_with_2(run: Run, flipper: str, words: tuple[str, ...], said: str) -> None:
    answer = run(*PLACE, *words)
    assert answer.exit_code == 2
    assert said in one_line(answer.err)
    assert Look.objects.count() == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--cavity", "9"), "no cavity '9'"),
        (("--cavity", "1", "--flaw", "flsh"), "did you mean 'flash'?"),
        (("--cavity", "1", "--flaw", "flash=x"), "'x' is no number of pieces"),
        (("--cavity", "1", "--flaw", "flash=2"), "must be 1 to the 1 looked at"),
        (("--cavity", "1", "--pieces", "0"), "pieces = 0: must be 1 to"),
        (("--cavity", "1", "--photo", __file__), "is no picture that can be read"),
    ],
)
def test_a_refusal_is_one_sentence_and_keeps_nothing(
    run: Run, flipper: str, words: tuple[str, ...], said: str
) -> None:
    answer = run(*PLACE, *words)
    assert answer.exit_code == 1
    assert said in answer.err
    assert Look.objects.count() == 0


def test_the_list_of_defects_is_shown_and_changed(run: Run, flipper: str) -> None:
    assert "short-shot" in run("defects", "flipper").out
    added = run("defects", "flipper", "--code", "whisker-line", "--name", "whisker line", "--class", "minor")
    assert "whisker line" in added.out
    run("defects", "flipper", "--code", "flash", "--retire", "--reason", "no such tool", "--by", "quality")
    row = Defect.objects.get(code="flash").history.latest()
    assert (row.is_listed, row.history_user_id, row.history_change_reason) == (
        False,
        "quality",
        "no such tool",
    )
    assert "Off the list" in run("defects", "flipper").out
    codes = {one["code"]: one["is_listed"] for one in run("defects", "flipper", "--json").json}
    assert codes["flash"] is False
    assert codes["whisker-line"] is True
    run("defects", "flipper", "--code", "flash", "--restore")
    assert Defect.objects.get(code="flash").is_listed


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("--code", "new"), 1, "give a new one a name"),
        (("--name", "new"), 2, "say which defect"),
        (("--code", "flash", "--retire", "--restore"), 2, "cannot both be meant"),
    ],
)
def test_what_cannot_be_meant_of_the_list_is_refused(
    run: Run, flipper: str, words: tuple[str, ...], code: int, said: str
) -> None:
    answer = run("defects", "flipper", *words)
    assert answer.exit_code == code
    assert said in answer.err
