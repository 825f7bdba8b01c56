"""Looks from a file: rows that belong to one look are put together, then all are kept, or none."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import groupby

from django.db import transaction

from offtool.exchange.looks_file import LookRow, read_looks
from offtool.exchange.readings.table import FileRefused
from offtool.records.models import Look
from offtool.steps.look_at_pieces import FlawSeen, LooksKept, PiecesLookedAt, look_at_pieces

Key = tuple[str, str, int | None, int, bool]
SIGNS = 12
"""Of a file's SHA-256, kept in the note of each of its looks: enough to know the file again."""


def keep_looks_of_file(
    content: bytes,
    name: str,
    *,
    programme: str,
    tool: str,
    trial: str,
    looked_at: datetime,
    looked_by: str = "",
    may_be_new: bool = False,
) -> tuple[LooksKept, ...]:
    """Keep every look of a file, a result a trial; rows without a trial belong to `trial`.

    Rows that follow each other with one cavity, shot and number of pieces are one look with several flaws.

    Raises FileRefused for a file that cannot be read, was read before or says a piece was looked at twice,
    and what `look_at_pieces` raises. Nothing is kept then.
    """
    mark = f"sha256 {hashlib.sha256(content).hexdigest()[:SIGNS]}"
    looks: dict[str, list[PiecesLookedAt]] = {}
    for in_trial, look in _looks(read_looks(content, name), trial, name, mark):
        looks.setdefault(in_trial, []).append(look)
    with transaction.atomic():
        _refuse_second_reading(programme, tool, name, mark)
        return tuple(
            look_at_pieces(
                programme,
                tool,
                in_trial,
                found,
                looked_at=looked_at,
                looked_by=looked_by,
                may_be_new=may_be_new,
            )
            for in_trial, found in looks.items()
        )


def _refuse_second_reading(programme: str, tool: str, name: str, mark: str) -> None:
    here = Look.objects.filter(trial__tool__programme__slug=programme, trial__tool__code=tool, set_aside="")
    first = here.select_related("trial").filter(note__endswith=mark).first()
    if first is not None:
        raise FileRefused(
            f"the same file was read before, into trial {first.trial.name}",
            where=name,
            remedy="look there; a corrected file is read once the looks of the first are set aside",
        )


def _looks(rows: Sequence[LookRow], trial: str, name: str, mark: str) -> Iterator[tuple[str, PiecesLookedAt]]:
    seen: dict[tuple[str, str, int], int] = {}
    for key, together in groupby(rows, key=lambda row: _key(row, trial)):
        group = list(together)
        in_trial, cavity, shot = key[:3]
        for look in [group] if group[0].defect else [[one] for one in group]:
            if shot is not None and cavity:
                first = seen.setdefault((in_trial, cavity, shot), look[0].line)
                _refuse_second(first, look[0], name)
            yield in_trial, _look(look, f"{name} row {look[0].line}, {mark}")


def _key(row: LookRow, trial: str) -> Key:
    return row.trial or trial, row.cavity, row.shot, row.pieces, bool(row.defect)


def _refuse_second(first: int, row: LookRow, name: str) -> None:
    if first != row.line:
        raise FileRefused(
            f"shot {row.shot} of cavity {row.cavity} stands in row {first} already",
            where=f"{name}, row {row.line}",
            remedy="put the rows of one look together, with one number of pieces and a defect in each",
        )


def _look(rows: list[LookRow], source: str) -> PiecesLookedAt:
    return PiecesLookedAt(
        cavity=rows[0].cavity or None,
        shot=rows[0].shot,
        pieces=rows[0].pieces,
        flaws=tuple(
            FlawSeen(defect=one.defect, pieces=one.count, place=one.place, note=one.note)
            for one in rows
            if one.defect
        ),
        note="; ".join(filter(None, [rows[0].note if not rows[0].defect else "", source])),
    )
