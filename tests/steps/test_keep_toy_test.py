"""A toy test from its file into the record: shown first, parts found, kept in whole or not at all."""

from __future__ import annotations

from typing import Any

import pytest

from offtool.core.values import OfftoolError
from offtool.records.models import Programme, ToyTestPiece, ToyTestRun
from offtool.records.operations import AlreadyKept
from offtool.records.queries.finding import NotInRecord
from offtool.steps.keep_toy_test import (
    ToyTestAbout,
    ToyTestPreview,
    keep_toy_test,
    place_of_toy_test,
    preview_toy_test,
    toy_test_aside,
)
from offtool.steps.read_readings import CannotKeep
from tests.steps.clip import NOON, SLUG
from tests.steps.toyed import drop_file, keep, sold, torque_file

BOTH = b"Piece,Part,Torque [N.m],Tension [N],Held\n1,P1,0.5,70,yes\n2,P1,0.5,50,no\n"


def preview(content: bytes = BOTH, **about: Any) -> ToyTestPreview:
    return preview_toy_test(content, "L.csv", programme=SLUG, about=ToyTestAbout(**about))


def test_nothing_is_kept_before_it_is_asked_for(clip: Programme) -> None:
    sold(clip)
    shown = preview(torque_file(11, 1))
    assert (shown.test, shown.market, shown.pieces, shown.held) == ("torque", "US", 12, 11)
    assert (shown.lowest, shown.highest, shown.unit) == (0.3, 0.46, "N·m")
    assert shown.parts == (("P1", 12),)
    assert shown.can_be_kept
    assert ToyTestRun.objects.count() == 0


def test_a_test_is_kept_with_its_pieces_and_its_bytes(clip: Programme) -> None:
    kept = keep(torque_file(2, 1))
    run = ToyTestRun.objects.get(pk=kept.run_id)
    assert bytes(run.content) == torque_file(2, 1)
    assert [(one.value, one.held, one.came_off_mm, one.row) for one in run.pieces.order_by("row")] == [
        (0.46, True, None, 2),
        (0.46, True, None, 3),
        (0.30, False, 22.0, 4),
    ]
    assert "3 cells repaired" in run.note or "2 cells repaired" in run.note


def test_falls_that_the_file_does_not_say_are_asked_for(clip: Programme) -> None:
    content = b"Piece,Held\n1,yes\n2,no\n"
    assert "drops and height" in preview(content, market="US", test="drop").problems[0]
    kept = keep(content, test="drop", drops=4, height_m=0.92)
    piece = ToyTestPiece.objects.filter(run=kept.run_id).order_by("row").first()
    assert piece is not None
    assert (piece.drops, piece.height_m) == (4, 0.92)


def test_a_file_of_two_tests_is_kept_once_for_each(clip: Programme) -> None:
    sold(clip)
    assert preview().problems == ("say which test it is: torque, tension",)
    assert "holds tension too" in str(preview(test="torque").cautions[0])
    keep(BOTH, test="torque")
    keep(BOTH, "L2", test="tension")
    assert [one.test for one in ToyTestRun.objects.order_by("pk")] == ["torque", "tension"]
    with pytest.raises(AlreadyKept):
        keep(BOTH, "L3", test="tension")


def test_the_market_must_be_known(clip: Programme) -> None:
    assert preview(torque_file(2)).problems == ("say for whose law it was tried: US, EU, other",)
    sold(clip, "US EU")
    assert preview(torque_file(2)).problems == ("say for whose law it was tried: US, EU",)
    assert "no market 'MOON'" in preview(torque_file(2), market="MOON").problems[0]
    assert preview(torque_file(2), market="EU").problems == ()


def test_a_part_that_is_not_there_is_refused_by_its_cell(clip: Programme) -> None:
    content = torque_file(2) + b"3,P9,0.5,yes,\n"
    shown = preview(content, market="US")
    (cell,) = shown.refused
    assert (cell.row, cell.column) == (4, 2)
    assert "P1, P2" in cell.remedy
    with pytest.raises(CannotKeep):
        keep(content)
    told = ToyTestAbout(market="US")
    kept = keep_toy_test(
        content,
        "L.csv",
        programme=SLUG,
        test_name="L1",
        about=told,
        read_at=NOON,
        read_by="x",
        leave_out=True,
    )
    assert (kept.pieces, kept.left_out) == (2, 1)
    assert "1 cell left out" in ToyTestRun.objects.get().note


def test_a_name_is_taken_once_and_the_next_is_proposed(clip: Programme) -> None:
    assert place_of_toy_test(SLUG).next_name == "L1"
    keep(torque_file(2))
    assert place_of_toy_test(SLUG).next_name == "L2"
    with pytest.raises(OfftoolError, match="already"):
        keep(drop_file(2))


def test_setting_aside_needs_a_reason_and_a_name_that_is_there(clip: Programme) -> None:
    keep(torque_file(2))
    with pytest.raises(OfftoolError, match="no reason"):
        toy_test_aside(SLUG, "L1", reason=" ", made_by="x")
    with pytest.raises(NotInRecord, match="L9"):
        toy_test_aside(SLUG, "L9", reason="x", made_by="x")
    toy_test_aside(SLUG, "L1", reason="slipped", made_by="x")
    with pytest.raises(OfftoolError, match="set aside already"):
        toy_test_aside(SLUG, "L1", reason="again", made_by="x")


def test_a_file_that_says_nothing_of_the_test_says_so(clip: Programme) -> None:
    shown = preview(torque_file(2), market="US", test="tension")
    assert shown.problems == ("no piece of it says anything of the tension test",)
    assert not shown.can_be_kept
