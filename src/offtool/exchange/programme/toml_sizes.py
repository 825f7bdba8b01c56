"""A size of a joint or seam as people write it: "part number", a number, or a small table that says more.

peg_diameter = "HO-04 2"
socket_outer = 7.2
contact_length = { value = 4.0, plus_minus = 0.05 }
finger = { size = "HO-02 8", factor = -1 }
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from offtool.exchange.programme.cells import Refused
from offtool.exchange.programme.joint_rows import JointSizeRow
from offtool.exchange.programme.rows import cells_of
from offtool.exchange.programme.seam_rows import SeamSizeRow

SIZE = "size"
"""The key of part and number in one text; `part` and `characteristic` beside each other say the same."""


def size_told(said: object) -> dict[str, Any]:
    """What was written, by the columns of the row. Raises Refused."""
    if isinstance(said, Mapping):
        told = dict(said)
        return told if SIZE not in told else {**_part_and_number(told.pop(SIZE)), **_no_second_name(told)}
    if isinstance(said, str):
        return _part_and_number(said)
    if isinstance(said, int | float):
        return {"value": said}
    remedy = 'write "part number", a number, or { value = 4.0, plus_minus = 0.05 }'
    raise Refused(f"{said!r} is no size", remedy)


def _part_and_number(said: object) -> dict[str, str]:
    part, _, number = said.rpartition(" ") if isinstance(said, str) else ("", "", "")
    if not part or not number:
        remedy = 'write part and number as "HO-04 2", or a plain number without quotation marks'
        raise Refused(f"{said!r} is no size", remedy)
    return {"part": part, "characteristic": number}


def _no_second_name(told: Mapping[str, Any]) -> Mapping[str, Any]:
    twice = [key for key in ("part", "characteristic") if key in told]
    if twice:
        raise Refused(f"{SIZE} beside {twice[0]}", "keep one of them: both name what is measured")
    return told


def size_shown(row: JointSizeRow | SeamSizeRow) -> object:
    """The shortest way to write a size that `size_told` reads back."""
    cells = cells_of(type(row))
    told = {
        column: getattr(row, column)
        for column in list(cells)[2:]  # joint or seam and role stand around it
        if getattr(row, column) != cells[column].blank
    }
    if row.part and row.characteristic and " " not in row.characteristic:
        name = f"{told.pop('part')} {told.pop('characteristic')}"
        return {SIZE: name, **told} if told else name
    return told["value"] if told.keys() == {"value"} else told
