"""A joint test from its file into the record: shown first, cavities found, kept in whole or not at all."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from offtool.core.values import OfftoolError
from offtool.exchange.readings import FileRefused
from offtool.records.models import Cavity, Joint, JointReading, JointTest, Programme, Tool, ToolState, Trial
from offtool.records.operations import AlreadyKept
from offtool.records.queries import find_joint, joint_readings, joint_tests_of
from offtool.records.queries.finding import NotInRecord
from offtool.steps.joint_test_preview import JointTestKept, JointTestPreview
from offtool.steps.keep_joint_test import (
    JointTestAbout,
    keep_joint_test,
    preview_joint_test,
    set_joint_test_aside,
)
from offtool.steps.read_readings import CannotKeep
from tests.steps.clip import NOON
from tests.steps.jointed import a_joint, with_bore

TORQUES = (
    b"Piece,P1 cavity,P2 cavity,Breakaway torque [mN.m],Condition,Hours\n"
    b"1,1,1,61,fresh,0.2\n2,K2,1,65,fresh,0.2\n1,1,1,52,aged,24\n"
)


@pytest.fixture
def hinged(clip: Programme) -> Programme:
    """The clip with a joint between its peg and the lid's bore."""
    with_bore(clip)
    a_joint()
    return clip


def preview(content: bytes = TORQUES, **about: Any) -> JointTestPreview:
    return preview_joint_test(
        content, "t.csv", programme="clip", joint="hinge", about=JointTestAbout(**about)
    )


def keep(
    content: bytes = TORQUES, test: str = "1", *, leave_out: bool = False, **about: Any
) -> JointTestKept:
    return keep_joint_test(
        content, "t.csv", programme="clip", joint="hinge", test=test, about=JointTestAbout(**about),
        read_at=NOON, read_by="bench", leave_out=leave_out,
    )  # fmt: skip


def test_a_test_is_shown_as_it_is_understood_and_nothing_is_kept(hinged: Programme) -> None:
    seen = preview()
    assert seen.can_be_kept
    assert (seen.inner_part, seen.outer_part, seen.inner_trial, seen.outer_trial) == (
        "P1",
        "P2",
        "M1 T2",
        "M1 T2",
    )
    assert (seen.readings, seen.pieces, seen.pairs) == (3, ("1", "2"), (("1", "1"), ("2", "1")))
    fresh, aged = seen.seen
    assert (fresh.what, fresh.condition, fresh.unit, fresh.readings, fresh.pieces) == (
        *("breakaway torque", "fresh", "N·m"),
        *(2, 2),
    )
    assert (fresh.mean, fresh.lowest, fresh.highest) == pytest.approx((0.063, 0.061, 0.065))
    assert aged.highest == pytest.approx(0.052)
    assert JointTest.objects.count() == 0


def test_a_test_is_kept_with_its_cavities_and_trials(hinged: Programme) -> None:
    kept = keep(gauge="G1", done_on=date(2026, 3, 4), note="on the bench")
    assert (kept.readings, kept.left_out, kept.inner_trial) == (3, 0, "M1 T1")  # T2 was shot later
    (test,) = joint_tests_of(find_joint(hinged, "hinge"))
    assert (test.note, test.gauge and test.gauge.code) == ("on the bench", "G1")
    found = joint_readings([test])
    assert found.inner.tolist() == ["1", "2", "1"]
    assert found.outer.tolist() == ["1", "1", "1"]
    assert found.value.tolist() == [0.061, 0.065, 0.052]


def test_a_trial_is_named_by_its_tool(hinged: Programme) -> None:
    assert preview(inner_trial="M1 T1").inner_trial == "M1 T1"
    with pytest.raises(NotInRecord, match="no trial 'T7' of tool M1"):
        preview(inner_trial="M1 T7")
    with pytest.raises(NotInRecord, match="no tool 'M7'"):
        preview(outer_trial="M7 T1")
    with pytest.raises(CannotKeep, match="names no tool and trial"):
        preview(outer_trial="T1")
    other = Tool.objects.create(programme=hinged, code="M2")
    state = ToolState.objects.create(tool=other, label="a", ordinal=1)
    Trial.objects.create(tool=other, name="T1", state=state)
    with pytest.raises(CannotKeep, match="tool M2 does not make P1; it is made by M1"):
        preview(inner_trial="M2 T1")


def test_the_newest_trial_is_found_over_all_tools_that_make_the_part(hinged: Programme) -> None:
    other = Tool.objects.create(programme=hinged, code="M2")
    Cavity.objects.create(tool=other, part=Cavity.objects.filter(part__code="P1")[0].part, label="9")
    state = ToolState.objects.create(tool=other, label="a", ordinal=1)
    Trial.objects.create(tool=other, name="T1", state=state, shot_on=date(2026, 4, 1))
    seen = preview(TORQUES.replace(b"1,1,1,", b"1,9,1,"))
    assert (seen.inner_trial, seen.outer_trial) == ("M2 T1", "M1 T2")
    assert [str(cell) for cell in seen.refused] == [
        "row 3, column 2: 'K2' is no cavity of P1 in tool M2; known are: 9"
    ]


def test_an_unknown_cavity_is_refused_with_the_nearest_and_may_be_left_out(hinged: Programme) -> None:
    content = TORQUES.replace(b"2,K2,1", b"2,11,1")
    (cell,) = preview(content).refused
    assert (cell.row, cell.column, cell.why) == (3, 2, "is no cavity of P1 in tool M1")
    assert cell.remedy == "did you mean '1'?"
    with pytest.raises(CannotKeep, match="1 cell cannot be read, the first: row 3, column 2: '11'"):
        keep(content)
    assert JointReading.objects.count() == 0
    kept = keep(content, leave_out=True)
    assert (kept.readings, kept.left_out) == (2, 1)
    assert "1 cell left out: row 3, column 2" in JointTest.objects.get().note


