"""The tables of a programme's definitions, corrections and predictions, in its folder and in the record."""

from __future__ import annotations

from typing import Any

from offtool.exchange.programme.inspection_rows import DefectRow
from offtool.exchange.programme.rows import (
    CavityRow,
    CharacteristicRow,
    CorrectionRow,
    FeatureRow,
    GaugeRow,
    MoveRow,
    PartRow,
    PredictionRow,
    ResinRow,
    StateRow,
    SteelSizeRow,
    ToolRow,
    TrialRow,
)
from offtool.handbook.terms import CorrectionStatus
from offtool.records.models import (
    Cavity,
    Characteristic,
    Correction,
    Defect,
    Gauge,
    Move,
    Part,
    Prediction,
    Resin,
    SteelFeature,
    SteelSize,
    Tool,
    ToolState,
    Trial,
)
from offtool.steps.answering import Known, Table
from offtool.steps.ground_tables import JOBS, PRESS_HOLDS, PRESSES


def _part_of(known: Known, tool: str, feature: str) -> str:
    return known.features[tool, feature].part.code


def _cavity_of(known: Known, tool: str, feature: str, label: str) -> Cavity:
    """The cavity of the part that a feature forms."""
    return known.cavities[tool, _part_of(known, tool, feature), label]


def _correction_names(correction: Correction) -> dict[str, Any]:
    state = correction.resulting_state
    return {
        "tool": correction.trial.tool.code,
        "trial": correction.trial.name,
        "feature": correction.feature.code,
        "cavity": correction.cavity.label,
        "resulting_state": state.label if state else "",
    }


def _correction_links(row: CorrectionRow, known: Known) -> dict[str, Any]:
    state = known.states[row.tool, row.resulting_state] if row.resulting_state else None
    return {
        "trial": known.trials[row.tool, row.trial],
        "feature": known.features[row.tool, row.feature],
        "cavity": _cavity_of(known, row.tool, row.feature, row.cavity),
        "resulting_state": state,
    }


def _prediction_names(prediction: Prediction) -> dict[str, Any]:
    correction, judge = prediction.correction, prediction.judged_in
    return {
        "tool": prediction.trial.tool.code,
        "trial": prediction.trial.name,
        "part": prediction.characteristic.part.code,
        "characteristic": prediction.characteristic.number,
        "cavity": prediction.cavity.label,
        "feature": correction.feature.code if correction else "",
        "made_at": correction.made_at if correction else None,
        "judged_in": judge.name if judge else "",
    }


def _prediction_links(row: PredictionRow, known: Known) -> dict[str, Any]:
    correction = (row.tool, row.trial, row.feature, row.cavity, str(row.made_at))
    return {
        "trial": known.trials[row.tool, row.trial],
        "characteristic": known.characteristics[row.part, row.characteristic],
        "cavity": known.cavities[row.tool, row.part, row.cavity],
        "correction": known.corrections[correction] if row.feature else None,
        "judged_in": known.trials[row.tool, row.judged_in] if row.judged_in else None,
    }


