"""Headings in several rows: the cavity above, the part below; "Tolerance" above, "+" and "−" below."""

from __future__ import annotations

from dataclasses import replace

from offtool.exchange.readings.grid import Row, cell_text
from offtool.exchange.readings.headings import NO_HEADING, Heading, read_heading
from offtool.exchange.readings.words import Role

_SPANNING = {Role.CAVITY, Role.SHOT, Role.PART, Role.VALUE, Role.RESULT}
"""Roles that may stand over several columns, each with its number below."""


def stack(rows: list[Row]) -> list[Heading] | None:
    """One heading for each column; None when the lower rows are no headings but the first readings."""
    width = max(map(len, rows))
    levels = [[cell_text(cell) for cell in row] + [""] * (width - len(row)) for row in rows]
    if len(levels) == 1:
        return [read_heading(text) for text in levels[0]]
    if not all(any(map(str.strip, level)) for level in levels):
        return None
    spread = [_spread(level) for level in levels[:-1]]
    headings = []
    for column in range(width):
        own = [read_heading(level[column]) for level in levels]
        above = [read_heading(level[column]) for level in spread]
        heading = _stacked(own, above)
        if heading is None:
            return None
        headings.append(heading)
    return headings


def _spread(level: list[str]) -> list[str]:
    """The texts of a row, each also over the empty cells to its right, as a merged cell shows it."""
    spread, last = [], ""
    for text in level:
        last = text if text.strip() else last
        spread.append(last)
    return spread


def _stacked(own: list[Heading], above: list[Heading]) -> Heading | None:
    """The heading that the cells of one column make; None when the lowest cell is no heading."""
    lowest = own[-1]
    upper = next((heading for heading in reversed(own[:-1]) if heading.text), NO_HEADING)
    if not lowest.text:
        return upper
    if lowest.only_a_unit:
        return replace(upper, unit=lowest.unit)
    if lowest.role and lowest.role not in _SPANNING:
        return lowest
    for start in range(len(above)):
        joined = read_heading(" ".join(heading.name for heading in [*above[start:], lowest] if heading.name))
        if joined.known:
            text = " / ".join(
                dict.fromkeys(heading.text for heading in [*above[start:], lowest] if heading.text)
            )
            units = [heading.unit for heading in (lowest, *reversed(above)) if heading.unit]
            return replace(joined, text=text, unit=units[0] if units else None)
    if not lowest.known or (upper.role and upper.role not in _SPANNING):
        return None
    name = above[-1].name if not above[-1].known else ""
    return replace(lowest, name=name, text=f"{name} / {lowest.text}") if name else lowest
