"""What must hold between seams, their sizes, weld studies and runs, and the rest of the folder."""

from __future__ import annotations

from collections.abc import Mapping, Set

from offtool.exchange.programme.folder import ProgrammeFolder
from offtool.exchange.programme.refused import refuse_unknown
from offtool.exchange.programme.seam_rows import SeamRow, SeamSizeRow
from offtool.exchange.programme.size_checks import (
    Names,
    Units,
    refuse_first,
    refuse_no_source,
    refuse_other_roles,
)
from offtool.exchange.programme.trial_checks import check_cavity, check_trial
from offtool.handbook.joint_checks import code_faults, number_faults
from offtool.handbook.seam_kinds import SEAM_KINDS
from offtool.handbook.terms import SeamKind


def check_seams(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """Raise FolderRefused for the first thing that does not hold; `names` are those of every table."""
    _seams(told, names)
    _studies(told, names)
    _runs(told, names)


def _seams(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """A seam names its two parts and has the sizes of its kind."""
    units = Units.of(told, names)
    sizes: dict[str, list[SeamSizeRow]] = {}
    for size in told.seam_sizes:
        sizes.setdefault(size.seam, []).append(size)
    for seam in told.seams:
        refuse_first(seam, (), code_faults("seam", seam.code))
        refuse_unknown(seam.place("top_part"), (seam.top_part,), names["parts"])
        refuse_unknown(seam.place("bottom_part"), (seam.bottom_part,), names["parts"])
        roles, of_seam = SEAM_KINDS[SeamKind(seam.kind)], sizes.get(seam.code, [])
        refuse_other_roles(seam.place("sizes"), seam.kind, of_seam, roles)
        unit_of = {role.name: role.unit for role in roles}
        for size in of_seam:
            refuse_no_source(size)
            units.refuse_wrong(size, unit_of[size.role])
            _refuse_other_part(size, seam)
        refuse_first(seam, of_seam, number_faults(roles, of_seam))


def _refuse_other_part(size: SeamSizeRow, seam: SeamRow) -> None:
    if size.part and size.part not in (seam.top_part, seam.bottom_part):
        what = f"{size.part} {size.characteristic} is no size of {seam.top_part} or {seam.bottom_part}"
        raise size.place(size.role).refuse(what, "name a size of one of the two parts")


def _studies(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """A study names its seam, and its gauge and trials if any, and has runs."""
    welded = {(run.seam, run.study) for run in told.weld_runs}
    for study in told.weld_studies:
        refuse_unknown(study.place("seam"), (study.seam,), names["seams"])
        if study.gauge:
            refuse_unknown(study.place("gauge"), (study.gauge,), names["gauges"])
        check_trial(study, "top", names)
        check_trial(study, "bottom", names)
        if study.names not in welded:
            what = f"{study.name!r} has no runs"
            raise study.place("name").refuse(what, "give its runs, or take the row out")


def _runs(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """A run names its study, and cavities of the seam's parts in the tools that were tried."""
    seams = {seam.code: seam for seam in told.seams}
    studies = {study.names: study for study in told.weld_studies}
    for run in told.weld_runs:
        refuse_unknown(run.place("seam"), (run.seam,), names["seams"])
        refuse_unknown(run.place("study"), (run.seam, run.study), names["weld_studies"])
        seam, study = seams[run.seam], studies[run.seam, run.study]
        check_cavity(run, "top", seam.top_part, study.top_tool, names)
        check_cavity(run, "bottom", seam.bottom_part, study.bottom_tool, names)
