"""What was understood of the file of a joint test, before and after it is kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from statistics import fmean

from offtool.core.values import Caution
from offtool.handbook.joint_kinds import JOINT_KINDS
from offtool.handbook.terms import JointCondition, JointKind, JointReadingKind
from offtool.records.operations import NewJointReading
from offtool.steps.assembled_pieces import FilePreview


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsSeen:
    """All readings of one kind in one condition, at a glance."""

    what: str
    condition: str
    unit: str
    readings: int
    pieces: int
    mean: float
    lowest: float
    highest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JointTestPreview(FilePreview):
    """How a test is read."""

    joint: str
    inner_part: str
    """Empty where no size of that side is measured."""
    outer_part: str
    inner_trial: str
    """Tool and trial, such as M3 T3; empty where there is none."""
    outer_trial: str
    readings: int
    pieces: tuple[str, ...]
    pairs: tuple[tuple[str, str], ...]
    """Cavity of the inner and of the outer part, as they occur; empty where the file says none."""
    seen: tuple[ReadingsSeen, ...]

    @property
    def can_be_kept(self) -> bool:
        """Whether nothing stands in the way but cells to leave out."""
        return not self.problems and self.readings > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class JointTestKept:
    """A test that is now in the record."""

    programme: str
    joint: str
    test: str
    file: str
    inner_trial: str
    outer_trial: str
    readings: int
    repairs: int
    left_out: int
    test_id: int


def readings_seen(readings: Iterable[NewJointReading]) -> Iterator[ReadingsSeen]:
    """The readings by kind and condition, in the order of the record's words."""
    kinds, conditions = list(JointReadingKind), list(JointCondition)

    def place(one: NewJointReading) -> tuple[int, int]:
        return kinds.index(one.what), conditions.index(one.condition)

    for (kind, condition), group in groupby(sorted(readings, key=place), key=place):
        found = list(group)
        values = [one.value for one in found]
        yield ReadingsSeen(
            what=kinds[kind].value,
            condition=conditions[condition].value,
            unit=kinds[kind].unit,
            readings=len(found),
            pieces=len({one.piece for one in found}),
            mean=fmean(values),
            lowest=min(values),
            highest=max(values),
        )


def not_judged(kind: JointKind, readings: Iterable[NewJointReading]) -> Iterator[Caution]:
    """Readings that are kept and say nothing of a joint of this kind; droop says how any of them holds."""
    about = JOINT_KINDS[kind]
    used = next((one for one in JointReadingKind if one.unit == about.unit), None)
    read = {one.what for one in readings} - {used, JointReadingKind.DROOP}
    for what in (one for one in JointReadingKind if one in read):
        judged = f"read {used.value} to judge it" if used else f"it is judged by its {about.measure} alone"
        yield Caution(f"{what.value} is kept and says nothing of a {kind.value}: {judged}")


def pairs_of(readings: Iterable[NewJointReading]) -> tuple[tuple[str, str], ...]:
    """The pairs of cavities that occur, in order."""
    return tuple(
        sorted(
            {
                (
                    one.inner_cavity.label if one.inner_cavity else "",
                    one.outer_cavity.label if one.outer_cavity else "",
                )
                for one in readings
            }
        )
    )
