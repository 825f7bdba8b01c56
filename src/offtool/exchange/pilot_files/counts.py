"""The sheet of counts: what became of the pieces at each station, hour by hour."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import isclose

from offtool.core.values import Caution
from offtool.exchange.headed_tables import TableRow
from offtool.exchange.pilot_files import words
from offtool.exchange.pilot_files.hours import ClockTime
from offtool.exchange.pilot_files.sheet import Sheet
from offtool.exchange.pilot_files.table import CountRead, PilotTable
from offtool.exchange.readings import FileRefused
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.text import heading_key

REMEDY = (
    "head the columns station, hour, tried, good first, reworked good and scrapped, a row for each station "
    "and hour; in German Station, Stunde, gestartet, auf Anhieb gut, nach Nacharbeit gut, Ausschuss; in "
    "Chinese 工位, 小时, 投入, 一次合格, 返工合格, 报废"
)
NUMBERS = (words.TRIED, words.GOOD, words.REWORKED, words.SCRAPPED, words.FAILED)
ROUNDED = 0.0051
"""A yield on a sheet is written in whole per cent or finer."""

_SHARE = re.compile(r"[0-9]+(?:[.,][0-9]+)?\s*%")
A_SHARE = Unread("is a share", "write how many pieces that is; the row is left out")


def read_pilot_counts(
    content: bytes, name: str, *, sheet: str | None = None, begins: ClockTime | None = None
) -> PilotTable[CountRead]:
    """The counts of a pilot from a file as it was written on the line.

    Parameters: ``content``, the bytes of a CSV or XLSX file; ``name``, the file as messages name it;
    ``sheet``, to read another sheet of a workbook than the first with counts; ``begins``, when hour 1 began,
    where the hours are times on the clock.

    Of tried, good first and failed two are enough. Rows whose counts contradict each other are refused with
    their reason and the others stand. Raises FileRefused when no counts can be made of the file, for any
    bytes; nothing else is raised.
    """
    opened = Sheet(
        content, name, sheet=sheet, begins=begins, vocabulary=words.COUNTS, needed=(words.GOOD, words.FAILED),
        remedy=REMEDY,
    )  # fmt: skip
    _require(opened, name)
    _say_what_is_taken_for_what(opened)
    read = list(_rows(opened))
    if not read:
        raise opened.walk.nothing_read("count")
    hour_of = opened.numbered()
    numbered = [replace(one, hour=hour_of(one.row)) for one in read]
    rows = tuple(_once(opened, _without_sums(opened, numbered)))
    return PilotTable(
        file=opened.walk.about_the_file(name),
        rows=rows,
        named=tuple(opened.named),
        name_column=opened.walk.column_from_one(words.STATION),
    )


def _require(opened: Sheet, name: str) -> None:
    if opened.column(words.STATION) is None:
        raise FileRefused("has no column station", where=name, remedy=REMEDY)
    known = [one for one in (words.TRIED, words.GOOD, words.FAILED) if opened.column(one) is not None]
    if len(known) < 2:
        raise FileRefused(
            f"has of tried, good first and failed only {known[0]}: no yield follows from one", where=name,
            remedy=REMEDY,
        )  # fmt: skip


def _say_what_is_taken_for_what(opened: Sheet) -> None:
    for name, (ambiguous, meaning) in words.MAY_MEAN_MORE.items():
        told = opened.column(name)
        if told is not None and heading_key(told.text) in ambiguous:
            opened.walk.ledger.note(f"Column {told.column + 1}, {told.text!r}, is taken as {meaning}.")


def _rows(opened: Sheet) -> Iterator[CountRead]:
    column = opened.place(words.TRIED, words.GOOD)
    for row, station in opened.rows():
        numbers = {name: _whole(opened, row, name) for name in NUMBERS}
        readable = opened.hour(row)
        if not readable or any(isinstance(one, Unread) for one in numbers.values()):
            continue
        counted = _counted(opened, row, {name: one for name, one in numbers.items() if isinstance(one, int)})
        if counted is not None:
            yield CountRead(
                station=station, hour=None, tried=counted.tried, good_first=counted.good,
                reworked_good=counted.reworked, scrapped=counted.scrapped, row=row.number + 1, column=column,
            )  # fmt: skip


def _whole(opened: Sheet, row: TableRow, name: str) -> int | Unread | None:
    """The count of a cell; a share that stands there is refused as what it is."""
    told = opened.column(name)
    if told is not None and _SHARE.fullmatch(row.text(told).strip()):
        opened.walk.refuse(row, told, A_SHARE)
        return A_SHARE
    return opened.walk.whole(row, name)


@dataclass(frozen=True, slots=True)
class _Counted:
    tried: int
    good: int
    reworked: int
    scrapped: int | None


def _counted(opened: Sheet, row: TableRow, said: dict[str, int]) -> _Counted | None:
    """The counts of a row, what is not said worked out; None where they contradict each other."""
    tried, good, failed = said.get(words.TRIED), said.get(words.GOOD), said.get(words.FAILED)
    if good is None and tried is not None and failed is not None:
        good = tried - failed
    if tried is None and good is not None and failed is not None:
        tried = good + failed
    if tried is None or good is None:
        _refuse(opened, row, words.TRIED, "is half a count: of tried, good first and failed two are needed")
        return None
    reworked, scrapped = said.get(words.REWORKED, 0), said.get(words.SCRAPPED)
    where, why = _contradiction(tried, good, failed, reworked, scrapped)
    if why:
        _refuse(opened, row, where, why)
        return None
    if not tried:
        opened.walk.ledger.note(f"Row {row.number + 1} counts no piece: it is passed over.")
        return None
    agrees = _yield_agrees(opened, row, good, reworked, tried)
    return _Counted(tried, good, reworked, scrapped) if agrees else None


def _contradiction(
    tried: int, good: int, failed: int | None, reworked: int, scrapped: int | None
) -> tuple[str, str]:
    """The column and the reason why counts cannot be; empty where they can."""
    if good < 0 or (failed is not None and failed > tried):
        return words.FAILED, f"is more than the {tried} tried: a yield cannot be below 0"
    if good > tried:
        return words.GOOD, f"is more than the {tried} tried: a yield over 1 cannot be"
    if failed is not None and good + failed != tried:
        return words.FAILED, f"and the {good} good do not make the {tried} tried"
    left = tried - good
    if reworked > left:
        return words.REWORKED, f"is more than the {left} that were not good the first time"
    if scrapped is not None and scrapped > left - reworked:
        return words.SCRAPPED, f"is more than the {left - reworked} that are not good in the end"
    return "", ""


def _refuse(opened: Sheet, row: TableRow, name: str, why: str) -> None:
    told = opened.column(name) or opened.column(words.GOOD) or opened.column(words.FAILED)
    if told is not None:
        opened.walk.refuse(row, told, Unread(why, "correct the counts; the row is left out"))


def _yield_agrees(opened: Sheet, row: TableRow, good: int, reworked: int, tried: int) -> bool:
    """Whether the yield that a row says, if it does, is that of its counts, before rework or after it."""
    told = opened.column(words.YIELD)
    text = row.text(told).strip() if told is not None else ""
    found = re.fullmatch(r"([0-9]+(?:[.,][0-9]+)?)\s*(%?)", text)
    if told is None or found is None:
        return True
    value = float(found[1].replace(",", "."))
    share = value / 100 if found[2] or value > 1 else value
    if share > 1:
        why = f"is a yield over 1, and {good} of {tried} are good"
    elif not any(isclose(share, one / tried, abs_tol=ROUNDED) for one in (good, good + reworked)):
        why = f"is not what {good} good of {tried} make, {100 * good / tried:.1f} %"
    else:
        return True
    opened.walk.refuse(row, told, Unread(why, "correct the counts or the yield; the row is left out"))
    return False


def _without_sums(opened: Sheet, rows: list[CountRead]) -> list[CountRead]:
    """Rows but those without an hour that add up the hours of their station; others of that kind are said."""
    tried: dict[str, int] = {}
    for one in rows:
        if one.hour is not None:
            tried[one.station.casefold()] = tried.get(one.station.casefold(), 0) + one.tried
    doubtful = [one for one in rows if one.hour is None and one.station.casefold() in tried]
    sums = [one for one in doubtful if one.tried == tried[one.station.casefold()]]
    for one in doubtful:
        if one in sums:
            said = f"adds up the hours of {one.station}: it is passed over."
            opened.walk.ledger.note(f"Row {one.row} {said}")
        else:
            opened.walk.cautions.append(
                Caution(f"row {one.row} of {one.station} says no hour, others do: it is added to them")
            )
    return [one for one in rows if one not in sums]


def _once(opened: Sheet, rows: list[CountRead]) -> Iterator[CountRead]:
    """Rows of a station and hour that was not counted before in the file."""
    seen: dict[tuple[str, int | None], int] = {}
    for one in rows:
        key = (one.station.casefold(), one.hour)
        first = seen.setdefault(key, one.row)
        if first == one.row:
            yield one
            continue
        hour = f" in hour {one.hour}" if one.hour is not None else ""
        opened.walk.ledger.refuse(
            one.row - 1, one.column - 1, one.station,
            Unread(f"is counted{hour} in row {first} already", "add the two up; the row is left out"),
        )  # fmt: skip