def test_a_file_of_other_cavities_only_is_not_kept(hinged: Programme) -> None:
    content = b"Piece,P1 cavity,Breakaway torque [N.m]\n1,77,0.06\n"
    seen = preview(content)
    assert not seen.can_be_kept
    with pytest.raises(CannotKeep, match="no reading is of a cavity that is in the record"):
        keep(content, leave_out=True)
    with pytest.raises(FileRefused, match="no row of headings"):
        preview(b"a,b\n1,2\n")


def test_what_must_be_known_before_is_said(hinged: Programme) -> None:
    said = [str(one) for one in preview(b"Piece,Breakaway torque [N.m]\n1,0.06\n").cautions]
    assert said == ["no reading names the cavities of both parts: it cannot be held against a pair"]
    keep()
    assert "test 1 of this joint counts too" in str(preview().cautions[-1])
    JointTest.objects.update(set_aside="worn")
    JointReading.objects.all().delete()
    JointTest.objects.all().delete()
    Trial.objects.all().delete()
    assert [str(one) for one in preview().cautions] == [
        "no trial of P1 is in the record: it stands without its steel",
        "no trial of P2 is in the record: it stands without its steel",
    ]


def test_cavities_of_a_side_that_is_not_measured_are_passed_over_with_a_note(hinged: Programme) -> None:
    sizes = {"peg_diameter": 4.0, "socket_bore": "P2 2", "socket_outer": 8.0, "contact_length": 6.0}
    a_joint(code="half", sizes=sizes, inner_resin="ABS")
    content = b"Piece,peg cavity,socket cavity,Droop\n1,1,1,2\n2,,1,3\n"
    seen = preview_joint_test(content, "t.csv", programme="clip", joint="half", about=JointTestAbout())
    assert (seen.inner_part, seen.inner_trial, seen.readings) == ("", "", 2)
    assert (seen.refused, seen.pairs) == ((), (("", "1"),))
    note = "Column 2, the cavities of the inner part, is not kept: no measured size says which part that is."
    assert note in seen.file.notes
    keep_joint_test(
        content, "t.csv", programme="clip", joint="half", test="1", about=JointTestAbout(),
        read_at=NOON, read_by="bench",
    )  # fmt: skip
    assert note.removesuffix(".") in JointTest.objects.get().note


def test_the_same_bytes_are_kept_once_until_the_test_is_set_aside(hinged: Programme) -> None:
    keep()
    with pytest.raises(AlreadyKept, match="the same file is test 1 of joint hinge"):
        keep(test="2")
    with pytest.raises(OfftoolError, match="no reason"):
        set_joint_test_aside("clip", "hinge", "1", reason="", made_by="tooling")
    set_joint_test_aside("clip", "hinge", "1", reason="worn peg", made_by="tooling")
    with pytest.raises(NotInRecord, match="no test '3' of joint hinge"):
        set_joint_test_aside("clip", "hinge", "3", reason="x", made_by="")
    assert keep(test="2").test == "2"


def test_unknown_names_are_answered(hinged: Programme) -> None:
    with pytest.raises(NotInRecord, match="no gauge 'G9'"):
        preview(gauge="G9")
    with pytest.raises(NotInRecord, match="no joint 'hip'"):
        preview_joint_test(TORQUES, "t.csv", programme="clip", joint="hip", about=JointTestAbout())


def test_the_bytes_are_kept_as_they_came(hinged: Programme, tmp_path: Path) -> None:
    keep()
    assert bytes(JointTest.objects.get().content) == TORQUES


def test_readings_that_say_nothing_of_a_kind_are_cautioned_against(hinged: Programme) -> None:
    said = [
        str(one)
        for one in preview(TORQUES.replace(b"Breakaway torque [mN.m]", b"Pull-off force [N]")).cautions
    ]
    assert said == [
        "pull-off force is kept and says nothing of a peg in socket: read breakaway torque to judge it"
    ]
    droop = TORQUES.replace(b"Breakaway torque [mN.m]", b"Droop [deg]")
    assert preview(droop).cautions == ()


def test_a_slip_fit_is_judged_by_its_clearance_alone(hinged: Programme) -> None:
    Joint.objects.update(kind="slip fit")
    said = "breakaway torque is kept and says nothing of a slip fit: it is judged by its clearance alone"
    assert said in map(str, preview().cautions)


def test_the_preview_asks_of_a_reading_that_seems_to_be_in_another_unit(hinged: Programme) -> None:
    values = enumerate((0.9, 0.85, 1.2, 0.95, 950), start=1)
    rows = "".join(f"{piece},1,1,{value}\n" for piece, value in values)
    seen = preview(f"Piece,P1 cavity,P2 cavity,Moment [N.m]\n{rows}".encode())
    said = " ".join(one.text for one in seen.cautions)
    assert "column 4, 'Moment [N.m]': row 6 is about 1,000 times the median of the column" in said
    assert seen.can_be_kept


def test_loose_joints_are_kept_as_0_and_cycled_rows_apart_from_fresh_ones(hinged: Programme) -> None:
    heads = "Piece,P1 cavity,P2 cavity,Breakaway torque [mN.m],Cycles"
    content = f"{heads}\n1,1,1,61,0\n1,1,1,loose,5000\n2,1,1,65,0\n".encode()
    assert [(one.condition, one.readings, one.lowest) for one in preview(content).seen] == [
        ("fresh", 2, pytest.approx(0.061)),
        ("cycled", 1, 0.0),
    ]
    assert keep(content).repairs == 2
    assert sorted(JointReading.objects.values_list("condition", "value"))[0] == ("cycled", 0.0)
