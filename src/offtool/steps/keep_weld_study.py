"""Read the file of a weld study: first shown as it is understood, then kept, in whole or not at all."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from offtool.core.values import Caution
from offtool.exchange.weld_runs import WeldStudyTable, read_weld_study
from offtool.records.models import Seam
from offtool.records.operations import (
    NewWeldRun,
    NewWeldStudy,
    kept_studies_of,
    store_weld_study,
)
from offtool.records.queries import find_programme, find_seam, find_weld_study, studies_of_seam
from offtool.records.queries.seams import NUMBERS
from offtool.steps.assembled_pieces import (
    AboutFile,
    CavitiesOfSide,
    PiecesRead,
    gauge_named,
    trial_in_words,
)
from offtool.steps.read_readings import refuse_problems
from offtool.steps.weld_study_preview import WeldStudyKept, WeldStudyPreview, held, numbers_seen


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldStudyAbout(AboutFile):
    """What a study's file does not say itself; the gauge is what the strength was measured with."""

    top_trial: str = ""
    """Tool and trial that the pieces under the horn are from, such as M1 T3; empty for the newest."""
    bottom_trial: str = ""


def preview_weld_study(
    content: bytes, name: str, *, programme: str, seam: str, about: WeldStudyAbout, sheet: str | None = None
) -> WeldStudyPreview:
    """How a study's file would be read; nothing is kept.

    Raises FileRefused for a file that cannot be read, NotInRecord for an unknown programme, seam, gauge, tool
    or trial, CannotKeep for a trial of a tool that does not make the part.
    """
    return _Understood(content, name, find_seam(find_programme(programme), seam), about, sheet).preview()


def keep_weld_study(
    content: bytes,
    name: str,
    *,
    programme: str,
    seam: str,
    study: str,
    about: WeldStudyAbout,
    read_at: datetime,
    read_by: str,
    sheet: str | None = None,
    leave_out: bool = False,
) -> WeldStudyKept:
    """Keep a weld study under its own name.

    Raises what `preview_weld_study` raises; CannotKeep for a study without a run that can be kept, and for
    refused cells unless `leave_out`; AlreadyKept for bytes that count already. Nothing is kept then.
    """
    found = find_seam(find_programme(programme), seam)
    understood = _Understood(content, name, found, about, sheet)
    seen = understood.preview()
    refuse_problems(seen.file.name, seen.problems, seen.refused, leave_out=leave_out)
    kept = store_weld_study(
        found, understood.as_new(study), understood.runs, read_at=read_at, read_by=read_by
    )
    return WeldStudyKept(
        programme=found.programme.slug,
        seam=found.code,
        study=kept.name,
        file=kept.file_name,
        top_trial=seen.top_trial,
        bottom_trial=seen.bottom_trial,
        runs=seen.runs,
        repairs=len(seen.file.repairs),
        left_out=len(seen.refused),
        study_id=kept.pk,
    )


def set_weld_study_aside(programme: str, seam: str, study: str, *, reason: str, made_by: str) -> None:
    """Let a weld study count no longer; it stays visible with the reason.

    Raises NotInRecord for names that are not there; OfftoolError without a reason or the second time.
    """
    found = find_seam(find_programme(programme), seam)
    kept_studies_of(found).set_aside(find_weld_study(found, study).name, reason, made_by=made_by)


class _Understood:
    """A file with what it is matched to in the record."""

    def __init__(
        self, content: bytes, name: str, seam: Seam, about: WeldStudyAbout, sheet: str | None
    ) -> None:
        self._seam = seam
        top, bottom = seam.top_part, seam.bottom_part
        table = read_weld_study(content, name, sheet=sheet, top=[top.code], bottom=[bottom.code])
        side = partial(CavitiesOfSide.of, seam.programme, done_on=about.done_on)
        self._top = side(top, "top", trial=about.top_trial, column=table.top_column)
        self._bottom = side(bottom, "bottom", trial=about.bottom_trial, column=table.bottom_column)
        gauge = gauge_named(seam.programme, about.gauge)
        self._read = PiecesRead(content, table.file, gauge, about, self._top, self._bottom)
        self.runs = list(self._runs(table))

    def _runs(self, table: WeldStudyTable) -> Iterator[NewWeldRun]:
        """The runs whose cavities are in the record."""
        for one in table.runs:
            cavities = self._read.cavities((one.top_cavity, one.bottom_cavity), one.row)
            if cavities is not None:
                numbers: dict[str, float | None] = {name: getattr(one, name) for name in NUMBERS}
                yield NewWeldRun(
                    piece=one.piece,
                    top_cavity=cavities[0],
                    bottom_cavity=cavities[1],
                    failure=one.failure,
                    appearance=one.appearance,
                    ridge=one.ridge,
                    row=one.row,
                    **numbers,
                )

    def preview(self) -> WeldStudyPreview:
        """What was understood."""
        problems = () if self.runs else ("no run is of a cavity that is in the record",)
        return WeldStudyPreview(
            seam=self._seam.code,
            top_part=self._seam.top_part.code,
            bottom_part=self._seam.bottom_part.code,
            top_trial=trial_in_words(self._top.trial),
            bottom_trial=trial_in_words(self._bottom.trial),
            runs=len(self.runs),
            held=held(self.runs),
            seen=tuple(numbers_seen(self.runs)),
            **self._read.facts(problems, self._cautions()),
        )

    def _cautions(self) -> Iterator[Caution]:
        if not any(one.strength_n is not None for one in self.runs):
            yield Caution("no run has a strength: the study cannot say what holds")
        now = next(iter(studies_of_seam(self._seam, counting=True)), None)
        if now is not None:
            yield Caution(f"study {now.name} of this seam counts too; set it aside if this one replaces it")

    def as_new(self, name: str) -> NewWeldStudy:
        """The study as the record keeps it."""
        return NewWeldStudy(
            file=self._read.as_kept(name),
            gauge=self._read.gauge,
            top_trial=self._top.trial,
            bottom_trial=self._bottom.trial,
        )
