"""offtool define-joint and offtool joint: named, judged, steel asked for, tests read, kept and set aside."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import click
import pytest

from offtool.cli.define_joint import BLANKS, KINDS
from offtool.cli.joint_pairs import cell
from offtool.cli.show_joint import joint_lines
from offtool.cli.sizes_typed import sizes_typed
from offtool.cli.typeset import columns_of
from offtool.core.joints.assembled import AssembledShares, GradeShare
from offtool.core.joints.friction import learn_friction
from offtool.core.values import Interval
from offtool.handbook.joint_kinds import JOINT_KINDS
from offtool.handbook.terms import JointKind
from offtool.records.models import Joint, JointDemand
from offtool.steps.as_defined import joint_as_defined
from offtool.steps.define_joint import JointDefined
from offtool.steps.judge_joint import judge_joint, judge_joints
from offtool.steps.plain import as_plain
from offtool.steps.sizes_given import SizeSaid
from tests.cli.conftest import Run

HINGE = (
    *("--kind", "peg in socket", "--size", "peg_diameter=P1 1", "--size", "socket_bore=3.95+-0.01"),
    *("--size", "socket_outer=7.2", "--size", "contact_length=4", "--upper", "0.2", "--lower", "0.1"),
    *("--inner-resin", "POM", "--outer-resin", "ABS"),
)
TORQUES = (
    "Piece,P1 cavity,Breakaway torque [mN.m],Condition,Hours\n"
    "1,1,61,fresh,0.2\n2,2,65,fresh,0.2\n3,1,64,fresh,0.2\n4,2,66,fresh,0.2\n"
    "1,1,52,aged,24\n2,2,55,aged,24\n3,1,53,aged,24\n4,2,57,aged,24\n"
)


@pytest.fixture
def hinge(run: Run, flipper: str) -> tuple[str, str]:
    """The flipper's peg in a socket of 3.95: programme and joint."""
    answer = run("define-joint", flipper, "hinge", *HINGE)
    assert answer.exit_code == 0, answer.err
    return flipper, "hinge"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Eight torques of four pieces."""
    path = tmp_path / "torque.csv"
    path.write_text(TORQUES, encoding="utf-8")
    return path


def shares(**of: float) -> AssembledShares:
    """Shares of which only those that are named are not nothing."""

    def grade(name: str) -> GradeShare:
        share = of.get(name, 0.0)
        return GradeShare(share=share, interval=Interval(low=share, high=share, confidence=0.95))

    return AssembledShares(
        loose=grade("loose"), good=grade("good"), tight=grade("tight"), overstrained=grade("overstrained"),
        mean=0.05, sd=0.01, middle_low=0.03, middle_high=0.07, combinations=1000,
    )  # fmt: skip


def test_the_kinds_named_in_help_are_those_that_there_are() -> None:
    assert set(KINDS) == {kind.value for kind in JointKind}
    assert len(KINDS) == len(JointKind)


def test_all_that_can_be_made_blank_is_a_field_of_a_joint(run: Run, hinge: tuple[str, str]) -> None:
    """Each is blank in a joint that says nothing of it."""
    bare = JointDefined(code="bare", kind="slip fit", sizes={})
    for one in BLANKS:
        field = "friction_low" if one == "friction" else one.replace("-", "_")
        assert getattr(bare, field) in (None, "")


def test_every_kind_is_listed_with_every_size_it_has(run: Run) -> None:
    listed = run("define-joint").out
    for facts in JOINT_KINDS.values():
        assert f"\n{facts.kind}\n" in listed
        assert all(f"    {role.name} " in listed for role in facts.roles)
    one = run("define-joint", "--kind", "slip fit", "--json").json
    assert [role["name"] for role in one[0]["roles"]] == ["shaft_diameter", "bore_diameter"]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("a=HO-04 2", SizeSaid(size="HO-04 2")),
        ("a=7.2", SizeSaid(value=7.2)),
        ("a=7,2", SizeSaid(value=7.2)),
        ("a=7.2±0.05", SizeSaid(value=7.2, plus_minus=0.05)),
        ("a=7.2+-0.05", SizeSaid(value=7.2, plus_minus=0.05)),
        ("a = 7.2 +/- .05", SizeSaid(value=7.2, plus_minus=0.05)),
        ("a=-3", SizeSaid(value=-3.0)),
        ("a=7.2 mm", SizeSaid(size="7.2 mm")),
        ("a=1e3", SizeSaid(size="1e3")),
    ],
)
def test_a_size_is_a_number_where_it_can_be_one(typed: str, said: SizeSaid) -> None:
    assert sizes_typed([typed]) == {"a": said}


def test_a_size_typed_again_keeps_which_way_it_goes_and_nothing_takes_it_out() -> None:
    now = {"a": SizeSaid(value=1.0, factor=-1.0), "b": SizeSaid(size="P1 1")}
    assert sizes_typed(["a=2", "b="], now) == {"a": SizeSaid(value=2.0, factor=-1.0)}


@pytest.mark.parametrize("typed", ["a", "=7.2", "7.2", ""])
def test_what_is_no_name_with_a_value_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(click.UsageError, match="peg_diameter='HO-04 2'"):
        sizes_typed([typed])


def test_a_joint_is_named_and_what_is_shown_is_what_was_found(run: Run, hinge: tuple[str, str]) -> None:
    defined = joint_as_defined(*hinge)
    assert defined.sizes["socket_bore"] == SizeSaid(value=3.95, plus_minus=0.01)
    assert (defined.lower, defined.upper, defined.inner_resin) == (0.1, 0.2, "POM")
    answer = run("joint", *hinge)
    found = judge_joint(*hinge)
    assert answer.out.startswith(found.headline[:40])
    for heading in ("What to do", "Where the breakaway torque falls, N·m", "What moves it", "Which steel",
                    "What it rests on", "With care"):  # fmt: skip
        assert f"\n{heading}\n" in answer.out
    assert all(" ".join(one.do.split()) in " ".join(answer.out.split()) for one in found.actions)
    assert run("joint", *hinge, "--json").json == as_plain(found)


def test_all_joints_are_listed_with_their_word_and_share(run: Run, hinge: tuple[str, str]) -> None:
    programme = hinge[0]
    found = judge_joints(programme)
    answer = run("joint", programme)
    assert re.search(rf"hinge  {found.joints[0].word}, .* good; asked: 0\.10? to 0\.20? N·m", answer.out)
    assert run("joint", programme, "--json").json == as_plain(found)


def test_without_a_joint_it_says_how_to_name_one(run: Run, flipper: str) -> None:
    assert "offtool define-joint flipper JOINT names one." in run("joint", flipper).out


def test_a_joint_of_which_nothing_is_asked_is_not_called_good(run: Run, flipper: str) -> None:
    sizes = ("--size", "shaft_diameter=P1 1", "--size", "bore_diameter=4.1")
    answer = run("define-joint", flipper, "pin", "--kind", "slip fit", *sizes)
    assert answer.exit_code == 0, answer.err
    assert "nothing is asked of it yet" in answer.out
    assert "Good joints" not in answer.out
    assert "\n  pin  not shown; nothing is asked of it yet\n" in run("joint", flipper).out


@pytest.mark.parametrize("columns", [60, 100, 120])
def test_no_line_is_wider_than_the_terminal(
    run: Run, hinge: tuple[str, str], file: Path, columns: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("joint", *hinge, "--read", file, "--keep")
    monkeypatch.setenv("COLUMNS", str(columns))
    for words in (
        ("joint", *hinge),
        ("joint", hinge[0]),
        ("joint", *hinge, "--read", file),
        ("define-joint",),
    ):
        lines = run(*words).out.splitlines()
        assert lines
        assert max(map(columns_of, lines)) <= columns


def test_a_change_leaves_the_rest_as_it_was(run: Run, hinge: tuple[str, str]) -> None:
    before = joint_as_defined(*hinge)
    changed = run("define-joint", *hinge, "--change", "--size", "socket_outer=8", "--blank", "upper")
    assert changed.exit_code == 0, changed.err
    after = joint_as_defined(*hinge)
    assert after.sizes == {**before.sizes, "socket_outer": SizeSaid(value=8.0)}
    assert after.upper is None
    assert (after.lower, after.kind, after.inner_resin) == (before.lower, before.kind, before.inner_resin)


def test_a_chain_takes_its_factors_and_a_loop_its_angles_and_gap(run: Run, flipper: str) -> None:
    chain = run("define-joint", flipper, "row", "--kind", "chain of sizes", "--size", "slot=41", "--size",
                "tab=P1 2", "--factor", "tab=-1", "--lower", "0.5")  # fmt: skip
    assert chain.exit_code == 0, chain.err
    assert joint_as_defined(flipper, "row").sizes == {
        "slot": SizeSaid(value=41.0),
        "tab": SizeSaid(size="P1 2", factor=-1.0),
    }
    loop = run("define-joint", flipper, "ring", "--kind", "loop of sizes", "--size", "out=41", "--angle",
               "out=0", "--size", "back=P1 2", "--angle", "back=180", "--gap", "gap")  # fmt: skip
    assert loop.exit_code == 0, loop.err
    sizes = joint_as_defined(flipper, "ring").sizes
    assert sizes["back"] == SizeSaid(size="P1 2", angle_deg=180.0)
    assert sizes["gap"] == SizeSaid()


def test_a_joint_is_taken_out(run: Run, hinge: tuple[str, str]) -> None:
    assert "hinge is taken out of flipper" in run("define-joint", *hinge, "--remove").out
    assert not Joint.objects.exists()


def test_steel_is_asked_for_by_its_number_and_dropped_with_a_reason(run: Run, hinge: tuple[str, str]) -> None:
    assert "offtool joint flipper hinge --ask-for 1" in run("joint", *hinge).out
    asked = run("joint", *hinge, "--ask-for", "1")
    assert asked.exit_code == 0, asked.err
    demand = JointDemand.objects.get()
    assert asked.out.startswith(f"Way 1: joint hinge now asks {demand.target:.3f} mm of P1 1;")
    assert "\nAsked of sizes\n" in asked.out
    assert "--ask-for 1" not in asked.out
    without = run("joint", *hinge, "--drop", "P1 1")
    assert without.exit_code == 1
    dropped = run("joint", *hinge, "--drop", "P1 1", "--because", "the socket is changed")
    assert dropped.out.startswith("Nothing is asked of P1 1 any more.")
    assert "dropped: the socket is changed" in " ".join(dropped.out.split())


def test_a_way_that_was_not_found_leaves_with_1(run: Run, hinge: tuple[str, str]) -> None:
    answer = run("joint", *hinge, "--ask-for", "99")
    assert answer.exit_code == 1
    assert "there is no way 99" in answer.err
    assert not JointDemand.objects.exists()


def test_a_test_is_shown_first_and_kept_when_asked(run: Run, hinge: tuple[str, str], file: Path) -> None:
    shown = run("joint", *hinge, "--read", file)
    assert shown.exit_code == 0, shown.err
    assert shown.out.startswith(
        "torque.csv: 8 readings of 4 pieces of joint hinge understood. Nothing is kept"
    )
    assert re.search(r"breakaway torque, fresh  N·m +4 +4 +0\.064 +0\.061 +0\.066", shown.out)
    assert re.search(r"Inner part +P1, M1 T1", shown.out)
    assert "\nTests\n" not in run("joint", *hinge).out
    kept = run("joint", *hinge, "--read", file, "--name", "B1", "--done-on", "2026-03-09", "--keep")
    assert kept.exit_code == 0, kept.err
    assert kept.out.startswith("Kept: 8 readings of torque.csv as test B1 of joint hinge, programme flipper.")
    seen = run("joint", *hinge).out
    assert "B1: 8 readings of T1 of M1" in seen
    assert "9 March 2026" in seen
    assert re.search(r"\n  aged +4 +0\.05", seen)
    aside = run("joint", *hinge, "--set-aside", "B1", "--because", "the grip slipped")
    assert aside.out.startswith("Test B1 counts no longer.")
    assert "set aside: the grip slipped" in " ".join(aside.out.split())


def test_a_test_with_a_cell_that_cannot_be_read_is_shown_and_refused(
    run: Run, hinge: tuple[str, str], tmp_path: Path
) -> None:
    odd = tmp_path / "odd.csv"
    odd.write_text(TORQUES + "5,9,60,fresh,0.2\n", encoding="utf-8")
    refused = run("joint", *hinge, "--read", odd, "--keep")
    assert refused.exit_code == 1
    assert "leave them out: --keep --leave-out." in refused.out
    assert "1 cell refused" in refused.out
    kept = run("joint", *hinge, "--read", odd, "--keep", "--leave-out")
    assert kept.exit_code == 0
    assert "1 refused cell left out" in kept.out


@pytest.mark.parametrize(
    "words",
    [
        ("joint", "flipper", "--read", __file__),
        ("joint", "flipper", "--ask-for", "1"),
        ("joint", "flipper", "hinge", "--ask-for", "0"),
        ("joint", "flipper", "hinge", "--ask-for", "1", "--set-aside", "B1"),
        ("joint", "flipper", "hinge", "--name", "B1"),
        ("joint", "flipper", "hinge", "--ask-for", "1", "--because", "it is loose"),
        ("define-joint", "flipper", "--lower", "0.1"),
        ("define-joint", "flipper", "hinge"),
        ("define-joint", "flipper", "hinge", "--kind", "glue"),
        ("define-joint", "flipper", "hinge", "--remove", "--change"),
        ("define-joint", "flipper", "hinge", "--kind", "slip fit", "--blank", "upper"),
        ("define-joint", "flipper", "hinge", "--kind", "slip fit", "--friction", "0.2"),
    ],
)
def test_wrong_usage_leaves_with_2(run: Run, words: tuple[str, ...]) -> None:
    answer = run(*words)
    assert answer.exit_code == 2
    assert "Error: " in answer.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--kind", "slip fit"), "a slip fit needs its diameter of the shaft"),
        (("--kind", "slip fit", "--size", "peg_diameter=4"), "a slip fit has no size of that name"),
        (("--kind", "slip fit", "--size", "shaft_diameter=P9 1"), "no size 'P9 1'"),
        (("--kind", "slip fit", "--size", "shaft_diameter=4", "--size", "bore_diameter=4.1", "--friction",
          "0.2", "0.3"), "does not rest on friction"),
    ],
)  # fmt: skip
def test_a_joint_that_cannot_be_leaves_with_1_in_one_sentence(
    run: Run, flipper: str, words: tuple[str, ...], said: str
) -> None:
    answer = run("define-joint", flipper, "pin", *words)
    assert answer.exit_code == 1
    assert said in answer.err
    assert len(answer.err.splitlines()) == 1
    assert not Joint.objects.exists()


def test_names_that_are_not_there_leave_with_1(run: Run, hinge: tuple[str, str]) -> None:
    answer = run("joint", hinge[0], "hing")
    assert answer.exit_code == 1
    assert "did you mean 'hinge'?" in answer.err


@pytest.mark.parametrize(
    ("of", "said"),
    [
        ({"good": 0.99, "loose": 0.01}, "99.0 %"),
        ({"good": 0.28, "loose": 0.72}, "28 %, loose"),
        ({"good": 0.5, "loose": 0.1, "tight": 0.4}, "50 %, tight"),
        ({"good": 0.0, "overstrained": 1.0}, "under 0.1 %, overstrained"),
    ],
)
def test_a_pair_says_its_share_and_what_most_of_the_others_are(of: dict[str, float], said: str) -> None:
    assert cell(shares(**of)) == said


def test_measured_stands_beside_predicted_pair_by_pair(run: Run, hinge: tuple[str, str]) -> None:
    learned = learn_friction(
        [0.2, 0.2, 0.25, 0.25, 0.31, 0.31], [0.066, 0.071, 0.083, 0.088, 0.104, 0.112],
        ["1 with 1", "1 with 1", "1 with 2", "1 with 2", "2 with 2", "2 with 2"],
    )  # fmt: skip
    lines = joint_lines(replace(judge_joint(*hinge), learned=learned))
    start = lines.index("Measured against predicted, N·m")
    for line, one in zip(lines[start + 2 :], learned.pairs, strict=False):
        told = re.split(r" {2,}", line.strip())
        assert told[:2] == [one.pair, "2"]
        assert [float(value) for value in told[2:4]] == pytest.approx(
            [one.measured_nm, one.predicted_nm], abs=5e-3
        )


def test_the_report_on_all_joints_is_a_pdf(run: Run, hinge: tuple[str, str], tmp_path: Path) -> None:
    file = tmp_path / "joints.pdf"
    answer = run("joint", hinge[0], "--report", file)
    assert answer.exit_code == 0, answer.err
    assert answer.out.startswith("The report on the joints is in")
    assert file.read_bytes().startswith(b"%PDF-")
    assert run("joint", hinge[0], "--report", tmp_path / "no" / "joints.pdf").exit_code == 1


def test_the_day_of_a_demand_is_the_day_it_was_made(run: Run, hinge: tuple[str, str]) -> None:
    asked = run("joint", *hinge, "--ask-for", "1")
    assert datetime.now(UTC).strftime("%B %Y") in asked.out


def test_a_report_never_writes_over_a_file_of_readings(
    run: Run, hinge: tuple[str, str], tmp_path: Path
) -> None:
    file = tmp_path / "t1.csv"
    file.write_bytes(b"piece,value")
    answer = run("joint", hinge[0], "--report", file)
    assert answer.exit_code == 2
    assert "does not end in .pdf" in answer.err
    assert file.read_bytes() == b"piece,value"
