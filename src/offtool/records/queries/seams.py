"""Which welded seams there are, and what was found of them."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np
from django.db.models import QuerySet
from numpy.typing import NDArray

from offtool.core.values import nearest
from offtool.records.models import Programme, Seam, WeldRun, WeldStudy
from offtool.records.queries.finding import NotInRecord
from offtool.records.queries.joints import numbers, texts, when_done


def find_seam(programme: Programme, code: str) -> Seam:
    """The seam with this code, its sizes beside it. Raises NotInRecord."""
    found = _with_sizes(Seam.objects.filter(programme=programme, code=code)).first()
    if found is None:
        known = Seam.objects.filter(programme=programme).values_list("code", flat=True)
        raise NotInRecord(f"no seam {code!r} in {programme.slug}", remedy=nearest(code, known))
    return found


def seams_of(programme: Programme) -> list[Seam]:
    """All seams of a programme by code, their sizes beside them."""
    return list(_with_sizes(Seam.objects.filter(programme=programme).order_by("code")))


def _with_sizes(seams: QuerySet[Seam]) -> QuerySet[Seam]:
    beside = seams.select_related("programme", "top_part__resin", "bottom_part__resin")
    return beside.prefetch_related("sizes__characteristic__part")


def find_weld_study(seam: Seam, name: str) -> WeldStudy:
    """The weld study of this seam with this name, without its bytes. Raises NotInRecord."""
    found = next((one for one in studies_of_seam(seam) if one.name == name), None)
    if found is None:
        known = seam.studies.values_list("name", flat=True)
        raise NotInRecord(f"no weld study {name!r} of seam {seam.code}", remedy=nearest(name, known))
    return found


def studies_of_seam(seam: Seam, *, counting: bool = False) -> list[WeldStudy]:
    """The weld studies of a seam, newest first, without their bytes; those not set aside where `counting`."""
    studies = WeldStudy.objects.filter(seam=seam, **({"set_aside": ""} if counting else {}))
    loaded = studies.select_related("gauge", "top_trial__tool", "bottom_trial__tool").defer("content")
    return sorted(loaded, key=when_done, reverse=True)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WeldRuns:
    """Runs in arrays of equal length, in the order of the files.

    Numbers are NaN and words empty where nothing was written down.
    """

    study_id: NDArray[np.int64]
    piece: NDArray[np.object_]
    top: NDArray[np.object_]
    """Label of the cavity."""
    bottom: NDArray[np.object_]
    numbers: Mapping[str, NDArray[np.float64]]
    """The numbers of the runs by their name in the record, such as time_s and strength_n."""
    failure: NDArray[np.object_]
    appearance: NDArray[np.object_]
    ridge: NDArray[np.object_]

    def __len__(self) -> int:
        return len(self.study_id)


NUMBERS = (
    *("time_s", "pressure_bar", "amplitude_um", "hold_s", "energy_j"),
    *("collapse_mm", "strength_n", "height_mm", "flash_mm"),
)
"""The numbers of a run."""
_WORDS = {"top": "top_cavity__label", "bottom": "bottom_cavity__label"} | {
    name: name for name in ("piece", "failure", "appearance", "ridge")
}


def weld_runs(studies: Collection[WeldStudy]) -> WeldRuns:
    """All runs of these studies."""
    rows = WeldRun.objects.filter(study__in=[one.pk for one in studies]).order_by("study", "row")
    read = list(rows.values("study_id", *_WORDS.values(), *NUMBERS))
    return WeldRuns(
        study_id=np.array([row["study_id"] for row in read], np.int64),
        numbers={name: numbers([row[name] for row in read]) for name in NUMBERS},
        **{name: texts([row[column] for row in read]) for name, column in _WORDS.items()},
    )
