"""The sheet of defects: what was wrong, how often, how many were scrapped, what rework took."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from offtool.exchange.pilot_files import words
from offtool.exchange.pilot_files.hours import ClockTime
from offtool.exchange.pilot_files.sheet import Sheet
from offtool.exchange.pilot_files.table import DefectRead, PilotTable
from offtool.exchange.readings import FileRefused
from offtool.exchange.readings.numbers import Unread

REMEDY = (
    "head the columns station, defect, count, scrapped and rework minutes [min], a row for each defect at "
    "each station"
)
NO_DEFECT = Unread("names no defect", "name it in the words of the line; the row is left out")
NO_COUNT = Unread("does not say how often", "count it, 0 where it was looked for and not found")


def read_pilot_defects(
    content: bytes, name: str, *, sheet: str | None = None, begins: ClockTime | None = None
) -> PilotTable[DefectRead]:
    """The defects of a pilot from a file as it was written on the line.

    Parameters as `read_pilot_counts`. What was scrapped and what rework took stay unknown where the file does
    not say. Raises FileRefused when no defects can be made of the file, for any bytes; nothing else.
    """
    opened = Sheet(
        content, name, sheet=sheet, begins=begins, vocabulary=words.DEFECTS, needed=(words.DEFECT,),
        remedy=REMEDY,
    )  # fmt: skip
    absent = opened.missing((words.STATION, words.COUNT))
    if absent:
        raise FileRefused(f"has no column {absent}", where=name, remedy=REMEDY)
    read = list(_rows(opened))
    if not read:
        raise opened.walk.nothing_read("defect")
    hour_of = opened.numbered()
    return PilotTable(
        file=opened.walk.about_the_file(name),
        rows=tuple(replace(one, hour=hour_of(one.row)) for one in read),
        named=tuple(opened.named),
        name_column=opened.walk.column_from_one(words.STATION),
    )


def _rows(opened: Sheet) -> Iterator[DefectRead]:
    walk, column = opened.walk, opened.place(words.COUNT)
    minutes_told = opened.column(words.MINUTES)
    for row, station in opened.rows():
        defect = walk.name(row, words.DEFECT)
        count, scrapped = walk.whole(row, words.COUNT), walk.whole(row, words.SCRAPPED)
        minutes = walk.measured(row, minutes_told) if minutes_told is not None else None
        if minutes_told is not None and isinstance(minutes, Unread):
            walk.refuse(row, minutes_told, minutes)
        readable = opened.hour(row)
        if not defect:
            _refuse(opened, row, words.DEFECT, NO_DEFECT)
        elif count is None:
            _refuse(opened, row, words.COUNT, NO_COUNT)
        elif isinstance(count, int) and isinstance(scrapped, int) and scrapped > count:
            why = f"is more than the {count} found"
            _refuse(opened, row, words.SCRAPPED, Unread(why, "correct the counts; the row is left out"))
        elif readable and not any(isinstance(one, Unread) for one in (defect, count, scrapped, minutes)):
            yield DefectRead(
                station=station, defect=str(defect), count=_whole(count) or 0, scrapped=_whole(scrapped),
                rework_minutes=None if minutes is None or isinstance(minutes, Unread) else minutes.value,
                hour=None, row=row.number + 1, column=column,
            )  # fmt: skip


def _whole(found: int | Unread | None) -> int | None:
    return found if isinstance(found, int) else None


def _refuse(opened: Sheet, row, name: str, refusal: Unread) -> None:  # type: ignore[no-untyped-def]
    told = opened.column(name)
    if told is not None:
        opened.walk.refuse(row, told, refusal)
