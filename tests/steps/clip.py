"""A small invented product in the record: a clip and its lid on one tool, and files of its readings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime

import numpy as np

from offtool.records.models import (
    Cavity,
    Characteristic,
    Gauge,
    Move,
    Part,
    Programme,
    Reading,
    Resin,
    SourceFile,
    SteelFeature,
    SteelSize,
    Tool,
    ToolState,
    Trial,
)
from offtool.steps.read_readings import TrialAbout, keep_readings
from offtool.steps.reading_preview import ReadingsKept

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
SLUG, TOOL = "clip", "M1"
PEG, LENGTH = 3.965, 19.90
"""Means of the first trial: the peg is left 0.040 small on purpose, the length 0.1 short by shrinkage."""


def make_clip() -> Programme:
    """P1 in two cavities with its steel measured, P2 in one cavity without steel."""
    programme = Programme.objects.create(slug=SLUG, title="Clip")
    resin = Resin.objects.create(
        programme=programme, code="ABS", flow_pct=0.5, cross_pct=0.5, thickness_pct=0.5
    )
    gauge = Gauge.objects.create(
        programme=programme, code="G1", resolution=0.001, uncertainty=0.001, study="2026"
    )
    clip, lid = (Part.objects.create(programme=programme, code=code, resin=resin) for code in ("P1", "P2"))
    tool = Tool.objects.create(programme=programme, code=TOOL, cut_sd_mm=0.004)
    state = ToolState.objects.create(tool=tool, label="a", ordinal=1, made_on=date(2026, 2, 1))
    cavities = [Cavity.objects.create(tool=tool, part=clip, label=label) for label in ("1", "2")]
    Cavity.objects.create(tool=tool, part=lid, label="1")
    peg = _size(clip, "1", "Peg diameter", 4.0, 3.98, 4.03, gauge, kind="diameter", direction="cross")
    length = _size(clip, "2", "Length", 20.0, 19.95, 20.05, gauge, direction="flow")
    _size(lid, "1", "Length", 30.0, 29.9, 30.1, gauge, direction="flow")
    Characteristic.objects.create(
        part=clip, number="3", name="Weight", kind="weight", unit="g", nominal=2.0, lower=1.9, upper=2.1
    )
    for code, size, steel in (("CV1", peg, 3.985), ("CV2", length, 20.1)):
        feature = SteelFeature.objects.create(
            tool=tool,
            part=clip,
            code=code,
            half="cavity half",
            stated="length",
            size_change_per_mm=1.0,
            drawn_mm=steel,
        )
        Move.objects.create(feature=feature, characteristic=size, factor=1.0, forms=True)
        for cavity in cavities:
            SteelSize.objects.create(
                feature=feature, cavity=cavity, state=state, measured_mm=steel, allowance_mm=0.3
            )
    return programme


def _size(
    part: Part,
    number: str,
    name: str,
    nominal: float,
    lower: float,
    upper: float,
    gauge: Gauge,
    *,
    kind: str = "length",
    direction: str = "",
) -> Characteristic:
    return Characteristic.objects.create(
        part=part,
        number=number,
        name=name,
        kind=kind,
        unit="mm",
        nominal=nominal,
        lower=lower,
        upper=upper,
        gauge=gauge,
        direction=direction,
        weight_class="major",
    )


def csv_of(headings: Sequence[str], rows: Sequence[Sequence[object]]) -> bytes:
    """A plain comma-separated file."""
    return "\n".join([",".join(headings), *(",".join(map(str, row)) for row in rows), ""]).encode()


def trial_file(peg: float = PEG, length: float = LENGTH, *, seed: int = 1) -> bytes:
    """Twelve settled shots from both cavities of the clip, about the given means."""
    rng = np.random.default_rng(seed)
    rows = [
        (shot, cavity, f"{peg + rng.normal(0, 0.003):.3f}", f"{length + rng.normal(0, 0.006):.3f}")
        for shot in range(30, 42)
        for cavity in (1, 2)
    ]
    return csv_of(["Shot", "Cavity", "P1 1", "P1 2"], rows)


def keep(content: bytes, trial: str = "T1", name: str = "m1.csv", **options: object) -> ReadingsKept:
    """Keep a file's readings of the clip's tool."""
    given: dict[str, object] = {"read_at": NOON, "read_by": "tester", "about": TrialAbout(age_h=24)} | options
    return keep_readings(content, name, programme=SLUG, tool=TOOL, trial=trial, **given)  # type: ignore[arg-type]


def stored() -> dict[str, int]:
    """How many rows of each kind are in the record."""
    kept = (Programme, Trial, SourceFile, Reading, Characteristic, ToolState, SteelSize)
    return {model.__name__: model._default_manager.count() for model in kept}
