"""A small invented record for the pages: one tool of the harbour otter, its steel, and the file of a trial.

Readings are made from hidden steel and hidden shrinkage with a fixed seed: some sizes hold, some do not,
and one is formed by steel nobody has measured.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime

import numpy as np

from offtool.handbook.terms import Direction, Half, SizeKind, Stated, WeightClass
from offtool.records.models import (
    Cavity,
    Characteristic,
    Gauge,
    Move,
    Part,
    Programme,
    Resin,
    SteelFeature,
    SteelSize,
    Tool,
    ToolState,
)
from offtool.steps.read_readings import TrialAbout, keep_readings

SLUG, TOOL, TRIAL = "harbour-otter", "M2", "T1"
NOW = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)
ALLOWED = {Direction.FLOW: 0.005, Direction.CROSS: 0.005, Direction.THICKNESS: 0.005}
TRUE = {Direction.FLOW: 0.0072, Direction.CROSS: 0.0052, Direction.THICKNESS: 0.0050}


@dataclass(frozen=True, slots=True)
class Drawn:
    """A size of the drawing, and by how much its steel was left or cut off target, in mm."""

    number: str
    name: str
    nominal: float
    lower: float
    upper: float
    direction: Direction = Direction.CROSS
    kind: SizeKind = SizeKind.DIAMETER
    weight: WeightClass = WeightClass.MAJOR
    off_mm: float = 0.0
    sd: float = 0.004
    core: bool = False
    steel_known: bool = True


DRAWN = (
    Drawn("7", "Neck ring, outside", 18.20, -0.10, 0.10),
    Drawn("9", "Ear spacing", 24.60, -0.15, 0.15, kind=SizeKind.LENGTH),
    Drawn("12", "Hip peg, diameter", 4.00, -0.02, 0.03, weight=WeightClass.CRITICAL, off_mm=-0.035),
    Drawn("13", "Hip socket, bore", 4.05, 0.0, 0.03, weight=WeightClass.CRITICAL, off_mm=0.03, core=True),
    Drawn("18", "Shoulder, width", 31.50, -0.12, 0.12, kind=SizeKind.LENGTH),
    Drawn("22", "Tail, wall at tip", 1.40, -0.03, 0.03, Direction.THICKNESS, SizeKind.WALL, sd=0.0065),
    Drawn("31", "Torso half, length", 62.00, -0.15, 0.15, Direction.FLOW, SizeKind.LENGTH),
    Drawn("32", "Back ridge, length", 48.00, -0.12, 0.12, Direction.FLOW, SizeKind.LENGTH),
    Drawn(
        "33", "Belly opening, length", 36.40, -0.10, 0.10, Direction.FLOW, SizeKind.LENGTH, steel_known=False
    ),
    Drawn("40", "Paw, thickness", 6.20, -0.06, 0.06, Direction.THICKNESS, SizeKind.WALL),
)


def many(sizes: int) -> tuple[Drawn, ...]:
    """The drawing, and sizes that hold until there are so many."""
    more = (
        Drawn(str(100 + i), f"Fur line {i}, width", 5.0 + i / 10, -0.08, 0.08, kind=SizeKind.LENGTH)
        for i in range(sizes - len(DRAWN))
    )
    return (*DRAWN, *more)


def make_programme(drawn: tuple[Drawn, ...] = DRAWN, *, cavities: int = 4) -> Tool:
    """The programme with its tool in state a; nothing is measured yet but the steel."""
    programme = Programme.objects.create(
        slug=SLUG, title="Harbour otter", note="An articulated figure; everything here is invented."
    )
    resin = Resin.objects.create(
        programme=programme, code="ABS", flow_pct=0.5, cross_pct=0.5, thickness_pct=0.5, density_g_cm3=1.05
    )
    part = Part.objects.create(programme=programme, code="HO-02", name="Torso", resin=resin)
    gauge = Gauge.objects.create(
        programme=programme,
        code="G3",
        name="micrometer",
        resolution=0.001,
        uncertainty=0.001,
        study="9 March",
    )
    tool = Tool.objects.create(programme=programme, code=TOOL, name="Torso and arms")
    state = ToolState.objects.create(tool=tool, label="a", ordinal=1, made_on=date(2026, 2, 20))
    places = [Cavity.objects.create(tool=tool, part=part, label=str(i + 1)) for i in range(cavities)]
    for one in drawn:
        size = Characteristic.objects.create(
            part=part, number=one.number, name=one.name, kind=one.kind, unit="mm", nominal=one.nominal,
            lower=one.nominal + one.lower, upper=one.nominal + one.upper, direction=one.direction,
            weight_class=one.weight, gauge=gauge,
        )  # fmt: skip
        feature = SteelFeature.objects.create(
            tool=tool, part=part, code=f"F{one.number}", name=f"steel of {one.name}",
            half=Half.CORE if one.core else Half.CAVITY, can_add=one.core,
            stated=Stated.DIAMETER if one.kind is SizeKind.DIAMETER else Stated.LENGTH,
            size_change_per_mm=-1.0 if one.core else 1.0, drawn_mm=round(_steel(one), 3),
        )  # fmt: skip
        Move.objects.create(
            feature=feature, characteristic=size, factor=-1.0 if one.core else 1.0, forms=True
        )
        for place in places if one.steel_known else []:
            SteelSize.objects.create(
                feature=feature, cavity=place, state=state, measured_mm=round(_steel(one), 3),
                allowance_mm=0.12 if one.off_mm else 0.05,
            )  # fmt: skip
    return tool


def readings_csv(
    drawn: tuple[Drawn, ...] = DRAWN, *, cavities: int = 4, parts: int = 10, seed: int = 7
) -> bytes:
    """The file of a trial as a gauge room sends it: a row a part, a column a size."""
    random = np.random.default_rng(seed)
    rows = ["Shot,Cavity," + ",".join(f"{one.number} {one.name.replace(',', '')}" for one in drawn)]
    for shot in range(20, 20 + parts):
        for cavity in range(1, cavities + 1):
            values = [_steel(one) * (1 - TRUE[one.direction]) + random.normal(0, one.sd) for one in drawn]
            rows.append(f"{shot},{cavity}," + ",".join(f"{value:.3f}" for value in values))
    return "\n".join(rows).encode()


def read_trial(content: bytes, *, trial: str = TRIAL, name: str = "M2_T1_gaugeroom.csv") -> None:
    """Read a file into a trial."""
    keep_readings(
        content, name, programme=SLUG, tool=TOOL, trial=trial, read_at=NOW, read_by="the gauge room",
        about=TrialAbout(shot_on=NOW.date(), press="press 6", colour="grey from the barrel", age_h=31),
    )  # fmt: skip


def _steel(one: Drawn) -> float:
    """The steel that stands in the tool: drawn for the middle of the limits, and off by what was left."""
    middle = one.nominal + (one.lower + one.upper) / 2
    return (middle + one.off_mm) / (1 - ALLOWED[one.direction])
