"""The drawings as a programme folder without readings: what an engineer enters before the first trial."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from examples.otter_story.drawings import PARTS, TOOLS, Size, Steel, ToolDrawing
from examples.otter_story.hidden import ALLOWED, OtterTool
from examples.otter_story.trials import FIRST_CUT_ON

from offtool.exchange.programme import ProgrammeFolder
from offtool.exchange.programme.rows import (
    CavityRow,
    CharacteristicRow,
    FeatureRow,
    GaugeRow,
    MoveRow,
    PartRow,
    ProgrammeRow,
    ResinRow,
    StateRow,
    SteelSizeRow,
    ToolRow,
)

SLUG = "harbour-otter"
TITLE = "Harbour otter"
NOTE = (
    "Invented: an articulated figure of an otter with a clam, made up to show offtool at work. "
    "There is no such product; drawings, steel, trials and readings come from a virtual moulder."
)
FIRST_STATE = "a"

_STUDY = "crossed study of 2026-01-20: 2 people, 10 parts, 3 times each"
_CALIBRATED = "calibrated 2026-01-14"
_GAUGES = (
    GaugeRow(code="MIC-07", name="micrometer", resolution=0.001, uncertainty=0.0015, study=_STUDY),
    GaugeRow(code="MSC-02", name="measuring microscope", resolution=0.001, uncertainty=0.002, study=""),
    GaugeRow(code="CAL-11", name="caliper", resolution=0.02, uncertainty=0.0, study=""),
    GaugeRow(code="SCL-03", name="scale", resolution=0.01, uncertainty=0.005, study="calibrated 2026-01-12"),
    GaugeRow(code="PRO-05", name="protractor eyepiece", resolution=0.1, uncertainty=0.0, study=""),
    GaugeRow(code="TRQ-04", name="torque gauge", resolution=0.001, uncertainty=0.001, study=_CALIBRATED),
    GaugeRow(code="PUL-09", name="pull tester", resolution=1.0, uncertainty=0.0, study=""),
)
_RESINS = {"ABS": ("acrylonitrile butadiene styrene", False, 1.05), "POM": ("acetal", True, 1.41)}


def programme_without_readings(tools: dict[str, OtterTool]) -> ProgrammeFolder:
    """Everything that is known when the tools are first cut, with the steel as the toolmaker measured it."""
    sizes = [(tool, size) for tool in TOOLS for size in tool.sizes]
    formed = [(tool, size, size.steel) for tool, size in sizes if size.steel]
    return ProgrammeFolder(
        programme=ProgrammeRow(slug=SLUG, title=TITLE, note=NOTE),
        resins=tuple(_resin(code) for code in ALLOWED),
        parts=tuple(PartRow(code=code, name=PARTS[code], resin=_resin_of(code)) for code in PARTS),
        gauges=_GAUGES,
        tools=tuple(_tool(tool) for tool in TOOLS),
        cavities=tuple(
            CavityRow(tool=tool.code, part=part, label=label)
            for tool in TOOLS
            for part in tool.parts
            for label in tool.labels
        ),
        states=tuple(_first_state(tool.code, FIRST_CUT_ON) for tool in TOOLS),
        trials=(),
        characteristics=tuple(_characteristic(size) for _, size in sizes),
        features=tuple(
            _feature(tool, size, steel, tools[tool.code].drawn[tool.place(size.key)].drawn_mm)
            for tool, size, steel in formed
        ),
        moves=tuple(move for tool, size, steel in formed for move in _moves(tool, size, steel)),
        steel_sizes=tuple(row for tool in TOOLS for row in _steel_sizes(tool, tools[tool.code])),
        sources=(),
        corrections=(),
        predictions=(),
        readings={},
        original_of=lambda source: b"",
    )


def allowance_left(steel: Steel) -> float:
    """What may be removed at first, in the measure that the toolmaker is told."""
    return steel.allowance_mm / steel.per_stated


def measured_steel(tool: OtterTool, size: int, cavity: int) -> float:
    """A steel size as the toolmaker writes it down."""
    return round(float(tool.measured_steel[size, cavity]), 3)


def _resin(code: str) -> ResinRow:
    name, semi_crystalline, density = _RESINS[code]
    flow, cross, thickness = (round(100 * ALLOWED[code][way], 3) for way in ("flow", "cross", "thickness"))
    return ResinRow(
        code=code,
        name=name,
        flow_pct=flow,
        cross_pct=cross,
        thickness_pct=thickness,
        semi_crystalline=semi_crystalline,
        density_g_cm3=density,
    )


def _tool(tool: ToolDrawing) -> ToolRow:
    return ToolRow(code=tool.code, name=tool.name, step_mm=tool.step_mm, cut_sd_mm=tool.cut_sd_mm)


def _resin_of(part: str) -> str:
    return next(tool.resin for tool in TOOLS if part in tool.parts)


def _first_state(tool: str, made_on: date) -> StateRow:
    return StateRow(tool=tool, label=FIRST_STATE, ordinal=1, made_on=made_on, note="as first cut")


def _characteristic(size: Size) -> CharacteristicRow:
    return CharacteristicRow(
        part=size.part,
        number=size.number,
        name=size.name,
        kind=size.kind,
        unit=size.unit,
        nominal=size.nominal,
        lower=size.lower,
        upper=size.upper,
        target=None,
        direction=size.direction,
        weight_class=size.weight_class,
        required_index=None,
        gauge=size.gauge,
    )


def _feature(tool: ToolDrawing, size: Size, steel: Steel, drawn_mm: float) -> FeatureRow:
    return FeatureRow(
        tool=tool.code,
        code=steel.code,
        name=steel.name,
        part=size.part,
        half=steel.half,
        stated=steel.stated,
        size_change_per_mm=float(steel.sign * steel.per_stated),
        drawn_mm=drawn_mm,
        can_add=steel.can_add,
    )


def _moves(tool: ToolDrawing, size: Size, steel: Steel) -> Iterator[MoveRow]:
    factors = {size.number: float(steel.sign * steel.per_stated)}
    if steel.also_moves:
        factors[steel.also_moves] = steel.also_by * steel.per_stated
    for number, factor in factors.items():
        yield MoveRow(
            tool=tool.code,
            feature=steel.code,
            characteristic=number,
            factor=factor,
            forms=number == size.number,
        )


def _steel_sizes(drawing: ToolDrawing, tool: OtterTool) -> list[SteelSizeRow]:
    return [
        SteelSizeRow(
            tool=drawing.code,
            feature=size.steel.code,
            cavity=label,
            state=FIRST_STATE,
            measured_mm=measured_steel(tool, i, c),
            uncertainty_mm=0.003,
            allowance_mm=allowance_left(size.steel),
        )
        for i, size in enumerate(drawing.sizes)
        if size.steel and size.steel.known_from == FIRST_STATE
        for c, label in enumerate(drawing.labels)
    ]
