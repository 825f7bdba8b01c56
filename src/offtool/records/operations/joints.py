"""Joints in the record: defining them, keeping their tests, and what they ask of a size."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.db import transaction

from offtool.core.values import NotEnoughData, OfftoolError
from offtool.handbook.terms import LONGEST_NAME, JointCondition, JointReadingKind
from offtool.records.acting import acting_as
from offtool.records.models import (
    Cavity,
    Characteristic,
    Gauge,
    Joint,
    JointDemand,
    JointReading,
    JointTest,
    Programme,
    Trial,
)
from offtool.records.operations.defining import JOINT_SIZE, NewSize, write_defined
from offtool.records.operations.tested import FileOfTest, Kept
from offtool.records.plain import plain_name, plain_text
from offtool.records.refusals import refusals_in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class NewJointReading:
    """One reading of an assembled piece, and the cell it was read from."""

    piece: str
    inner_cavity: Cavity | None
    outer_cavity: Cavity | None
    what: JointReadingKind
    condition: JointCondition
    hours: float | None
    cycles: int | None
    operator: str
    repeat: int
    value: float
    row: int
    column: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NewJointTest:
    """A test of a joint as it was carried out, with its file as it came."""

    file: FileOfTest
    gauge: Gauge | None = None
    inner_trial: Trial | None = None
    outer_trial: Trial | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NewDemand:
    """What a joint asks of a size."""

    characteristic: Characteristic
    target: float
    lower: float | None
    upper: float | None
    reason: str


def store_joint(
    programme: Programme,
    columns: Mapping[str, Any],
    sizes: Sequence[NewSize],
    *,
    made_by: str,
    joint: Joint | None = None,
) -> Joint:
    """Write a joint and its sizes in their order, in one transaction: a new one, or the one given as it is to
    be from now.

    Raises OfftoolError for what the record refuses; nothing is changed then.
    """
    kept = joint or Joint(programme=programme)
    in_order = [replace(one, place=i) for i, one in enumerate(sizes)]
    write_defined(kept, columns, in_order, JOINT_SIZE, made_by=made_by)
    return kept


def delete_joint(joint: Joint, *, made_by: str) -> None:
    """Take a joint out of the record. Raises OfftoolError where something hangs on it, such as a test."""
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        for thing, rows in (
            ("tests", joint.tests),
            ("demands", joint.demands),
            ("audits of pilots", joint.pilot_audits),
            ("tasks of a line", joint.line_tasks),
            ("changes told of it", joint.changes_made),
        ):
            number = rows.count()
            if number:
                raise OfftoolError(
                    f"joint {joint.code} has {thing} ({number}) in the record",
                    remedy="what was measured or asked stays: change the joint instead",
                )
        joint.delete()


def kept_tests_of(joint: Joint) -> Kept[JointTest]:
    """The tests of a joint, to be kept once and set aside."""
    return Kept(JointTest, "test", joint, "joint")


def store_joint_test(
    joint: Joint,
    test: NewJointTest,
    readings: Sequence[NewJointReading],
    *,
    read_at: datetime,
    read_by: str,
) -> JointTest:
    """Keep a test and all its readings, in one transaction. Returns it as kept.

    Raises NotEnoughData without readings; AlreadyKept for bytes that count as a test of this joint;
    OfftoolError for a name that is taken, a trial of another programme, or a value that cannot be.
    """
    where = test.file.file_name
    if not readings:
        raise NotEnoughData("no readings in it", where=where, remedy="read a file with values")
    return kept_tests_of(joint).store(
        test.file,
        lambda kept: [_reading(kept, one) for one in readings],
        read_at=read_at,
        read_by=read_by,
        gauge=test.gauge,
        inner_trial=test.inner_trial,
        outer_trial=test.outer_trial,
    )


def _reading(test: JointTest, one: NewJointReading) -> JointReading:
    return JointReading(
        test=test,
        piece=plain_text(one.piece)[:LONGEST_NAME],
        inner_cavity=one.inner_cavity,
        outer_cavity=one.outer_cavity,
        what=one.what.value,
        condition=one.condition.value,
        hours=one.hours,
        cycles=one.cycles,
        operator=plain_text(one.operator)[:LONGEST_NAME],
        repeat=one.repeat,
        value=one.value,
        row=one.row,
        column=one.column,
    )


def keep_demand(joint: Joint, demand: NewDemand, *, made_at: datetime, made_by: str) -> JointDemand:
    """Keep what a joint asks of a size, from now on.

    Raises OfftoolError for a size that has a demand that counts, and for a target outside its ends.
    """
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        return JointDemand.objects.create(
            joint=joint,
            characteristic=demand.characteristic,
            target=demand.target,
            lower=demand.lower,
            upper=demand.upper,
            reason=plain_text(demand.reason).strip(),
            made_at=made_at,
            made_by=plain_name(made_by, "your name"),
        )


def drop_joint_demand(demand: JointDemand, reason: str, *, made_by: str) -> None:
    """Let a demand count no longer; it stays in the record with the reason.

    Raises OfftoolError without a reason, and for a demand that was dropped already.
    """
    reason = plain_text(reason).strip()
    if not reason:
        raise OfftoolError("no reason is given", remedy="say why it is no longer asked")
    with refusals_in_words(), acting_as(made_by), transaction.atomic():
        current = JointDemand.objects.select_for_update().get(pk=demand.pk)
        if current.dropped:
            raise OfftoolError(f"the demand was dropped already: {current.dropped}", remedy="ask anew")
        current.dropped = reason
        current.save(update_fields=["dropped"])
    demand.dropped = reason