RESINS = Table(
    name="resins",
    row=ResinRow,
    model=Resin,
    kept=lambda programme: Resin.objects.filter(programme=programme),
    names=lambda resin: {},
    links=lambda row, known: {"programme": known.programme},
)
PARTS = Table(
    name="parts",
    row=PartRow,
    model=Part,
    kept=lambda programme: Part.objects.filter(programme=programme).select_related("resin"),
    names=lambda part: {"resin": part.resin.code},
    links=lambda row, known: {"programme": known.programme, "resin": known.resins[(row.resin,)]},
)
GAUGES = Table(
    name="gauges",
    row=GaugeRow,
    model=Gauge,
    kept=lambda programme: Gauge.objects.filter(programme=programme),
    names=lambda gauge: {},
    links=lambda row, known: {"programme": known.programme},
)
TOOLS = Table(
    name="tools",
    row=ToolRow,
    model=Tool,
    kept=lambda programme: Tool.objects.filter(programme=programme),
    names=lambda tool: {},
    links=lambda row, known: {"programme": known.programme},
)
CAVITIES = Table(
    name="cavities",
    row=CavityRow,
    model=Cavity,
    kept=lambda programme: Cavity.objects.filter(tool__programme=programme).select_related("tool", "part"),
    names=lambda cavity: {"tool": cavity.tool.code, "part": cavity.part.code},
    links=lambda row, known: {"tool": known.tools[(row.tool,)], "part": known.parts[(row.part,)]},
)
STATES = Table(
    name="states",
    row=StateRow,
    model=ToolState,
    kept=lambda programme: ToolState.objects.filter(tool__programme=programme).select_related("tool"),
    names=lambda state: {"tool": state.tool.code},
    links=lambda row, known: {"tool": known.tools[(row.tool,)]},
)
CHARACTERISTICS = Table(
    name="characteristics",
    row=CharacteristicRow,
    model=Characteristic,
    kept=lambda programme: Characteristic.objects.filter(part__programme=programme).select_related(
        "part", "gauge"
    ),
    names=lambda size: {"part": size.part.code, "gauge": size.gauge.code if size.gauge else ""},
    links=lambda row, known: {
        "part": known.parts[(row.part,)],
        "gauge": known.gauges[(row.gauge,)] if row.gauge else None,
    },
    settled=("unit",),
    is_used=lambda size, column: size.readings.exists(),
)
FEATURES = Table(
    name="features",
    row=FeatureRow,
    model=SteelFeature,
    kept=lambda programme: SteelFeature.objects.filter(tool__programme=programme).select_related(
        "tool", "part"
    ),
    names=lambda feature: {"tool": feature.tool.code, "part": feature.part.code},
    links=lambda row, known: {"tool": known.tools[(row.tool,)], "part": known.parts[(row.part,)]},
    settled=("part",),
    is_used=lambda feature, column: (
        feature.sizes.exists() or feature.moves.exists() or feature.corrections.exists()
    ),
)
MOVES = Table(
    name="moves",
    row=MoveRow,
    model=Move,
    kept=lambda programme: Move.objects.filter(feature__tool__programme=programme).select_related(
        "feature__tool", "characteristic"
    ),
    names=lambda move: {
        "tool": move.feature.tool.code,
        "feature": move.feature.code,
        "characteristic": move.characteristic.number,
    },
    links=lambda row, known: {
        "feature": known.features[row.tool, row.feature],
        "characteristic": known.characteristics[_part_of(known, row.tool, row.feature), row.characteristic],
    },
)
STEEL_SIZES = Table(
    name="steel_sizes",
    row=SteelSizeRow,
    model=SteelSize,
    kept=lambda programme: SteelSize.objects.filter(feature__tool__programme=programme).select_related(
        "feature__tool", "cavity", "state"
    ),
    names=lambda size: {
        "tool": size.feature.tool.code,
        "feature": size.feature.code,
        "cavity": size.cavity.label,
        "state": size.state.label,
    },
    links=lambda row, known: {
        "feature": known.features[row.tool, row.feature],
        "cavity": _cavity_of(known, row.tool, row.feature, row.cavity),
        "state": known.states[row.tool, row.state],
    },
)
TRIALS = Table(
    name="trials",
    row=TrialRow,
    model=Trial,
    kept=lambda programme: Trial.objects.filter(tool__programme=programme).select_related(
        "tool", "state", "interrupted__press"
    ),
    names=lambda trial: {
        "tool": trial.tool.code,
        "state": trial.state.label,
        "interrupted_press": trial.interrupted.press.code if trial.interrupted else "",
        "interrupted_job": trial.interrupted.code if trial.interrupted else "",
    },
    links=lambda row, known: {
        "tool": known.tools[(row.tool,)],
        "state": known.states[row.tool, row.state],
        "interrupted": (
            known.jobs[row.interrupted_press, row.interrupted_job] if row.interrupted_job else None
        ),
    },
)
DEFECTS = Table(
    name="defects",
    row=DefectRow,
    model=Defect,
    kept=lambda programme: Defect.objects.filter(programme=programme),
    names=lambda defect: {},
    links=lambda row, known: {"programme": known.programme},
)
CORRECTIONS = Table(
    name="corrections",
    row=CorrectionRow,
    model=Correction,
    kept=lambda programme: Correction.objects.filter(trial__tool__programme=programme).select_related(
        "trial__tool", "feature", "cavity", "resulting_state"
    ),
    names=_correction_names,
    links=_correction_links,
    settled=(
        *("amount_mm", "size_before_mm", "size_after_mm", "allowance_left_mm"),
        *("reason", "cause", "method", "inputs", "made_by", "status", "resulting_state"),
    ),
    is_used=lambda correction, column: (
        column not in ("status", "resulting_state") or correction.status != CorrectionStatus.PROPOSED
    ),
)
PREDICTIONS = Table(
    name="predictions",
    row=PredictionRow,
    model=Prediction,
    kept=lambda programme: Prediction.objects.filter(trial__tool__programme=programme).select_related(
        "trial__tool", "characteristic__part", "cavity", "correction__feature", "judged_in"
    ),
    names=_prediction_names,
    links=_prediction_links,
)

DEFINITIONS = (
    *(RESINS, PARTS, GAUGES, TOOLS, CAVITIES, STATES, CHARACTERISTICS),
    *(FEATURES, MOVES, STEEL_SIZES, PRESSES, PRESS_HOLDS, JOBS, TRIALS, DEFECTS),
)
"""What can be entered before anything is measured, each after what it points at."""
