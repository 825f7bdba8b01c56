"""The programme folder as a whole: the record of one programme as rows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from offtool.exchange.programme.ground_rows import (
    BuildPartRow,
    BuildRow,
    DetailRow,
    DetailStateRow,
    JobRow,
    PressHoldsRow,
    PressRow,
    SignShareRow,
    StageNameRow,
)
from offtool.exchange.programme.inspection_rows import (
    DefectRow,
    ExclusionRow,
    FlawRow,
    GaugeReadingRow,
    GaugeStudyRow,
    LookRow,
    PhotographRow,
)
from offtool.exchange.programme.joint_rows import (
    JointDemandRow,
    JointReadingRow,
    JointRow,
    JointSizeRow,
    JointTestRow,
)
from offtool.exchange.programme.line_rows import (
    LineBreakRow,
    LineEquipmentRow,
    LinePressRow,
    LineRow,
    LineStationRow,
    LineTaskRow,
)
from offtool.exchange.programme.pilot_rows import (
    PilotAuditRow,
    PilotCountRow,
    PilotDefectRow,
    PilotFileRow,
    PilotRow,
    PilotTimeRow,
    PilotTrialRow,
)
from offtool.exchange.programme.planning_rows import (
    ColourChangeRow,
    ColourShotRow,
    EngineersRow,
    MeshRow,
    PressOffRow,
    RequestRow,
    WantRow,
)
from offtool.exchange.programme.readings import FOLDER as READINGS
from offtool.exchange.programme.readings import TrialReadings
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
from offtool.exchange.programme.sample_rows import (
    SampleColourRow,
    SamplePartRow,
    SamplePhotographRow,
    SampleRow,
    SampleSizeRow,
    SeenDetailRow,
    SeenSignRow,
)
from offtool.exchange.programme.seam_rows import SeamRow, SeamSizeRow, WeldRunRow, WeldStudyRow

WRITTEN = "written.csv"

CSV_TABLES: Mapping[str, type[Row]] = {
    "characteristics": CharacteristicRow,
    "features": FeatureRow,
    "moves": MoveRow,
    "steel_sizes": SteelSizeRow,
    "sources": SourceRow,
    "corrections": CorrectionRow,
    "predictions": PredictionRow,
    "defects": DefectRow,
    "looks": LookRow,
    "flaws": FlawRow,
    "photographs": PhotographRow,
    "gauge_studies": GaugeStudyRow,
    "gauge_readings": GaugeReadingRow,
    "exclusions": ExclusionRow,
    "joint_tests": JointTestRow,
    "joint_readings": JointReadingRow,
    "joint_demands": JointDemandRow,
    "weld_studies": WeldStudyRow,
    "weld_runs": WeldRunRow,
    "presses": PressRow,
    "press_holds": PressHoldsRow,
    "jobs": JobRow,
    "builds": BuildRow,
    "build_parts": BuildPartRow,
    "details": DetailRow,
    "detail_states": DetailStateRow,
    "stage_names": StageNameRow,
    "sign_shares": SignShareRow,
    "samples": SampleRow,
    "sample_parts": SamplePartRow,
    "seen_details": SeenDetailRow,
    "seen_signs": SeenSignRow,
    "sample_sizes": SampleSizeRow,
    "sample_colours": SampleColourRow,
    "sample_photographs": SamplePhotographRow,
    "press_off": PressOffRow,
    "engineers_there": EngineersRow,
    "meshes": MeshRow,
    "colour_changes": ColourChangeRow,
    "colour_shots": ColourShotRow,
    "trial_requests": RequestRow,
    "trial_wants": WantRow,
    "lines": LineRow,
    "line_equipment": LineEquipmentRow,
    "line_stations": LineStationRow,
    "line_tasks": LineTaskRow,
    "line_breaks": LineBreakRow,
    "line_presses": LinePressRow,
    "pilots": PilotRow,
    "pilot_trials": PilotTrialRow,
    "pilot_files": PilotFileRow,
    "pilot_counts": PilotCountRow,
    "pilot_defects": PilotDefectRow,
    "pilot_times": PilotTimeRow,
    "pilot_audits": PilotAuditRow,
    "release_lines": ReleaseLineRow,
    "evidence": EvidenceRow,
    "evidence_states": EvidenceStateRow,
    "toy_tests": ToyTestRow,
    "toy_test_pieces": ToyTestPieceRow,
    "changes": ChangeRow,
    "concessions": ConcessionRow,
    "limit_samples": LimitSampleRow,
    "signatures": SignatureRow,
    "step_days": StepDaysRow,
}
"""The tables that are CSV files of their own; the others stand in programme.toml."""

ONLY_WITH_ROWS = (
    *("defects", "looks", "flaws", "photographs"),
    *("gauge_studies", "gauge_readings", "exclusions"),
    *("joint_tests", "joint_readings", "joint_demands"),
    *("weld_studies", "weld_runs"),
    *("presses", "press_holds", "jobs", "builds", "build_parts", "details", "detail_states"),
    *("stage_names", "sign_shares", "samples", "sample_parts"),
    *("seen_details", "seen_signs", "sample_sizes", "sample_colours", "sample_photographs"),
    *("press_off", "engineers_there", "meshes", "colour_changes", "colour_shots"),
    *("trial_requests", "trial_wants"),
    *("lines", "line_equipment", "line_stations", "line_tasks", "line_breaks", "line_presses"),
    *(
        "pilots",
        "pilot_trials",
        "pilot_files",
        "pilot_counts",
        "pilot_defects",
        "pilot_times",
        "pilot_audits",
    ),
    *(
        "release_lines",
        "evidence",
        "evidence_states",
        "toy_tests",
        "toy_test_pieces",
        "changes",
        "concessions",
        "limit_samples",
        "signatures",
        "step_days",
    ),
)
"""Tables that are written only when there is something in them."""

FileRow: TypeAlias = (
    SourceRow
    | PhotographRow
    | GaugeStudyRow
    | JointTestRow
    | WeldStudyRow
    | SamplePhotographRow
    | MeshRow
    | ColourChangeRow
    | PilotFileRow
    | EvidenceRow
    | ToyTestRow
)
"""A row that stands for a file of the folder, byte for byte: `file` is its name there, in `folder`."""

FILES: Mapping[str, type[FileRow]] = {
    "sources": SourceRow,
    "photographs": PhotographRow,
    "gauge_studies": GaugeStudyRow,
    "joint_tests": JointTestRow,
    "weld_studies": WeldStudyRow,
    "sample_photographs": SamplePhotographRow,
    "meshes": MeshRow,
    "colour_changes": ColourChangeRow,
    "pilot_files": PilotFileRow,
    "evidence": EvidenceRow,
    "toy_tests": ToyTestRow,
}
"""Tables whose rows stand for files, byte for byte."""

FOLDERS = (READINGS, *(row.folder for row in FILES.values()))
"""The folders inside the folder."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammeFolder:
    """One programme as rows. Readings stand by (tool, trial); files are fetched one by one."""

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
    defects: tuple[DefectRow, ...] = ()
    looks: tuple[LookRow, ...] = ()
    flaws: tuple[FlawRow, ...] = ()
    photographs: tuple[PhotographRow, ...] = ()
    gauge_studies: tuple[GaugeStudyRow, ...] = ()
    gauge_readings: tuple[GaugeReadingRow, ...] = ()
    exclusions: tuple[ExclusionRow, ...] = ()
    joints: tuple[JointRow, ...] = ()
    joint_sizes: tuple[JointSizeRow, ...] = ()
    joint_tests: tuple[JointTestRow, ...] = ()
    joint_readings: tuple[JointReadingRow, ...] = ()
    joint_demands: tuple[JointDemandRow, ...] = ()
    seams: tuple[SeamRow, ...] = ()
    seam_sizes: tuple[SeamSizeRow, ...] = ()
    weld_studies: tuple[WeldStudyRow, ...] = ()
    weld_runs: tuple[WeldRunRow, ...] = ()
    presses: tuple[PressRow, ...] = ()
    press_holds: tuple[PressHoldsRow, ...] = ()
    jobs: tuple[JobRow, ...] = ()
    builds: tuple[BuildRow, ...] = ()
    build_parts: tuple[BuildPartRow, ...] = ()
    details: tuple[DetailRow, ...] = ()
    detail_states: tuple[DetailStateRow, ...] = ()
    stage_names: tuple[StageNameRow, ...] = ()
    sign_shares: tuple[SignShareRow, ...] = ()
    samples: tuple[SampleRow, ...] = ()
    sample_parts: tuple[SamplePartRow, ...] = ()
    seen_details: tuple[SeenDetailRow, ...] = ()
    seen_signs: tuple[SeenSignRow, ...] = ()
    sample_sizes: tuple[SampleSizeRow, ...] = ()
    sample_colours: tuple[SampleColourRow, ...] = ()
    sample_photographs: tuple[SamplePhotographRow, ...] = ()
    press_off: tuple[PressOffRow, ...] = ()
    engineers_there: tuple[EngineersRow, ...] = ()
    meshes: tuple[MeshRow, ...] = ()
    colour_changes: tuple[ColourChangeRow, ...] = ()
    colour_shots: tuple[ColourShotRow, ...] = ()
    trial_requests: tuple[RequestRow, ...] = ()
    trial_wants: tuple[WantRow, ...] = ()
    lines: tuple[LineRow, ...] = ()
    line_equipment: tuple[LineEquipmentRow, ...] = ()
    line_stations: tuple[LineStationRow, ...] = ()
    line_tasks: tuple[LineTaskRow, ...] = ()
    line_breaks: tuple[LineBreakRow, ...] = ()
    line_presses: tuple[LinePressRow, ...] = ()
    pilots: tuple[PilotRow, ...] = ()
    pilot_trials: tuple[PilotTrialRow, ...] = ()
    pilot_files: tuple[PilotFileRow, ...] = ()
    pilot_counts: tuple[PilotCountRow, ...] = ()
    pilot_defects: tuple[PilotDefectRow, ...] = ()
    pilot_times: tuple[PilotTimeRow, ...] = ()
    pilot_audits: tuple[PilotAuditRow, ...] = ()
    release_lines: tuple[ReleaseLineRow, ...] = ()
    evidence: tuple[EvidenceRow, ...] = ()
    evidence_states: tuple[EvidenceStateRow, ...] = ()
    toy_tests: tuple[ToyTestRow, ...] = ()
    toy_test_pieces: tuple[ToyTestPieceRow, ...] = ()
    changes: tuple[ChangeRow, ...] = ()
    concessions: tuple[ConcessionRow, ...] = ()
    limit_samples: tuple[LimitSampleRow, ...] = ()
    signatures: tuple[SignatureRow, ...] = ()
    step_days: tuple[StepDaysRow, ...] = ()
    readings: Mapping[tuple[str, str], TrialReadings]
    original_of: Callable[[FileRow], bytes]
