"""How joints and seams answer each other in a programme folder and in the record.

The name of a file inside the folder is left blank here: it depends on all the other files.
"""

from __future__ import annotations

from typing import Any

from offtool.exchange.programme.joint_rows import (
    JointDemandRow,
    JointReadingRow,
    JointRow,
    JointSizeRow,
    JointTestRow,
)
from offtool.exchange.programme.seam_rows import SeamRow, SeamSizeRow, WeldRunRow, WeldStudyRow
from offtool.records.models import (
    Cavity,
    Characteristic,
    Joint,
    JointDemand,
    JointReading,
    JointSize,
    JointTest,
    Seam,
    SeamSize,
    Trial,
    WeldRun,
    WeldStudy,
)
from offtool.steps.answering import Known, Table


def _size_names(size: Characteristic | None) -> dict[str, str]:
    return {"part": size.part.code if size else "", "characteristic": size.number if size else ""}


def _size_of(row: Any, known: Known) -> Characteristic | None:
    return known.characteristics[row.part, row.characteristic] if row.characteristic else None


def _trial_names(side: str, trial: Trial | None) -> dict[str, str]:
    return {f"{side}_tool": trial.tool.code if trial else "", f"{side}_trial": trial.name if trial else ""}


def _trial_of(side: str, row: Any, known: Known) -> Trial | None:
    names = getattr(row, f"{side}_tool"), getattr(row, f"{side}_trial")
    return known.trials[names] if names[0] else None


def _cavity_names(side: str, cavity: Cavity | None) -> dict[str, str]:
    return {
        f"{side}_tool": cavity.tool.code if cavity else "",
        f"{side}_cavity": cavity.label if cavity else "",
    }


def _cavity_of(side: str, part: str, row: Any, known: Known) -> Cavity | None:
    tool, label = getattr(row, f"{side}_tool"), getattr(row, f"{side}_cavity")
    return known.cavities[tool, part, label] if label else None


def _gauge_of(row: Any, known: Known) -> Any:
    return known.gauges[(row.gauge,)] if row.gauge else None


def _reading_names(reading: JointReading) -> dict[str, Any]:
    inner, outer = reading.inner_cavity, reading.outer_cavity
    return {
        "joint": reading.test.joint.code,
        "test": reading.test.name,
        **_cavity_names("inner", inner),
        "inner_part": inner.part.code if inner else "",
        **_cavity_names("outer", outer),
        "outer_part": outer.part.code if outer else "",
    }


def _run_links(row: WeldRunRow, known: Known) -> dict[str, Any]:
    seam = known.seams[(row.seam,)]
    return {
        "study": known.weld_studies[row.seam, row.study],
        "top_cavity": _cavity_of("top", seam.top_part.code, row, known),
        "bottom_cavity": _cavity_of("bottom", seam.bottom_part.code, row, known),
    }


_AS_READ = ("done_on", "note", "file_name", "sha256", "read_at", "read_by")

