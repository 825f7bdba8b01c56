"""The sheet of times: cycles of a station, or of one of its tasks, as they were timed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from offtool.exchange.pilot_files import words
from offtool.exchange.pilot_files.hours import ClockTime
from offtool.exchange.pilot_files.sheet import Sheet
from offtool.exchange.pilot_files.table import PilotTable, TimeRead
from offtool.exchange.readings import FileRefused
from offtool.exchange.readings.numbers import Unread

REMEDY = (
    "head the columns station, task (where one alone was timed), time [s], operator and hour, a row a cycle"
)
NO_TIME = Unread("took no time", "time it again, or delete the row; it is left out")


def read_pilot_times(
    content: bytes, name: str, *, sheet: str | None = None, begins: ClockTime | None = None
) -> PilotTable[TimeRead]:
    """The times of a pilot from a file as it was written beside the line.

    Parameters as `read_pilot_counts`. Times may be in seconds or minutes, said in the heading. Raises
    FileRefused when no times can be made of the file, for any bytes; nothing else.
    """
    opened = Sheet(
        content, name, sheet=sheet, begins=begins, vocabulary=words.TIMES, needed=(words.TIME,), remedy=REMEDY
    )
    if opened.column(words.STATION) is None:
        raise FileRefused("has no column station", where=name, remedy=REMEDY)
    read = list(_rows(opened))
    if not read:
        raise opened.walk.nothing_read("time")
    hour_of = opened.numbered()
    opened.walk.cautions += opened.walk.far_off((words.TIME,))
    return PilotTable(
        file=opened.walk.about_the_file(name),
        rows=tuple(replace(one, hour=hour_of(one.row)) for one in read),
        named=tuple(opened.named),
        name_column=opened.walk.column_from_one(words.STATION),
        task_column=opened.walk.column_from_one(words.TASK),
    )


def _rows(opened: Sheet) -> Iterator[TimeRead]:
    walk, told = opened.walk, opened.column(words.TIME)
    for row, station in opened.rows():
        task, operator = walk.name(row, words.TASK), walk.name(row, words.OPERATOR)
        time = walk.quantity(row, told) if told is not None else None
        readable = opened.hour(row)
        if told is None or time is None or isinstance(task, Unread) or isinstance(operator, Unread):
            continue
        if time.value <= 0:
            walk.refuse(row, told, NO_TIME)
        elif readable:
            yield TimeRead(
                station=station, task=task, time_s=time.value, operator=operator, hour=None,
                row=row.number + 1, column=opened.place(words.TIME),
            )  # fmt: skip
