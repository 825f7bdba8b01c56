"""Labels for the bags of a trial: tool, steel, trial, cavity, what for; count and day are written by hand."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from offtool.reports.plain_text import shorten
from offtool.reports.sample_labels import (
    MOST_FOOT,
    MOST_LINE_OF_SEVERAL,
    MOST_NAME,
    label_sheet,
    size_of_number,
)
from offtool.reports.square_code import draw_square_code
from offtool.reports.trial_words import run_of_shots
from offtool.steps.plan_found import BagPlanned, TrialPlanned

BLANK = "_" * 12


def bag_labels(found: TrialPlanned, *, single: bool = False, skip: int = 0) -> bytes:
    """A label for each bag as a PDF, on the same sheets as the labels of samples.

    The same plan gives the same bytes: nothing in it comes from the clock.

    Raises: ImpossibleInput for a start that is not on the sheet; LayoutFlawed, when the layout warns.
    """
    return label_sheet([_row(found, one) for one in found.bags], single=single, skip=skip)


def code_of_bag(found: TrialPlanned, one: BagPlanned) -> str:
    """What the code says: harbour-otter M3 T4 HO-04 cavity 2 shots 37-41."""
    cavity = f"cavity {one.cavity}" if one.cavity else "whole"
    shots = f"shots {one.first}-{one.last}"
    return " ".join(filter(None, (found.programme, found.tool, found.trial, one.part, cavity, shots)))


def bag_lines(found: TrialPlanned, one: BagPlanned) -> Iterator[str]:
    """What the bag holds, and two places for a pen."""
    yield f"{found.tool} state {found.state}, {found.trial}: shots {run_of_shots(one.first, one.last)}"
    yield f"for {one.purpose}"
    yield f"planned {one.pieces:,}, in the bag {BLANK}"
    yield f"shot on {BLANK}"


def _row(found: TrialPlanned, one: BagPlanned) -> dict[str, Any]:
    number = f"{one.part} · {one.cavity}" if one.cavity else "whole"
    of = f"{found.tool} {found.trial} {one.part_name or ('all cavities' if not one.cavity else '')}".rstrip()
    where = f", cavity {one.cavity}" if one.cavity else ", whole shots"
    return {
        "number": shorten(number, 28),
        "size": size_of_number(number),
        "name": shorten(of, MOST_NAME - len(where)) + where,
        "lines": [shorten(line, MOST_LINE_OF_SEVERAL) for line in bag_lines(found, one)],
        "few": False,
        "foot": shorten(found.programme_title, MOST_FOOT),
        "code": draw_square_code(code_of_bag(found, one)),
    }
