"""How the tables of a programme folder and those of the record answer each other.

A table's plain columns have the same names on both sides. What differs is how rows point at each other: the
folder by names, the record by keys; each table says so once, for loading and for dumping.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from django.db.models import Model

from offtool.exchange.programme.rows import Row, cells_of
from offtool.records.models import (
    Build,
    BuildPart,
    Cavity,
    ChangeMade,
    Characteristic,
    ColourChange,
    ColourShot,
    Concession,
    Correction,
    Defect,
    Detail,
    DetailInState,
    EngineersThere,
    Evidence,
    EvidenceState,
    Flaw,
    Gauge,
    GaugeReading,
    GaugeStudy,
    Job,
    Joint,
    JointDemand,
    JointReading,
    JointSize,
    JointTest,
    LimitSample,
    Line,
    LineBreak,
    LineEquipment,
    LinePress,
    LineStation,
    LineTask,
    Look,
    Move,
    Part,
    PartMesh,
    Photograph,
    Pilot,
    PilotAudit,
    PilotCount,
    PilotDefect,
    PilotFile,
    PilotTime,
    PilotTrial,
    Press,
    PressHolds,
    PressOff,
    Programme,
    ReleaseLine,
    Resin,
    Sample,
    SampleColour,
    SamplePart,
    SamplePhotograph,
    SampleSize,
    Seam,
    SeamSize,
    SeenDetail,
    SeenSign,
    Signature,
    SignShare,
    StageName,
    SteelFeature,
    SteelSize,
    StepDays,
    Tool,
    ToolState,
    ToyTestPiece,
    ToyTestRun,
    Trial,
    TrialRequest,
    TrialWant,
    WeldRun,
    WeldStudy,
)

Names = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """The rows of a programme in the record, by their names in the folder."""

    programme: Programme
    resins: dict[Names, Resin] = field(default_factory=dict)
    parts: dict[Names, Part] = field(default_factory=dict)
    gauges: dict[Names, Gauge] = field(default_factory=dict)
    tools: dict[Names, Tool] = field(default_factory=dict)
    cavities: dict[Names, Cavity] = field(default_factory=dict)
    states: dict[Names, ToolState] = field(default_factory=dict)
    characteristics: dict[Names, Characteristic] = field(default_factory=dict)
    features: dict[Names, SteelFeature] = field(default_factory=dict)
    moves: dict[Names, Move] = field(default_factory=dict)
    steel_sizes: dict[Names, SteelSize] = field(default_factory=dict)
    trials: dict[Names, Trial] = field(default_factory=dict)
    corrections: dict[Names, Correction] = field(default_factory=dict)
    defects: dict[Names, Defect] = field(default_factory=dict)
    looks: dict[Names, Look] = field(default_factory=dict)
    flaws: dict[Names, Flaw] = field(default_factory=dict)
    photographs: dict[Names, Photograph] = field(default_factory=dict)
    gauge_studies: dict[Names, GaugeStudy] = field(default_factory=dict)
    gauge_readings: dict[Names, GaugeReading] = field(default_factory=dict)
    joints: dict[Names, Joint] = field(default_factory=dict)
    joint_sizes: dict[Names, JointSize] = field(default_factory=dict)
    joint_tests: dict[Names, JointTest] = field(default_factory=dict)
    joint_readings: dict[Names, JointReading] = field(default_factory=dict)
    joint_demands: dict[Names, JointDemand] = field(default_factory=dict)
    seams: dict[Names, Seam] = field(default_factory=dict)
    seam_sizes: dict[Names, SeamSize] = field(default_factory=dict)
    weld_studies: dict[Names, WeldStudy] = field(default_factory=dict)
    weld_runs: dict[Names, WeldRun] = field(default_factory=dict)
    presses: dict[Names, Press] = field(default_factory=dict)
    press_holds: dict[Names, PressHolds] = field(default_factory=dict)
    jobs: dict[Names, Job] = field(default_factory=dict)
    builds: dict[Names, Build] = field(default_factory=dict)
    build_parts: dict[Names, BuildPart] = field(default_factory=dict)
    details: dict[Names, Detail] = field(default_factory=dict)
    detail_states: dict[Names, DetailInState] = field(default_factory=dict)
    stage_names: dict[Names, StageName] = field(default_factory=dict)
    sign_shares: dict[Names, SignShare] = field(default_factory=dict)
    samples: dict[Names, Sample] = field(default_factory=dict)
    sample_parts: dict[Names, SamplePart] = field(default_factory=dict)
    seen_details: dict[Names, SeenDetail] = field(default_factory=dict)
    seen_signs: dict[Names, SeenSign] = field(default_factory=dict)
    sample_sizes: dict[Names, SampleSize] = field(default_factory=dict)
    sample_colours: dict[Names, SampleColour] = field(default_factory=dict)
    sample_photographs: dict[Names, SamplePhotograph] = field(default_factory=dict)
    press_off: dict[Names, PressOff] = field(default_factory=dict)
    engineers_there: dict[Names, EngineersThere] = field(default_factory=dict)
    meshes: dict[Names, PartMesh] = field(default_factory=dict)
    colour_changes: dict[Names, ColourChange] = field(default_factory=dict)
    colour_shots: dict[Names, ColourShot] = field(default_factory=dict)
    trial_requests: dict[Names, TrialRequest] = field(default_factory=dict)
    trial_wants: dict[Names, TrialWant] = field(default_factory=dict)
    lines: dict[Names, Line] = field(default_factory=dict)
    line_equipment: dict[Names, LineEquipment] = field(default_factory=dict)
    line_stations: dict[Names, LineStation] = field(default_factory=dict)
    line_tasks: dict[Names, LineTask] = field(default_factory=dict)
    line_breaks: dict[Names, LineBreak] = field(default_factory=dict)
    line_presses: dict[Names, LinePress] = field(default_factory=dict)
    pilots: dict[Names, Pilot] = field(default_factory=dict)
    pilot_trials: dict[Names, PilotTrial] = field(default_factory=dict)
    pilot_files: dict[Names, PilotFile] = field(default_factory=dict)
    pilot_counts: dict[Names, PilotCount] = field(default_factory=dict)
    pilot_defects: dict[Names, PilotDefect] = field(default_factory=dict)
    pilot_times: dict[Names, PilotTime] = field(default_factory=dict)
    pilot_audits: dict[Names, PilotAudit] = field(default_factory=dict)
    release_lines: dict[Names, ReleaseLine] = field(default_factory=dict)
    evidence: dict[Names, Evidence] = field(default_factory=dict)
    evidence_states: dict[Names, EvidenceState] = field(default_factory=dict)
    toy_tests: dict[Names, ToyTestRun] = field(default_factory=dict)
    toy_test_pieces: dict[Names, ToyTestPiece] = field(default_factory=dict)
    changes: dict[Names, ChangeMade] = field(default_factory=dict)
    concessions: dict[Names, Concession] = field(default_factory=dict)
    limit_samples: dict[Names, LimitSample] = field(default_factory=dict)
    signatures: dict[Names, Signature] = field(default_factory=dict)
    step_days: dict[Names, StepDays] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Table:
    """One table on both sides.

    kept : the record's rows of a programme
    names : a record's row to the folder's columns that point at other rows
    links : a folder's row to the record's foreign keys
    as_given : the rows of one owner, the first column of the key, keep the order in which they were given
    settled : columns that are not changed any more where `is_used` says so of a record's row and the column
    """

    name: str
    row: type[Row]
    model: type[Model]
    kept: Callable[[Programme], Iterable[Any]]
    names: Callable[[Any], Mapping[str, Any]]
    links: Callable[[Any, Known], Mapping[str, Any]]
    as_given: bool = False
    settled: tuple[str, ...] = ()
    is_used: Callable[[Any, str], bool] = lambda kept, column: True

    def row_of(self, kept: Any) -> Row:
        """The folder's row for a row of the record."""
        return self.row(**{column: getattr(kept, column) for column in self.plain}, **self.names(kept))

    def values_of(self, row: Any, known: Known) -> dict[str, Any]:
        """The record's fields for a row of the folder."""
        return {column: getattr(row, column) for column in self.plain} | dict(self.links(row, known))

    @cached_property
    def plain(self) -> tuple[str, ...]:
        """The columns that have the same name and content on both sides."""
        fields = {each.name for each in self.model._meta.fields if not each.is_relation}
        return tuple(column for column in cells_of(self.row) if column in fields)
