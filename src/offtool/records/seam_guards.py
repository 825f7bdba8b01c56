"""What the database refuses of seams: changes of what was welded, and rows that do not belong to the seam."""

from __future__ import annotations

from offtool.records.guard_kinds import (
    SIZE_PROGRAMME,
    Guard,
    frozen,
    never_updated,
    together,
    trial_programme,
    value_of,
)

_SEAM_PROGRAMME = value_of("seam", "programme_id", "seam_id")


def _welded_part(side: str) -> str:
    """The part on one side of the seam whose study a run belongs to."""
    return (
        f"(SELECT seam.{side}_part_id FROM records_weldstudy study JOIN records_seam seam "  # noqa: S608
        "ON seam.id = study.seam_id WHERE study.id = NEW.study_id)"
    )


def _tried(side: str) -> str:
    """The tool of the trial that one side of a study's pieces are from."""
    return (
        "(SELECT trial.tool_id FROM records_weldstudy study JOIN records_trial trial "  # noqa: S608
        f"ON trial.id = study.{side}_trial_id WHERE study.id = NEW.study_id)"
    )


SEAM_GUARDS = (
    never_updated("weldrun", "a run of a weld study"),
    frozen(
        "weldstudy",
        "what a weld study measured",
        *("seam_id", "name", "gauge_id", "top_trial_id", "bottom_trial_id", "done_on"),
        *("file_name", "sha256", "content", "read_at", "read_by"),
    ),
    together(
        "seam_parts",
        "seam",
        f"{value_of('part', 'programme_id', 'top_part_id')} <> NEW.programme_id "
        f"OR {value_of('part', 'programme_id', 'bottom_part_id')} <> NEW.programme_id",
        "the part belongs to another programme than the seam",
    ),
    Guard(
        "guard_seam_parts_welded",
        "records_seam",
        ("UPDATE",),
        "(OLD.top_part_id <> NEW.top_part_id OR OLD.bottom_part_id <> NEW.bottom_part_id) "
        "AND EXISTS (SELECT 1 FROM records_weldstudy study WHERE study.seam_id = OLD.id)",
        "the parts of a seam that was welded are never changed",
    ),
    together(
        "seam_size_characteristic",
        "seamsize",
        f"{SIZE_PROGRAMME} <> {_SEAM_PROGRAMME}",
        "the characteristic belongs to another programme than the seam",
    ),
    together(
        "weld_study_gauge",
        "weldstudy",
        f"{value_of('gauge', 'programme_id', 'gauge_id')} <> {_SEAM_PROGRAMME}",
        "the gauge belongs to another programme than the seam",
    ),
    together(
        "weld_study_trials",
        "weldstudy",
        f"{trial_programme('top_trial_id')} <> {_SEAM_PROGRAMME} "
        f"OR {trial_programme('bottom_trial_id')} <> {_SEAM_PROGRAMME}",
        "the trial belongs to another programme than the seam",
    ),
    together(
        "weld_run_part",
        "weldrun",
        f"{value_of('cavity', 'part_id', 'top_cavity_id')} <> {_welded_part('top')} "
        f"OR {value_of('cavity', 'part_id', 'bottom_cavity_id')} <> {_welded_part('bottom')}",
        "the cavity is of another part than the seam joins there",
    ),
    together(
        "weld_run_trial",
        "weldrun",
        f"{value_of('cavity', 'tool_id', 'top_cavity_id')} <> {_tried('top')} "
        f"OR {value_of('cavity', 'tool_id', 'bottom_cavity_id')} <> {_tried('bottom')}",
        "the cavity belongs to another tool than the one that was tried",
    ),
)
