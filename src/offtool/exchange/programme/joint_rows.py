"""The rows of joints: what they are made of, what was read of assembled pieces, what they ask of sizes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, ClassVar

from offtool.exchange.programme.cells import Day, Moment, Name, Number, Text, Whole, Word, sha256
from offtool.exchange.programme.rows import Row
from offtool.handbook.terms import (
    LONGEST_FILE_NAME,
    NOT_NEGATIVE,
    POSITIVE,
    JointCondition,
    JointKind,
    JointReadingKind,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class JointRow(Row):
    """Two parts that move or hold on each other, or a chain of sizes."""

    key: ClassVar = ("code",)
    code: Annotated[str, Name()]
    name: Annotated[str, Name(may_be_blank=True)]
    kind: Annotated[str, Word(words=JointKind)]
    lower: Annotated[float | None, Number(may_be_blank=True)]
    upper: Annotated[float | None, Number(may_be_blank=True)]
    limb_mass_g: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="g", may_be_blank=True)]
    lever_mm: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="mm", may_be_blank=True)]
    safety_factor: Annotated[float, Number(ends=POSITIVE, may_be_blank=True, blank=2.0)]
    friction_low: Annotated[float | None, Number(ends=POSITIVE, may_be_blank=True)]
    friction_high: Annotated[float | None, Number(ends=POSITIVE, may_be_blank=True)]
    inner_resin: Annotated[str, Name(may_be_blank=True)]
    outer_resin: Annotated[str, Name(may_be_blank=True)]
    inner_modulus_mpa: Annotated[float | None, Number(ends=POSITIVE, unit="MPa", may_be_blank=True)]
    outer_modulus_mpa: Annotated[float | None, Number(ends=POSITIVE, unit="MPa", may_be_blank=True)]
    strain_allowed_pct: Annotated[float | None, Number(ends=POSITIVE, unit="%", may_be_blank=True)]
    note: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSizeRow(Row):
    """One size of a joint: a characteristic that is measured, or a number; in a loop, neither is the gap."""

    key: ClassVar = ("joint", "role")
    joint: Annotated[str, Name()]
    role: Annotated[str, Name()]
    part: Annotated[str, Name(may_be_blank=True)]
    characteristic: Annotated[str, Name(may_be_blank=True)]
    value: Annotated[float | None, Number(may_be_blank=True)]
    plus_minus: Annotated[float, Number(ends=NOT_NEGATIVE, may_be_blank=True, blank=0.0)]
    factor: Annotated[float, Number(may_be_blank=True, blank=1.0)]
    angle_deg: Annotated[float | None, Number(unit="deg", may_be_blank=True)]
    angle_role: Annotated[str, Name(may_be_blank=True)]
    ordinal: int = 0
    """Where it stands among the sizes of its joint, from 0: no key of its own, but the order in the file."""

    @property
    def owner(self) -> str:
        """The joint that it is a size of."""
        return self.joint


@dataclass(frozen=True, slots=True, kw_only=True)
class JointTestRow(Row):
    """A test of assembled pieces as it was carried out; `file` lies in joint_tests/."""

    table: ClassVar = "joint_tests.csv"
    folder: ClassVar = "joint_tests"
    key: ClassVar = ("joint", "name")
    joint: Annotated[str, Name()]
    name: Annotated[str, Name()]
    gauge: Annotated[str, Name(may_be_blank=True)]
    inner_tool: Annotated[str, Name(may_be_blank=True)]
    inner_trial: Annotated[str, Name(may_be_blank=True)]
    outer_tool: Annotated[str, Name(may_be_blank=True)]
    outer_trial: Annotated[str, Name(may_be_blank=True)]
    done_on: Annotated[date | None, Day()]
    note: Annotated[str, Text()]
    file: Annotated[str, Name(longest=LONGEST_FILE_NAME)]
    file_name: Annotated[str, Text(may_be_blank=False, longest=LONGEST_FILE_NAME)]
    sha256: Annotated[str, sha256()]
    read_at: Annotated[datetime, Moment()]
    read_by: Annotated[str, Name(may_be_blank=True)]
    set_aside: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class JointReadingRow(Row):
    """One reading of an assembled pair. A cavity is named with its tool and part; row and column are its cell
    in the test's file."""

    table: ClassVar = "joint_readings.csv"
    key: ClassVar = ("joint", "test", "row", "column")
    joint: Annotated[str, Name()]
    test: Annotated[str, Name()]
    piece: Annotated[str, Name()]
    inner_tool: Annotated[str, Name(may_be_blank=True)]
    inner_part: Annotated[str, Name(may_be_blank=True)]
    inner_cavity: Annotated[str, Name(may_be_blank=True)]
    outer_tool: Annotated[str, Name(may_be_blank=True)]
    outer_part: Annotated[str, Name(may_be_blank=True)]
    outer_cavity: Annotated[str, Name(may_be_blank=True)]
    what: Annotated[str, Word(words=JointReadingKind)]
    condition: Annotated[str, Word(words=JointCondition)]
    hours: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="h", may_be_blank=True)]
    cycles: Annotated[int | None, Whole(may_be_blank=True)]
    operator: Annotated[str, Name(may_be_blank=True)]
    repeat: Annotated[int, Whole(at_least=1, may_be_blank=True, blank=1)]
    value: Annotated[float, Number()]
    row: Annotated[int, Whole(at_least=1)]
    column: Annotated[int, Whole(at_least=1)]


@dataclass(frozen=True, slots=True, kw_only=True)
class JointDemandRow(Row):
    """What a joint asks of a size; `dropped` says why it no longer counts."""

    table: ClassVar = "joint_demands.csv"
    key: ClassVar = ("joint", "part", "characteristic", "made_at")
    joint: Annotated[str, Name()]
    part: Annotated[str, Name()]
    characteristic: Annotated[str, Name()]
    target: Annotated[float, Number()]
    lower: Annotated[float | None, Number(may_be_blank=True)]
    upper: Annotated[float | None, Number(may_be_blank=True)]
    reason: Annotated[str, Text(may_be_blank=False)]
    made_at: Annotated[datetime, Moment()]
    made_by: Annotated[str, Name(may_be_blank=True)]
    dropped: Annotated[str, Text()]
