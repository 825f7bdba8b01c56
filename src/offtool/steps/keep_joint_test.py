"""Read the file of a joint test: first shown as it is understood, then kept, in whole or not at all."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from offtool.core.values import Caution
from offtool.exchange.joint_readings import JointTestTable, read_joint_test
from offtool.handbook.terms import JointKind
from offtool.records.models import Joint
from offtool.records.operations import (
    NewJointReading,
    NewJointTest,
    kept_tests_of,
    store_joint_test,
)
from offtool.records.queries import find_joint, find_joint_test, find_programme, joint_tests_of
from offtool.steps.assembled_pieces import (
    AboutFile,
    CavitiesOfSide,
    PiecesRead,
    code_of,
    gauge_named,
    trial_in_words,
)
from offtool.steps.define_joint import parts_of_sides
from offtool.steps.joint_test_preview import (
    JointTestKept,
    JointTestPreview,
    not_judged,
    pairs_of,
    readings_seen,
)
from offtool.steps.read_readings import refuse_problems


@dataclass(frozen=True, slots=True, kw_only=True)
class JointTestAbout(AboutFile):
    """What a test's file does not say itself."""

    inner_trial: str = ""
    """Tool and trial that the inner pieces are from, such as M3 T3; empty for the newest of their part."""
    outer_trial: str = ""


def preview_joint_test(
    content: bytes, name: str, *, programme: str, joint: str, about: JointTestAbout, sheet: str | None = None
) -> JointTestPreview:
    """How a test's file would be read; nothing is kept.

    Raises FileRefused for a file that cannot be read, NotInRecord for an unknown programme, joint, gauge,
    tool or trial, CannotKeep for a trial of a tool that does not make the part.
    """
    return _Understood(content, name, find_joint(find_programme(programme), joint), about, sheet).preview()


def keep_joint_test(
    content: bytes,
    name: str,
    *,
    programme: str,
    joint: str,
    test: str,
    about: JointTestAbout,
    read_at: datetime,
    read_by: str,
    sheet: str | None = None,
    leave_out: bool = False,
) -> JointTestKept:
    """Keep a test under its own name.

    Raises what `preview_joint_test` raises; CannotKeep for a test without a reading that can be kept, and for
    refused cells unless `leave_out`; AlreadyKept for bytes that count already. Nothing is kept then.
    """
    found = find_joint(find_programme(programme), joint)
    understood = _Understood(content, name, found, about, sheet)
    seen = understood.preview()
    refuse_problems(seen.file.name, seen.problems, seen.refused, leave_out=leave_out)
    new = understood.as_new(test)
    kept = store_joint_test(found, new, understood.readings, read_at=read_at, read_by=read_by)
    return JointTestKept(
        programme=found.programme.slug,
        joint=found.code,
        test=kept.name,
        file=kept.file_name,
        inner_trial=seen.inner_trial,
        outer_trial=seen.outer_trial,
        readings=seen.readings,
        repairs=len(seen.file.repairs),
        left_out=len(seen.refused),
        test_id=kept.pk,
    )


def set_joint_test_aside(programme: str, joint: str, test: str, *, reason: str, made_by: str) -> None:
    """Let a test count no longer; it stays visible with the reason.

    Raises NotInRecord for names that are not there; OfftoolError without a reason or the second time.
    """
    found = find_joint(find_programme(programme), joint)
    kept_tests_of(found).set_aside(find_joint_test(found, test).name, reason, made_by=made_by)


class _Understood:
    """A file with what it is matched to in the record."""

    def __init__(
        self, content: bytes, name: str, joint: Joint, about: JointTestAbout, sheet: str | None
    ) -> None:
        self._joint = joint
        parts = parts_of_sides(JointKind(joint.kind), joint.sizes.all())
        inner, outer = ([part.code] if part is not None else [] for part in parts)
        table = read_joint_test(content, name, sheet=sheet, inner=inner, outer=outer)
        side = partial(CavitiesOfSide.of, joint.programme, done_on=about.done_on)
        self._inner = side(parts[0], "inner", trial=about.inner_trial, column=table.inner_column)
        self._outer = side(parts[1], "outer", trial=about.outer_trial, column=table.outer_column)
        gauge = gauge_named(joint.programme, about.gauge)
        self._read = PiecesRead(content, table.file, gauge, about, self._inner, self._outer)
        self.readings = list(self._readings(table))

    def _readings(self, table: JointTestTable) -> Iterator[NewJointReading]:
        """The readings whose cavities are in the record."""
        for one in table.readings:
            cavities = self._read.cavities((one.inner_cavity, one.outer_cavity), one.row)
            if cavities is None:
                continue
            yield NewJointReading(
                piece=one.piece,
                inner_cavity=cavities[0],
                outer_cavity=cavities[1],
                what=one.what,
                condition=one.condition,
                hours=one.hours,
                cycles=one.cycles,
                operator=one.operator,
                repeat=one.repeat,
                value=one.value,
                row=one.row,
                column=one.column,
            )

    def preview(self) -> JointTestPreview:
        """What was understood."""
        problems = () if self.readings else ("no reading is of a cavity that is in the record",)
        return JointTestPreview(
            joint=self._joint.code,
            inner_part=code_of(self._inner.part),
            outer_part=code_of(self._outer.part),
            inner_trial=trial_in_words(self._inner.trial),
            outer_trial=trial_in_words(self._outer.trial),
            readings=len(self.readings),
            pieces=tuple(dict.fromkeys(one.piece for one in self.readings)),
            pairs=pairs_of(self.readings),
            seen=tuple(readings_seen(self.readings)),
            **self._read.facts(problems, self._cautions()),
        )

    def _cautions(self) -> Iterator[Caution]:
        if self.readings and not any(one.inner_cavity and one.outer_cavity for one in self.readings):
            yield Caution("no reading names the cavities of both parts: it cannot be held against a pair")
        yield from not_judged(JointKind(self._joint.kind), self.readings)
        now = next(iter(joint_tests_of(self._joint, counting=True)), None)
        if now is not None:
            yield Caution(f"test {now.name} of this joint counts too; set it aside if this one replaces it")

    def as_new(self, name: str) -> NewJointTest:
        """The test as the record keeps it."""
        return NewJointTest(
            file=self._read.as_kept(name),
            gauge=self._read.gauge,
            inner_trial=self._inner.trial,
            outer_trial=self._outer.trial,
        )
