"""The files that a review rests on, byte for byte as they came."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from offtool.records.models import (
    Evidence,
    GaugeStudy,
    JointTest,
    PilotFile,
    SourceFile,
    ToyTestRun,
    WeldStudy,
)
from offtool.records.queries.finding import NotInRecord
from offtool.steps.review_found import ReviewSource, SourceKind

_KEPT_IN: Mapping[SourceKind, Any] = {
    SourceKind.READINGS: SourceFile,
    SourceKind.STUDY: GaugeStudy,
    SourceKind.JOINT_TEST: JointTest,
    SourceKind.WELD_STUDY: WeldStudy,
    SourceKind.PILOT_FILE: PilotFile,
    SourceKind.TOY_TEST: ToyTestRun,
    SourceKind.EVIDENCE: Evidence,
}


def source_bytes(source: ReviewSource) -> bytes:
    """The bytes of a file that a line rests on. Raises NotInRecord where it is not there any more."""
    found = _KEPT_IN[source.kind].objects.filter(pk=source.key).values_list("content", flat=True).first()
    if found is None:
        raise NotInRecord(f"no {source.kind} {source.file_name!r}", remedy="review the release again")
    return bytes(found)
