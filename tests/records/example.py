"""A small invented product in the record, for tests: two tools, two parts, a second programme beside it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime
from itertools import count
from typing import Any

import numpy as np

from offtool.handbook.terms import Cause
from offtool.records.models import (
    Cavity,
    Characteristic,
    Correction,
    Defect,
    Exclusion,
    Flaw,
    Gauge,
    GaugeReading,
    GaugeStudy,
    Look,
    Move,
    Part,
    Photograph,
    Prediction,
    Programme,
    Reading,
    Resin,
    Shot,
    SourceFile,
    SteelFeature,
    SteelSize,
    Tool,
    ToolState,
    Trial,
)
from offtool.records.operations import ReadFile, store_readings
from offtool.records.reading_arrays import ReadingColumns

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
_number = count(1)


def resin_of(programme: Programme, **changed: Any) -> Resin:
    values = {"code": "ABS", "flow_pct": 0.5, "cross_pct": 0.6, "thickness_pct": 0.4} | changed
    return Resin.objects.create(programme=programme, **values)


def size_of(part: Part, **changed: Any) -> Characteristic:
    values = {
        "number": "1",
        "kind": "diameter",
        "unit": "mm",
        "nominal": 4.0,
        "lower": 3.95,
        "upper": 4.05,
    } | changed
    return Characteristic.objects.create(part=part, **values)


def feature_of(tool: Tool, part: Part, **changed: Any) -> SteelFeature:
    values = {"code": "CP1", "half": "core half", "stated": "per side", "size_change_per_mm": -2.0} | changed
    return SteelFeature.objects.create(tool=tool, part=part, **values)


@dataclass
class Example:
    """Programme "otter" with body and limb in tool M1, tail in tool M2; and another programme beside it."""

    programme: Programme
    resin: Resin
    body: Part
    limb: Part
    tail: Part
    gauge: Gauge
    tool: Tool
    tool_2: Tool
    cavities: list[Cavity]
    limb_cavity: Cavity
    tail_cavity: Cavity
    state: ToolState
    state_2: ToolState
    bore: Characteristic
    limb_length: Characteristic
    tail_length: Characteristic
    pin: SteelFeature
    limb_recess: SteelFeature
    pin_sizes: list[SteelSize]
    move: Move
    trial: Trial
    trial_2: Trial
    other: Programme
    other_resin: Resin
    other_part: Part
    other_gauge: Gauge
    corrections: list[Correction] = field(default_factory=list)

    def columns(self, **changed: Any) -> ReadingColumns:
        """Four readings of the bore: shots 1 and 2, both cavities."""
        first, second = (cavity.pk for cavity in self.cavities)
        values: dict[str, Any] = {
            "characteristic_id": [self.bore.pk] * 4,
            "cavity_id": [first, second, first, second],
            "shot": [1, 1, 2, 2],
            "part": [-1, -1, -1, -1],
            "value": [4.01, 4.02, 4.03, 4.04],
            "row": [2, 3, 4, 5],
            "column": [3, 3, 3, 3],
        } | changed
        return ReadingColumns(**{name: np.asarray(column) for name, column in values.items()})

    def stored(self, content: bytes = b"bore;4.01", **changed: Any) -> SourceFile:
        """A file of four readings, stored under the first trial."""
        return store_readings(
            self.trial, a_file(content), self.columns(**changed), read_at=NOON, read_by="Ada"
        )

    def correction(self, **changed: Any) -> Correction:
        """A proposed correction of the pin in the first cavity."""
        values: dict[str, Any] = {
            "trial": self.trial,
            "feature": self.pin,
            "cavity": self.cavities[0],
            "amount_mm": 0.02,
            "size_before_mm": 4.06,
            "size_after_mm": 4.02,
            "allowance_left_mm": 0.08,
            "reason": "bore too large",
            "cause": Cause.STEEL_SAFE.value,
            "method": "direct, version 0",
            "inputs": {"mean": 4.04},
            "made_at": NOON,
            "made_by": "Ada",
        } | changed
        return Correction.objects.create(**values)

    def prediction(self, **changed: Any) -> Prediction:
        """A prediction for the bore in the first cavity."""
        values: dict[str, Any] = {
            "trial": self.trial,
            "characteristic": self.bore,
            "cavity": self.cavities[0],
            "mean": 4.0,
            "low": 3.98,
            "high": 4.02,
            "confidence": 0.8,
            "sd": 0.015,
        } | changed
        return Prediction.objects.create(**values)

    def reading(self, **changed: Any) -> Reading:
        """One reading by itself, past the operation that stores files."""
        source = SourceFile.objects.create(**self.source_values())
        values: dict[str, Any] = {
            "source": source,
            "characteristic": self.bore,
            "cavity": self.cavities[0],
            "shot": Shot.objects.create(trial=self.trial, number=next(_number)),
            "value": 4.0,
            "row": 2,
            "column": 3,
        } | changed
        return Reading.objects.create(**values)

    def exclusion(self, **changed: Any) -> Exclusion:
        """A reading by itself that is left out."""
        values: dict[str, Any] = {"reason": "it fell", "made_at": NOON, "made_by": "Ada"} | changed
        if "reading" not in values:
            values["reading"] = self.reading()
        return Exclusion.objects.create(**values)

    def defect(self, **changed: Any) -> Defect:
        """A kind of flaw, each with a code of its own."""
        values: dict[str, Any] = {
            "programme": self.programme,
            "code": f"flash-{next(_number)}",
            "name": "flash",
        } | changed
        return Defect.objects.create(**values)

    def look(self, **changed: Any) -> Look:
        """Five pieces of the first cavity that were looked at."""
        values: dict[str, Any] = {
            "trial": self.trial,
            "cavity": self.cavities[0],
            "pieces": 5,
            "looked_at": NOON,
            "looked_by": "Ada",
        } | changed
        return Look.objects.create(**values)

    def flaw(self, **changed: Any) -> Flaw:
        """A flaw on one piece of a look of its own."""
        values: dict[str, Any] = {"place": "left ear"} | changed
        if "look" not in values:
            values["look"] = self.look()
        if "defect" not in values:
            values["defect"] = self.defect()
        return Flaw.objects.create(**values)

    def photograph(self, **changed: Any) -> Photograph:
        """A picture of a look of its own."""
        values: dict[str, Any] = {
            "name": "ear.png",
            "sha256": f"{next(_number):064x}",
            "content": b"x",
            "media_type": "image/png",
            "width": 4,
            "height": 3,
        } | changed
        if "look" not in values:
            values["look"] = self.look()
        return Photograph.objects.create(**values)

    def study(self, **changed: Any) -> GaugeStudy:
        """A study of the gauge on the bore, each with a name of its own."""
        values: dict[str, Any] = {
            "gauge": self.gauge,
            "characteristic": self.bore,
            "name": f"S{next(_number)}",
            "kind": "crossed",
            "file_name": "study.csv",
            "sha256": f"{next(_number):064x}",
            "content": b"x",
            "read_at": NOON,
            "read_by": "Ada",
        } | changed
        return GaugeStudy.objects.create(**values)

    def gauge_reading(self, **changed: Any) -> GaugeReading:
        """One reading of a study of its own."""
        values: dict[str, Any] = {
            "part": "1",
            "operator": "A",
            "repeat": 1,
            "value": 4.01,
            "row": 2,
            "column": 4,
        } | changed
        if "study" not in values:
            values["study"] = self.study()
        return GaugeReading.objects.create(**values)

    def source_values(self, **changed: Any) -> dict[str, Any]:
        """What a source file of the first trial holds; each with a checksum of its own."""
        return {
            "programme": self.programme,
            "trial": self.trial,
            "name": "T1.csv",
            "sha256": f"{next(_number):064x}",
            "content": b"x",
            "size": 1,
            "layout": "wide",
            "read_at": NOON,
        } | changed


def a_file(content: bytes = b"bore;4.01", **changed: Any) -> ReadFile:
    values: dict[str, Any] = {
        "name": "T1.csv",
        "layout": "wide",
        "read_options": {"delimiter": ";"},
    } | changed
    return ReadFile(content=content, **values)


def make_example() -> Example:
    """Put the example into the record."""
    programme = Programme.objects.create(slug="otter", title="Invented otter")
    resin = resin_of(programme)
    body, limb, tail = (
        Part.objects.create(programme=programme, code=code, resin=resin) for code in ("body", "limb", "tail")
    )
    gauge = Gauge.objects.create(programme=programme, code="G1", resolution=0.001, uncertainty=0.002)
    tool, tool_2 = (Tool.objects.create(programme=programme, code=code) for code in ("M1", "M2"))
    cavities = [Cavity.objects.create(tool=tool, part=body, label=label) for label in ("1", "2")]
    limb_cavity = Cavity.objects.create(tool=tool, part=limb, label="1")
    tail_cavity = Cavity.objects.create(tool=tool_2, part=tail, label="1")
    state, state_2 = (ToolState.objects.create(tool=each, label="a", ordinal=1) for each in (tool, tool_2))
    bore = size_of(body, gauge=gauge)
    pin = feature_of(tool, body)
    pin_sizes = [
        SteelSize.objects.create(feature=pin, cavity=cavity, state=state, measured_mm=4.06, allowance_mm=0.1)
        for cavity in cavities
    ]
    other = Programme.objects.create(slug="other", title="Another")
    other_resin = resin_of(other)
    return Example(
        programme=programme,
        resin=resin,
        body=body,
        limb=limb,
        tail=tail,
        gauge=gauge,
        tool=tool,
        tool_2=tool_2,
        cavities=cavities,
        limb_cavity=limb_cavity,
        tail_cavity=tail_cavity,
        state=state,
        state_2=state_2,
        bore=bore,
        limb_length=size_of(limb, kind="length"),
        tail_length=size_of(tail, kind="length"),
        pin=pin,
        limb_recess=feature_of(tool, limb, code="R1", stated="length", size_change_per_mm=1.0),
        pin_sizes=pin_sizes,
        move=Move.objects.create(feature=pin, characteristic=bore, factor=-2.0, forms=True),
        trial=Trial.objects.create(tool=tool, name="T1", state=state),
        trial_2=Trial.objects.create(tool=tool_2, name="T1", state=state_2),
        other=other,
        other_resin=other_resin,
        other_part=Part.objects.create(programme=other, code="body", resin=other_resin),
        other_gauge=Gauge.objects.create(programme=other, code="G1", resolution=0.001, uncertainty=0.002),
    )
