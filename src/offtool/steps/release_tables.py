"""How what a release rests on answers each other in a programme folder and in the record.

The name of a file inside the folder is left blank here: it depends on all the other files.
"""

from __future__ import annotations

from typing import Any

from offtool.exchange.programme.release_rows import (
    ChangeRow,
    ConcessionRow,
    EvidenceRow,
    EvidenceStateRow,
    LimitSampleRow,
    ReleaseLineRow,
    SignatureRow,
    StepDaysRow,
    ToyTestPieceRow,
    ToyTestRow,
)
from offtool.records.models import (
    ChangeMade,
    Concession,
    Evidence,
    EvidenceState,
    LimitSample,
    ReleaseLine,
    Signature,
    StepDays,
    ToyTestPiece,
    ToyTestRun,
)
from offtool.steps.answering import Known, Table
from offtool.steps.line_tables import station_of


def _of_programme(row: Any, known: Known) -> dict[str, Any]:
    return {"programme": known.programme}


def _no_names(kept: Any) -> dict[str, Any]:
    return {}


RELEASE_LINES = Table(
    name="release_lines",
    row=ReleaseLineRow,
    model=ReleaseLine,
    kept=lambda programme: ReleaseLine.objects.filter(programme=programme),
    names=_no_names,
    links=_of_programme,
)
EVIDENCE = Table(
    name="evidence",
    row=EvidenceRow,
    model=Evidence,
    kept=lambda programme: Evidence.objects.filter(programme=programme).defer("content"),
    names=lambda paper: {"file": ""},
    links=_of_programme,
    settled=(
        *("says", "tested_on", "lab", "number", "accredited", "note"),
        *("file_name", "sha256", "given_by"),
    ),
)
EVIDENCE_STATES = Table(
    name="evidence_states",
    row=EvidenceStateRow,
    model=EvidenceState,
    kept=lambda programme: (
        EvidenceState.objects.filter(evidence__programme=programme)
        .select_related("evidence", "state__tool")
        .defer("evidence__content")
    ),
    names=lambda one: {
        "code": one.evidence.code,
        "given_at": one.evidence.given_at,
        "tool": one.state.tool.code,
        "state": one.state.label,
    },
    links=lambda row, known: {
        "evidence": known.evidence[row.code, str(row.given_at)],
        "state": known.states[row.tool, row.state],
    },
)
TOY_TESTS = Table(
    name="toy_tests",
    row=ToyTestRow,
    model=ToyTestRun,
    kept=lambda programme: ToyTestRun.objects.filter(programme=programme).defer("content"),
    names=lambda run: {"file": ""},
    links=_of_programme,
    settled=("market", "test", "done_on", "note", "file_name", "sha256", "read_at", "read_by"),
)
TOY_TEST_PIECES = Table(
    name="toy_test_pieces",
    row=ToyTestPieceRow,
    model=ToyTestPiece,
    kept=lambda programme: (
        ToyTestPiece.objects.filter(run__programme=programme)
        .select_related("run", "part")
        .defer("run__content")
    ),
    names=lambda piece: {"run": piece.run.name, "part": piece.part.code if piece.part else ""},
    links=lambda row, known: {
        "run": known.toy_tests[(row.run,)],
        "part": known.parts[(row.part,)] if row.part else None,
    },
    settled=("piece", "part", "value", "unit", "drops", "height_m", "held", "came_off_mm"),
)
CHANGES = Table(
    name="changes",
    row=ChangeRow,
    model=ChangeMade,
    kept=lambda programme: ChangeMade.objects.filter(programme=programme).select_related(
        "tool", "part", "joint", "seam"
    ),
    names=lambda change: {
        name: one.code if (one := getattr(change, name)) else "" for name in ("tool", "part", "joint", "seam")
    },
    links=lambda row, known: {
        "programme": known.programme,
        "tool": known.tools[(row.tool,)] if row.tool else None,
        "part": known.parts[(row.part,)] if row.part else None,
        "joint": known.joints[(row.joint,)] if row.joint else None,
        "seam": known.seams[(row.seam,)] if row.seam else None,
    },
    settled=("on", "words", "tool", "part", "joint", "seam", "told_by"),
)
CONCESSIONS = Table(
    name="concessions",
    row=ConcessionRow,
    model=Concession,
    kept=lambda programme: Concession.objects.filter(programme=programme),
    names=_no_names,
    links=_of_programme,
    settled=("amount", "until", "pieces", "reason", "risk", "approved_by"),
)
LIMIT_SAMPLES = Table(
    name="limit_samples",
    row=LimitSampleRow,
    model=LimitSample,
    kept=lambda programme: LimitSample.objects.filter(programme=programme).select_related(
        "sample", "station__line"
    ),
    names=lambda limit: {
        "sample": limit.sample.number,
        "in_line": limit.station.line.name if limit.station else "",
        "station": limit.station.number if limit.station else None,
    },
    links=lambda row, known: {
        "programme": known.programme,
        "sample": known.samples[(row.sample,)],
        "station": station_of(row, "station", known),
    },
    settled=("in_line", "station", "accepts", "signed_by", "valid_until"),
)
SIGNATURES = Table(
    name="signatures",
    row=SignatureRow,
    model=Signature,
    kept=lambda programme: Signature.objects.filter(programme=programme),
    names=_no_names,
    links=_of_programme,
    settled=("states", "fingerprint", "stood", "note"),
)
STEP_DAYS = Table(
    name="step_days",
    row=StepDaysRow,
    model=StepDays,
    kept=lambda programme: StepDays.objects.filter(programme=programme),
    names=_no_names,
    links=_of_programme,
)

SAID = (CHANGES, CONCESSIONS, LIMIT_SAMPLES, SIGNATURES, STEP_DAYS)
RELEASED = (RELEASE_LINES, EVIDENCE, EVIDENCE_STATES, TOY_TESTS, TOY_TEST_PIECES, *SAID)
"""All tables of a release, each after what it points at; samples and lines stand before them."""
