"""Whether a file writes decimal commas or decimal points, from what its readings and limits show."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable

from offtool.exchange.readings.attributes import SPECIFYING
from offtool.exchange.readings.grid import Grid, Row, blocks
from offtool.exchange.readings.numbers import MARK_NAME, mark_evidence
from offtool.exchange.readings.plan import Plan
from offtool.exchange.readings.text import plain

_NUMBER = re.compile(r"[+-]?(?:[0-9]+[.,][0-9]*|[.,][0-9]+)")
_EXAMPLE_LENGTH = 20


class MarkCount:
    """How many numbers can only have a decimal comma, or only a point; and how many may have either."""

    def __init__(self) -> None:
        self.sure: Counter[str] = Counter()
        self.either: Counter[str] = Counter()
        self.example: dict[str, str] = {}

    def add(self, texts: Iterable[str]) -> None:
        for text in texts:
            for number in _NUMBER.findall(plain(text)):
                mark, sure = mark_evidence(number)
                if mark:
                    (self.sure if sure else self.either)[mark] += 1
                    self.example.setdefault(mark, number[:_EXAMPLE_LENGTH])


def decide_from_text(content: bytes, separator: str) -> str | None:
    """The mark when the bytes alone settle it: only one of the two occurs where a number could hold it."""
    if b"," not in content or (separator == "," and b'"' not in content):
        return "."
    if b"." not in content and separator != ",":
        return ","
    return None


def decide_for_text(content: bytes, separator: str, grid: Grid, plan: Plan) -> tuple[str, str]:
    """The decimal mark of a text file and on what evidence: its bytes if they settle it, else its cells."""
    settled = decide_from_text(content, separator)
    if settled == ",":
        return settled, "The decimal mark is the comma: the file holds no point."
    if settled:
        return settled, ""
    return decide(count_marks(grid, plan), separator)


def count_marks(grid: Grid, plan: Plan) -> MarkCount:
    """Go through the cells of readings and limits of a whole file."""
    columns = [
        *(value.column for value in plan.values),
        *(plan.columns[r] for r in SPECIFYING if r in plan.columns),
    ]
    counted = MarkCount()
    for row in plan.attributes.values():
        for block in blocks(grid, start=row, width=plan.width):
            _count_rows(counted, block.rows[:1], columns)
            break
    for block in blocks(grid, start=plan.first_data_row, width=plan.width):
        _count_rows(counted, block.rows, columns)
    return counted


def _count_rows(counted: MarkCount, rows: list[Row], columns: list[int]) -> None:
    for column in columns:
        counted.add(cell for row in rows if column < len(row) and isinstance(cell := row[column], str))


def decide(counted: MarkCount, separator: str) -> tuple[str, str]:
    """The decimal mark, and a sentence that says on what evidence; empty where nothing speaks for a comma."""
    for certain in (counted.sure, counted.either):
        if certain[","] != certain["."]:
            mark = max(",.", key=lambda mark: certain[mark])
            if certain is counted.either and mark == "," and separator == ",":
                break  # quoted 12,345 between commas: thousands are as likely
            return mark, _evidence(counted, mark)
    mark = "," if separator == ";" and counted.sure[","] else "."
    return mark, _evidence(counted, mark)


def _evidence(counted: MarkCount, mark: str) -> str:
    other = "." if mark == "," else ","
    if mark == "." and not counted.sure[","] + counted.either[","]:
        return ""
    number = counted.sure[mark] + counted.either[mark]
    against = counted.sure[other] + counted.either[other]
    shown = f", such as {counted.example[mark]}" if mark in counted.example else ""
    return (
        f"The decimal mark is the {MARK_NAME[mark]}: {number:,} numbers are written so{shown};"
        f" {against:,} have a {MARK_NAME[other]}."
    )
