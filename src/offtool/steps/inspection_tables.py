"""How looks, flaws, photographs and gauge studies answer each other in a programme folder and in the record.

A look has no name in the record. In a folder it is counted within its trial, in order of time. The name of
a file inside the folder is left blank here: it depends on all the other files.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from offtool.exchange.programme.inspection_rows import (
    FlawRow,
    GaugeReadingRow,
    GaugeStudyRow,
    LookRow,
    PhotographRow,
)
from offtool.records.models import Flaw, GaugeReading, GaugeStudy, Look, Photograph, Programme
from offtool.steps.answering import Known, Table


def _looks(programme: Programme) -> Iterator[Look]:
    """The looks in order of time, each with its number in its trial."""
    kept = Look.objects.filter(trial__tool__programme=programme).select_related("trial__tool", "cavity__part")
    counted: Counter[int] = Counter()
    for look in kept.order_by("looked_at", "pk"):
        counted[look.trial_id] += 1
        look.number = counted[look.trial_id]  # type: ignore[attr-defined]
        yield look


def _flaws(programme: Programme) -> Iterator[Flaw]:
    looks = {look.pk: look for look in _looks(programme)}
    for flaw in Flaw.objects.filter(look__trial__tool__programme=programme).select_related("defect"):
        flaw.look = looks[flaw.look_id]
        yield flaw


def _photographs(programme: Programme) -> Iterator[Photograph]:
    looks = {look.pk: look for look in _looks(programme)}
    kept = Photograph.objects.filter(look__trial__tool__programme=programme)
    for photograph in kept.select_related("flaw__defect").defer("content"):
        photograph.look = looks[photograph.look_id]
        yield photograph


def _look_names(look: Look) -> dict[str, Any]:
    cavity = look.cavity
    return {
        "tool": look.trial.tool.code,
        "trial": look.trial.name,
        "number": look.number,  # type: ignore[attr-defined]
        "part": cavity.part.code if cavity else "",
        "cavity": cavity.label if cavity else "",
    }


def _names_of_its_look(look: Look) -> dict[str, Any]:
    names = _look_names(look)
    return {"tool": names["tool"], "trial": names["trial"], "look": names["number"]}


def _photograph_names(photograph: Photograph) -> dict[str, Any]:
    flaw = photograph.flaw
    return {
        **_names_of_its_look(photograph.look),
        "defect": flaw.defect.code if flaw else "",
        "flaw_place": flaw.place if flaw else "",
        "file": "",
    }


def _photograph_links(row: PhotographRow, known: Known) -> dict[str, Any]:
    look = (row.tool, row.trial, str(row.look))
    return {
        "look": known.looks[look],
        "flaw": known.flaws[*look, row.defect, row.flaw_place] if row.defect else None,
    }


def _study_names(study: GaugeStudy) -> dict[str, Any]:
    size = study.characteristic
    return {
        "gauge": study.gauge.code,
        "part": size.part.code if size else "",
        "characteristic": size.number if size else "",
        "file": "",
    }


LOOKS = Table(
    name="looks",
    row=LookRow,
    model=Look,
    kept=_looks,
    names=_look_names,
    links=lambda row, known: {
        "trial": known.trials[row.tool, row.trial],
        "cavity": known.cavities[row.tool, row.part, row.cavity] if row.cavity else None,
    },
)
FLAWS = Table(
    name="flaws",
    row=FlawRow,
    model=Flaw,
    kept=_flaws,
    names=lambda flaw: {
        **_names_of_its_look(flaw.look),
        "defect": flaw.defect.code,
        "flaw_place": flaw.place,
    },
    links=lambda row, known: {
        "look": known.looks[row.tool, row.trial, str(row.look)],
        "defect": known.defects[(row.defect,)],
        "place": row.flaw_place,
    },
    settled=("pieces", "note"),
)
PHOTOGRAPHS = Table(
    name="photographs",
    row=PhotographRow,
    model=Photograph,
    kept=_photographs,
    names=_photograph_names,
    links=_photograph_links,
    settled=("defect", "flaw_place", "name", "media_type", "width", "height", "note"),
)
GAUGE_STUDIES = Table(
    name="gauge_studies",
    row=GaugeStudyRow,
    model=GaugeStudy,
    kept=lambda programme: (
        GaugeStudy.objects.filter(gauge__programme=programme)
        .select_related("gauge", "characteristic__part")
        .defer("content")
    ),
    names=_study_names,
    links=lambda row, known: {
        "gauge": known.gauges[(row.gauge,)],
        "characteristic": (
            known.characteristics[row.part, row.characteristic] if row.characteristic else None
        ),
    },
    settled=(
        *("kind", "part", "characteristic", "tolerance", "reference_uncertainty", "done_on", "note"),
        *("file_name", "sha256", "read_at", "read_by"),
    ),
)
GAUGE_READINGS = Table(
    name="gauge_readings",
    row=GaugeReadingRow,
    model=GaugeReading,
    kept=lambda programme: GaugeReading.objects.filter(study__gauge__programme=programme).select_related(
        "study__gauge"
    ),
    names=lambda reading: {"gauge": reading.study.gauge.code, "study": reading.study.name},
    links=lambda row, known: {"study": known.gauge_studies[row.gauge, row.study]},
    settled=("reference", "value", "row", "column"),
)

FINDINGS = (LOOKS, FLAWS, PHOTOGRAPHS)
STUDIES = (GAUGE_STUDIES, GAUGE_READINGS)
