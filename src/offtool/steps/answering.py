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
    Characteristic,
    ColourChange,
    ColourShot,
    Correction,
    Defect,
    Detail,
    DetailInState,
    EngineersThere,
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
    Look,
    Move,
    Part,
    PartMesh,
    Photograph,
    Press,
    PressHolds,
    PressOff,
    Programme,
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
    SignShare,
    StageName,
    SteelFeature,
    SteelSize,
    Tool,
    ToolState,
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