JOINTS = Table(
    name="joints",
    row=JointRow,
    model=Joint,
    kept=lambda programme: Joint.objects.filter(programme=programme),
    names=lambda joint: {},
    links=lambda row, known: {"programme": known.programme},
    settled=("kind",),
    is_used=lambda joint, column: joint.sizes.exists(),
)
JOINT_SIZES = Table(
    name="joint_sizes",
    row=JointSizeRow,
    model=JointSize,
    kept=lambda programme: (
        JointSize.objects.filter(joint__programme=programme)
        .select_related("joint", "characteristic__part")
        .order_by("place", "pk")
    ),
    as_given=True,
    names=lambda size: {
        "joint": size.joint.code,
        **_size_names(size.characteristic),
        "ordinal": size.place,
    },
    links=lambda row, known: {
        "joint": known.joints[(row.joint,)],
        "characteristic": _size_of(row, known),
        "place": row.ordinal,
    },
)
JOINT_TESTS = Table(
    name="joint_tests",
    row=JointTestRow,
    model=JointTest,
    kept=lambda programme: (
        JointTest.objects.filter(joint__programme=programme)
        .select_related("joint", "gauge", "inner_trial__tool", "outer_trial__tool")
        .defer("content")
    ),
    names=lambda test: {
        "joint": test.joint.code,
        "gauge": test.gauge.code if test.gauge else "",
        **_trial_names("inner", test.inner_trial),
        **_trial_names("outer", test.outer_trial),
        "file": "",
    },
    links=lambda row, known: {
        "joint": known.joints[(row.joint,)],
        "gauge": _gauge_of(row, known),
        "inner_trial": _trial_of("inner", row, known),
        "outer_trial": _trial_of("outer", row, known),
    },
    settled=("gauge", "inner_tool", "inner_trial", "outer_tool", "outer_trial", *_AS_READ),
)
JOINT_READINGS = Table(
    name="joint_readings",
    row=JointReadingRow,
    model=JointReading,
    kept=lambda programme: JointReading.objects.filter(test__joint__programme=programme).select_related(
        *("test__joint", "inner_cavity__tool", "inner_cavity__part"),
        *("outer_cavity__tool", "outer_cavity__part"),
    ),
    names=_reading_names,
    links=lambda row, known: {
        "test": known.joint_tests[row.joint, row.test],
        "inner_cavity": _cavity_of("inner", row.inner_part, row, known),
        "outer_cavity": _cavity_of("outer", row.outer_part, row, known),
    },
    settled=(
        *("piece", "inner_tool", "inner_part", "inner_cavity", "outer_tool", "outer_part", "outer_cavity"),
        *("what", "condition", "hours", "cycles", "operator", "repeat", "value"),
    ),
)
JOINT_DEMANDS = Table(
    name="joint_demands",
    row=JointDemandRow,
    model=JointDemand,
    kept=lambda programme: JointDemand.objects.filter(joint__programme=programme).select_related(
        "joint", "characteristic__part"
    ),
    names=lambda demand: {"joint": demand.joint.code, **_size_names(demand.characteristic)},
    links=lambda row, known: {
        "joint": known.joints[(row.joint,)],
        "characteristic": known.characteristics[row.part, row.characteristic],
    },
    settled=("target", "lower", "upper", "reason", "made_by"),
)
SEAMS = Table(
    name="seams",
    row=SeamRow,
    model=Seam,
    kept=lambda programme: Seam.objects.filter(programme=programme).select_related("top_part", "bottom_part"),
    names=lambda seam: {"top_part": seam.top_part.code, "bottom_part": seam.bottom_part.code},
    links=lambda row, known: {
        "programme": known.programme,
        "top_part": known.parts[(row.top_part,)],
        "bottom_part": known.parts[(row.bottom_part,)],
    },
    settled=("kind", "top_part", "bottom_part"),
    is_used=lambda seam, column: seam.sizes.exists() if column == "kind" else seam.studies.exists(),
)
SEAM_SIZES = Table(
    name="seam_sizes",
    row=SeamSizeRow,
    model=SeamSize,
    kept=lambda programme: (
        SeamSize.objects.filter(seam__programme=programme)
        .select_related("seam", "characteristic__part")
        .order_by("pk")
    ),
    as_given=True,
    names=lambda size: {"seam": size.seam.code, **_size_names(size.characteristic)},
    links=lambda row, known: {"seam": known.seams[(row.seam,)], "characteristic": _size_of(row, known)},
)
WELD_STUDIES = Table(
    name="weld_studies",
    row=WeldStudyRow,
    model=WeldStudy,
    kept=lambda programme: (
        WeldStudy.objects.filter(seam__programme=programme)
        .select_related("seam", "gauge", "top_trial__tool", "bottom_trial__tool")
        .defer("content")
    ),
    names=lambda study: {
        "seam": study.seam.code,
        "gauge": study.gauge.code if study.gauge else "",
        **_trial_names("top", study.top_trial),
        **_trial_names("bottom", study.bottom_trial),
        "file": "",
    },
    links=lambda row, known: {
        "seam": known.seams[(row.seam,)],
        "gauge": _gauge_of(row, known),
        "top_trial": _trial_of("top", row, known),
        "bottom_trial": _trial_of("bottom", row, known),
    },
    settled=("gauge", "top_tool", "top_trial", "bottom_tool", "bottom_trial", *_AS_READ),
)
WELD_RUNS = Table(
    name="weld_runs",
    row=WeldRunRow,
    model=WeldRun,
    kept=lambda programme: WeldRun.objects.filter(study__seam__programme=programme).select_related(
        "study__seam", "top_cavity__tool", "bottom_cavity__tool"
    ),
    names=lambda run: {
        "seam": run.study.seam.code,
        "study": run.study.name,
        **_cavity_names("top", run.top_cavity),
        **_cavity_names("bottom", run.bottom_cavity),
    },
    links=_run_links,
    settled=(
        *("piece", "top_tool", "top_cavity", "bottom_tool", "bottom_cavity"),
        *("time_s", "pressure_bar", "amplitude_um", "hold_s", "energy_j", "collapse_mm"),
        *("strength_n", "failure", "height_mm", "flash_mm", "appearance", "ridge"),
    ),
)

JOINED = (
    *(JOINTS, JOINT_SIZES, JOINT_TESTS, JOINT_READINGS, JOINT_DEMANDS),
    *(SEAMS, SEAM_SIZES, WELD_STUDIES, WELD_RUNS),
)
"""All tables of joints and seams, each after what it points at."""
