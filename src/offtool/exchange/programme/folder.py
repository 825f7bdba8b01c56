"""The programme folder as a whole: the record of one programme as rows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from offtool.exchange.programme.readings import TrialReadings
from offtool.exchange.programme.rows import (
    CavityRow,
    CharacteristicRow,
    CorrectionRow,
    FeatureRow,
    GaugeRow,
    MoveRow,
    PartRow,
    PredictionRow,
    ProgrammeRow,
    ResinRow,
    Row,
    SourceRow,
    StateRow,
    SteelSizeRow,
    ToolRow,
    TrialRow,
)

ORIGINALS = "originals"
WRITTEN = "written.csv"

CSV_ROWS: tuple[type[Row], ...] = (
    CharacteristicRow,
    FeatureRow,
    MoveRow,
    SteelSizeRow,
    SourceRow,
    CorrectionRow,
    PredictionRow,
)
"""The tables that are CSV files of their own; the others stand in programme.toml."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammeFolder:
    """One programme as rows. Readings stand by (tool, trial); originals are fetched one by one."""

    programme: ProgrammeRow
    resins: tuple[ResinRow, ...]
    parts: tuple[PartRow, ...]
    gauges: tuple[GaugeRow, ...]
    tools: tuple[ToolRow, ...]
    cavities: tuple[CavityRow, ...]
    states: tuple[StateRow, ...]
    trials: tuple[TrialRow, ...]
    characteristics: tuple[CharacteristicRow, ...]
    features: tuple[FeatureRow, ...]
    moves: tuple[MoveRow, ...]
    steel_sizes: tuple[SteelSizeRow, ...]
    sources: tuple[SourceRow, ...]
    corrections: tuple[CorrectionRow, ...]
    predictions: tuple[PredictionRow, ...]
    readings: Mapping[tuple[str, str], TrialReadings]
    original_of: Callable[[SourceRow], bytes]
