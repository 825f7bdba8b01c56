"""The report of joints: every joint with its verdict, drawings and cautions, the same bytes every time."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from offtool.core.joints.evidence import SizeGiven, SizeInCavity
from offtool.core.values import Caution
from offtool.handbook.terms import JointKind
from offtool.reports.joint_words import asked_in_words, share_in_words
from offtool.reports.joints_report import MOST_PAIRS, joints_report
from offtool.steps.joint_found import JointsFound
from tests.reports import joints
from tests.reports.test_layout_report import text_of

HOSTILE = '#panic("x") *bold* <script>alert(1)</script> $x^2$ @cite "\\'


def read(found: JointsFound, tmp_path: Path) -> str:
    return text_of(joints_report(found), tmp_path)


def test_the_first_page_has_the_verdict_and_every_joint(tmp_path: Path) -> None:
    found = joints.all_joints()
    said = read(found, tmp_path)
    first = said.split("page 1 of")[0]
    assert found.headline in first
    for one in found.joints:
        assert one.name in first
        assert str(one.word) in first
        assert asked_in_words(one) in first


def test_each_joint_has_a_page_with_what_to_do_and_what_it_rests_on(tmp_path: Path) -> None:
    found = joints.all_joints()
    said = read(found, tmp_path)
    for one in found.joints:
        assert one.headline in said
        assert one.actions[0].because.split()[0] in said
        for fact in one.rests_on:
            assert fact.about in said
    for chapter in (
        "Pairs of cavities",
        "What assembly will find",
        "What moves it",
        "Which steel",
        "Measured against predicted",
        "How it loosens",
        "Sizes and tests",
    ):
        assert chapter in said


def test_the_matrix_says_the_good_share_of_every_pair(tmp_path: Path) -> None:
    said = read(joints.all_joints(joints.shoulder()), tmp_path)
    pairs = joints.assembled().pairs
    assert len(pairs) == 8
    for one in pairs:
        assert share_in_words(one.shares.good) in said


def test_friction_steel_tests_and_loosening_are_worded(tmp_path: Path) -> None:
    said = read(joints.all_joints(joints.shoulder()), tmp_path)
    assert "4 with 2: measured" in said
    assert "friction 0.30 to 0.50, not known" in said
    assert "HO-04 2 larger" in said
    assert "Asked of HO-04 2: 4.044 mm in the mean, 4.034 to 4.054, by bench on 21 March 2026" in said
    assert "after 1,000 h" in said
    assert "shoulder_torque.csv, 20 March 2026" in said
    assert "lower 0.03: holds" in said


def test_a_joint_that_cannot_be_judged_says_what_is_missing(tmp_path: Path) -> None:
    said = read(joints.all_joints(joints.not_measured()), tmp_path)
    assert "Hip, left cannot be judged yet" in said
    assert "HO-02 5 Hip socket, bore was not measured yet" in said
    assert "Pairs of cavities" not in said


def test_no_joint_makes_a_report_that_says_so(tmp_path: Path) -> None:
    empty = replace(joints.all_joints(), joints=(), headline="No joint is named yet: name the first.")
    assert "No joint is named yet" in read(empty, tmp_path)


@pytest.mark.parametrize("name", [HOSTILE, "line\nbreak\x07", "肩部 左", "x" * 200])
def test_names_of_users_are_text_and_nothing_else(name: str, tmp_path: Path) -> None:
    found = joints.shoulder(
        name=name,
        cautions=(Caution(name, name),),
        tests=(joints.test_seen(file=name, note=name, name=name),),
        demands=(joints.demand_seen(reason=name, made_by=name),),
    )
    said = read(replace(joints.all_joints(found), programme_title=name), tmp_path)
    if name == HOSTILE:
        assert '#panic("x") *bold* <script>alert(1)</script> $x^2$ @cite' in said
    assert "Sizes and tests" in said


def test_many_cavities_are_listed_worst_pair_first_and_what_is_left_out_is_said(tmp_path: Path) -> None:
    pegs = tuple(4.012 + 0.002 * i for i in range(6))
    given = joints.evidence(pegs)
    bores = tuple(
        SizeInCavity(role="socket_bore", part="HO-02", cavity=str(i), mean=4.0, sd=0.004, parts=12)
        for i in range(1, 11)
    )
    put_together = joints.assembled(replace(given, measured=(*given.measured[:6], *bores)))
    assert len(put_together.pairs) == 60
    said = read(joints.all_joints(joints.shoulder(assembled=put_together)), tmp_path)
    assert f"The {MOST_PAIRS} pairs with the fewest good joints, of 60." in said
    assert "HO-04 cavity 1 with HO-02" in said


def test_a_joint_of_one_part_has_its_cavities_as_pairs(tmp_path: Path) -> None:
    known = joints.evidence()
    one_part = replace(
        known, measured=known.measured[:4], given=(*known.given, SizeGiven(role="socket_bore", value=4.0))
    )
    assert one_part.kind is JointKind.PEG
    said = read(joints.all_joints(joints.shoulder(assembled=joints.assembled(one_part))), tmp_path)
    assert "The pairs with the fewest good joints first." in said
    assert "HO-04 cavity 4" in said


def test_who_made_it_stands_in_the_footer_and_the_same_joints_give_the_same_bytes(tmp_path: Path) -> None:
    found = joints.all_joints()
    pdf = joints_report(found, made_by="the bench")
    assert "Made by the bench" in text_of(pdf, tmp_path)
    assert pdf == joints_report(found, made_by="the bench")
    assert b"CreationDate" not in pdf  # the clock is not asked: equal bytes are no luck of the second
