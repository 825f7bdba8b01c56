"""Labels for bags and drawers: sheets of 24, or one label a page, as a PDF."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from offtool.core.values import ImpossibleInput
from offtool.reports.plain_text import printable_rows, shorten
from offtool.reports.square_code import code_of_sample, draw_square_code
from offtool.reports.typeset import typeset
from offtool.steps.sample_labels import LabelPart, SampleLabel

LAYOUT = Path(__file__).with_suffix(".typ")
ACROSS, DOWN = 3, 8
ON_A_SHEET = ACROSS * DOWN
"""On A4, each 70 by 37.125 mm: a usual sheet of stickers (common practice, no source)."""
MOST_PARTS = 4
MOST_NAME, MOST_FOOT = 30, 34
MOST_LINE, MOST_LINE_OF_SEVERAL = 72, 46
"""Signs: two lines where a piece has one part, one line a part where it has several."""
FEW_LINES = 2
SHORT_NUMBER, LONG_NUMBER = 8, 14


def sample_labels(labels: Sequence[SampleLabel], *, single: bool = False, skip: int = 0) -> bytes:
    """The labels as a PDF: on A4 in three columns of eight, or one a page for a label printer.

    `skip` leaves so many places free at the start, for a sheet that was begun. The same labels give the same
    bytes: nothing in it comes from the clock.

    Raises: ImpossibleInput for a start that is not on the sheet; LayoutFlawed, when the layout warns.
    """
    return label_sheet([_row(one) for one in labels], single=single, skip=skip)


def label_sheet(labels: Sequence[Mapping[str, Any]], *, single: bool = False, skip: int = 0) -> bytes:
    """Any labels as a PDF: each is a number, its size in points, a name, lines, a foot and a drawn code.

    Raises: ImpossibleInput for a start that is not on the sheet; LayoutFlawed, when the layout warns.
    """
    if not 0 <= skip < ON_A_SHEET:
        limit = f"must be from 0 to {ON_A_SHEET - 1}"
        raise ImpossibleInput("skip", skip, "", limit, "say how many stickers of the sheet are gone")
    rows = {"single": single, "skip": 0 if single else skip, "labels": [dict(one) for one in labels]}
    return typeset(LAYOUT, printable_rows(rows))


def _row(one: SampleLabel) -> dict[str, Any]:
    lines = list(label_lines(one))
    few = len(lines) <= FEW_LINES
    return {
        "number": shorten(one.number, LONG_NUMBER * 2),
        "size": size_of_number(one.number),
        "name": shorten(one.name, MOST_NAME),
        "lines": [shorten(line, MOST_LINE if few else MOST_LINE_OF_SEVERAL) for line in lines],
        "few": few,
        "foot": shorten(one.place or one.programme_title, MOST_FOOT),
        "code": draw_square_code(code_of_sample(one.programme, one.number)),
    }


def label_lines(one: SampleLabel) -> Iterator[str]:
    """What the tag says: the build, then a line a part; without any, when it was found.

    The day of the run stands with a single part: of several there is no room for it.
    """
    if one.build:
        yield f"{one.build}, {one.built_on.isoformat()}" if one.built_on is not None else one.build
    tagged = [part for part in one.parts if part.tool or part.trial]
    shown = tagged[: MOST_PARTS if len(tagged) <= MOST_PARTS else MOST_PARTS - 1]
    for part in shown:
        yield _part(part, named=len(one.parts) > 1)
    if len(tagged) > len(shown):
        yield f"and {len(tagged) - len(shown)} parts more"
    if not tagged and not one.build:
        yield "origin not known"
        if one.found_on is not None:
            yield f"found {one.found_on.isoformat()}"


def _part(one: LabelPart, *, named: bool) -> str:
    """torso: M1 state b, T2, cavity 1, shot 14, 2026-02-24."""
    steel = f"{one.tool} state {one.state}" if one.tool and one.state else one.tool
    cavity = f"cavity {one.cavity}" if one.cavity else ""
    shot = f"shot {one.shot}" if one.shot is not None else ""
    day = one.day.isoformat() if one.day is not None and not named else ""
    said = ", ".join(filter(None, (steel, one.trial, cavity, shot, day)))
    return f"{one.label}: {said}" if named else said


def size_of_number(number: str) -> int:
    """Points: as large as the room beside the code allows."""
    if len(number) <= SHORT_NUMBER:
        return 20
    return 14 if len(number) <= LONG_NUMBER else 9
