"""What was seen at the press, gauge studies and left out readings, made up for a programme folder."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from offtool.exchange.programme.inspection_rows import (
    DefectRow,
    ExclusionRow,
    FlawRow,
    GaugeReadingRow,
    GaugeStudyRow,
    LookRow,
    PhotographRow,
)
from offtool.exchange.programme.names import names_by_content
from offtool.exchange.programme.readings import TrialReadings
from offtool.exchange.programme.rows import CavityRow, CharacteristicRow, GaugeRow, SourceRow, TrialRow
from offtool.exchange.programme.sample_rows import SamplePhotographRow
from offtool.handbook.terms import PictureType, StudyKind, WeightClass
from tests.exchange.programme.made_up import (
    days,
    distinct,
    flags,
    moments,
    names,
    not_negative,
    notes,
    positive,
    sizes,
    some,
    words,
)

Contents = dict[str, bytes]


def times(draw: DrawFn) -> dict[str, Any]:
    """When a trial was moulded and measured, in this order; either may not be known."""
    first, second = sorted(draw(st.lists(moments, min_size=2, max_size=2)))
    return {
        "moulded_at": draw(st.sampled_from([None, first])),
        "measured_at": draw(st.sampled_from([None, second])),
    }


def inspection_tables(
    draw: DrawFn,
    trials: Sequence[TrialRow],
    cavities: Sequence[CavityRow],
    gauges: Sequence[GaugeRow],
    characteristics: Sequence[CharacteristicRow],
    contents: Contents,
) -> dict[str, Any]:
    """Defects, looks, flaws, photographs, gauge studies and their readings; their files join the contents."""
    defects = [_defect(draw, code) for code in distinct(draw, 0, 2)]
    looks = [look for trial in trials for look in _looks(draw, trial, cavities)]
    flaws = [
        FlawRow(
            tool=look.tool,
            trial=look.trial,
            look=look.number,
            defect=defect.code,
            flaw_place=place,
            pieces=draw(st.integers(1, look.pieces)),
            note=draw(notes),
        )
        for look in looks
        for defect in some(draw, defects, most=2)
        for place in draw(st.sampled_from([[""], ["left ear"], ["", "=1"]]))
    ]
    photographs = [one for look in looks for one in _photographs(draw, look, flaws, contents)]
    studies = [study for gauge in gauges for study in _studies(draw, gauge, characteristics, contents)]
    return {
        "defects": tuple(defects),
        "looks": tuple(looks),
        "flaws": tuple(flaws),
        "photographs": with_files(photographs),
        "gauge_studies": with_files(studies),
        "gauge_readings": tuple(reading for study in studies for reading in _measured(draw, study)),
    }


def _defect(draw: DrawFn, code: str) -> DefectRow:
    """Listed or not as its last change says."""
    at = sorted(draw(st.lists(moments, max_size=2)))
    list_changes = {one.astimezone(UTC).isoformat(): draw(flags) for one in at}
    return DefectRow(
        code=code,
        name=draw(names),
        meaning=draw(notes),
        weight_class=draw(words(WeightClass)),
        is_listed=list_changes[max(list_changes)] if list_changes else draw(flags),
        list_changes=list_changes,
    )


def content_of(draw: DrawFn, contents: Contents) -> str:
    """The checksum of bytes that are new, or of some that are there already."""
    content = draw(st.binary(max_size=8))
    sha256 = hashlib.sha256(content).hexdigest()
    contents[sha256] = content
    return sha256


def with_files(rows: Sequence[Any]) -> tuple[Any, ...]:
    files = names_by_content(
        (row.sha256, row.name if isinstance(row, PhotographRow | SamplePhotographRow) else row.file_name)
        for row in rows
    )
    return tuple(replace(row, file=files[row.sha256]) for row in rows)


def _looks(draw: DrawFn, trial: TrialRow, cavities: Sequence[CavityRow]) -> list[LookRow]:
    """Counted in order of time; two at one moment may say the same."""
    moulded = [(cavity.part, cavity.label) for cavity in cavities if cavity.tool == trial.tool]
    at = sorted(draw(st.lists(moments, max_size=2)))
    at += at[-1:] if draw(flags) else []
    looks = []
    for number, moment in enumerate(at, start=1):
        part, label = draw(st.sampled_from([("", ""), *moulded]))
        looks.append(
            LookRow(
                tool=trial.tool,
                trial=trial.name,
                number=number,
                part=part,
                cavity=label,
                shot_number=draw(st.none() | st.integers(0, 2**62)),
                pieces=draw(st.sampled_from([1, 5, 1_000_000])),
                note=draw(notes),
                looked_at=moment,
                looked_by=draw(notes),
                set_aside=draw(notes),
            )
        )
    if looks and draw(flags):
        looks.append(replace(looks[-1], number=len(looks) + 1, note=draw(notes)))
    return looks


def _photographs(
    draw: DrawFn, look: LookRow, flaws: Sequence[FlawRow], contents: Contents
) -> list[PhotographRow]:
    of_look = [flaw for flaw in flaws if (flaw.tool, flaw.trial, str(flaw.look)) == look.names]
    pictures = {content_of(draw, contents) for _ in range(draw(st.integers(0, 2)))}
    rows = []
    for sha256 in sorted(pictures):
        flaw = draw(st.sampled_from([None, *of_look]))
        rows.append(
            PhotographRow(
                tool=look.tool,
                trial=look.trial,
                look=look.number,
                defect=flaw.defect if flaw else "",
                flaw_place=flaw.flaw_place if flaw else "",
                file="",
                name=draw(names),
                sha256=sha256,
                media_type=draw(words(PictureType)),
                width=draw(st.integers(1, 2**31 - 1)),
                height=draw(st.integers(1, 2**31 - 1)),
                note=draw(notes),
            )
        )
    return rows


def _studies(
    draw: DrawFn, gauge: GaugeRow, characteristics: Sequence[CharacteristicRow], contents: Contents
) -> list[GaugeStudyRow]:
    rows = []
    for name in distinct(draw, 0, 2):
        size = draw(st.sampled_from([None, *characteristics]))
        rows.append(
            GaugeStudyRow(
                gauge=gauge.code,
                name=name,
                kind=draw(words(StudyKind)),
                part=size.part if size else "",
                characteristic=size.number if size else "",
                tolerance=draw(st.none() | positive),
                reference_uncertainty=draw(not_negative),
                done_on=draw(days),
                note=draw(notes),
                file="",
                file_name=draw(names),
                sha256=content_of(draw, contents),
                read_at=draw(moments),
                read_by=draw(notes),
                set_aside=draw(notes),
            )
        )
    return rows


def _measured(draw: DrawFn, study: GaugeStudyRow) -> list[GaugeReadingRow]:
    places = st.integers(1, 2**31 - 1)
    return [
        GaugeReadingRow(
            gauge=study.gauge,
            study=study.name,
            part=part,
            operator=operator,
            repeat=repeat,
            reference=draw(st.none() | sizes),
            value=draw(sizes),
            row=draw(places),
            column=draw(places),
        )
        for part in distinct(draw, 1, 2)
        for operator in draw(st.sampled_from([[""], ["A", "B"]]))
        for repeat in (1, 2)
    ]


def exclusions(
    draw: DrawFn, sources: Sequence[SourceRow], readings: Mapping[tuple[str, str], TrialReadings]
) -> tuple[ExclusionRow, ...]:
    """Words on readings that have a cell of their own: by file and cell, some with several."""
    rows = []
    for source in sources:
        found = readings[source.tool, source.trial].of_file(source.file)
        cells = Counter(zip(found.row.tolist(), found.column.tolist(), strict=True))
        alone = sorted(cell for cell, count in cells.items() if count == 1)
        for row, column in some(draw, alone, most=2):
            for _ in range(draw(st.integers(1, 2))):
                rows.append(
                    ExclusionRow(
                        file=source.file,
                        row=row,
                        column=column,
                        is_left_out=draw(flags),
                        reason=draw(names),
                        made_at=draw(moments),
                        made_by=draw(notes),
                    )
                )
    return tuple(rows)
