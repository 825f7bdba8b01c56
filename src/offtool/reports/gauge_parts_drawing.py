"""The parts of a gauge study: how every person read every part, and how far the repeats lie apart.

People are told apart by the form of their mark, not by colour. Every mark says its value in a title.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import fmean

from offtool.core.inspection.gauge import GaugeCell, GaugeStudy
from offtool.reports import words
from offtool.reports.axes import Scale, draw_values_axis, hovered
from offtool.reports.colours import INK, MARK, OUTSIDE, QUIET, WHITE
from offtool.reports.drawing import at, level, svg, upright
from offtool.reports.gauge_words import word
from offtool.reports.plain_text import shorten

PARTS_DRAWN = 40
LEFT, RIGHT = 52, 8
LEGEND, UPPER, GAP, LOWER, NAMES = 34, 150, 26, 62, 24
NARROWEST_PERSON, WIDEST_PERSON, BETWEEN_PARTS = 8.0, 16.0, 12.0


@dataclass(frozen=True, slots=True)
class _Spot:
    """One person's readings of one part: where they stand from left to right, and what they say."""

    cell: GaugeCell
    person: int
    x: float
    height: float
    """Of the mark: from the mean of all people, or the mean itself."""


def draw_parts_by_operator(study: GaugeStudy, *, decimals: int, unit: str = "", width: float = 0) -> str:
    """Above, how far each person reads from the mean of all, part by part; below, how far repeats lie apart.

    Where parts were not measured by several people, the means themselves stand above. `decimals` are those
    of a reading.
    """
    people = tuple(dict.fromkeys(one.operator for one in study.cells))
    parts = tuple(dict.fromkeys(_part_key(one, study) for one in study.cells))[:PARTS_DRAWN]
    room = width or _room(len(parts), _side_by_side(study, people))
    apart = _apart(study, people)
    spots = list(_spots(study, people, parts, room, apart=apart))
    upper = Scale.around((*(one.height for one in spots), *([0.0] if apart else [])), UPPER + LEGEND, LEGEND)
    bottom = LEGEND + UPPER + GAP + LOWER
    largest = max((one.cell.range for one in spots), default=0.0)
    lower = Scale(0.0, largest * 1.1 or 1.0, bottom, bottom - LOWER)
    told = f" {unit}" if unit else ""
    above = "less the mean of all" if apart else "mean"
    signs = [
        *_legend(people, room),
        *draw_values_axis(upper, LEFT, room - RIGHT),
        *([level("zero", LEFT, room - RIGHT, upper.at(0.0), INK, 0.9)] if apart else []),
        *draw_values_axis(lower, LEFT, room - RIGHT),
        word(LEFT, LEGEND - 5, f"{above}{',' + told if told else ''}"),
        word(LEFT, bottom - LOWER - 5, f"range of repeats{',' + told if told else ''}"),
        *_part_names(parts, room, bottom),
        *(_spot(one, upper, lower, bottom, spot_in_words(one.cell, study, decimals, unit)) for one in spots),
    ]
    return svg("gauge-parts", room, bottom + NAMES, _parts_in_words(study, people, decimals, unit), signs)


def _apart(study: GaugeStudy, people: Sequence[str]) -> bool:
    """Whether several people measured the same parts."""
    return len(people) > 1 and not study.method.startswith("nested")


def _part_key(cell: GaugeCell, study: GaugeStudy) -> tuple[str, str]:
    """A part; in a nested study the same name with two people means two parts."""
    return (cell.operator if study.method.startswith("nested") else "", cell.part)


def _side_by_side(study: GaugeStudy, people: Sequence[str]) -> int:
    return 1 if study.method.startswith("nested") else max(len(people), 1)


def _room(parts: int, people: int) -> float:
    person = max(NARROWEST_PERSON, min(WIDEST_PERSON, 560.0 / max(parts * people, 1)))
    return LEFT + RIGHT + parts * (person * people + BETWEEN_PARTS)


def _spots(
    study: GaugeStudy,
    people: Sequence[str],
    parts: Sequence[tuple[str, str]],
    room: float,
    *,
    apart: bool,
) -> Iterator[_Spot]:
    number = {part: i for i, part in enumerate(parts)}
    beside = _side_by_side(study, people)
    each = (room - LEFT - RIGHT) / max(len(parts), 1)
    person = (each - BETWEEN_PARTS) / beside
    for cell in study.cells:
        key = _part_key(cell, study)
        if key in number:
            who = people.index(cell.operator)
            place = (who if beside > 1 else 0) + 0.5
            x = LEFT + number[key] * each + BETWEEN_PARTS / 2 + place * person
            yield _Spot(cell, who, x, cell.mean - (mean_of_all(study, cell.part) if apart else 0.0))


def mean_of_all(study: GaugeStudy, part: str) -> float:
    """The mean over all people of a part."""
    return fmean(one.mean for one in study.cells if one.part == part)


def _spot(spot: _Spot, upper: Scale, lower: Scale, bottom: float, said: str) -> str:
    bar = upright("range", spot.x, lower.at(spot.cell.range), bottom, QUIET, 3)
    return hovered(bar + operator_mark(spot.person, spot.x, upper.at(spot.height)), said)


def operator_mark(person: int, x: float, y: float) -> str:
    """The mark of the first, second, third person: dot, ring, cross, square, frame, tip."""
    forms = (_dot, _ring, _cross, _square, _open_square, _tip)
    return forms[person % len(forms)](x, y)


def _dot(x: float, y: float) -> str:
    return f'<circle class="mark" cx="{at(x)}" cy="{at(y)}" r="3.2" fill="{MARK}"/>'


def _ring(x: float, y: float) -> str:
    return (
        f'<circle class="mark" cx="{at(x)}" cy="{at(y)}" r="2.8" fill="{WHITE}" '
        f'stroke="{INK}" stroke-width="1.3"/>'
    )


def _cross(x: float, y: float) -> str:
    arms = f"M{at(x - 3)} {at(y - 3)}L{at(x + 3)} {at(y + 3)}M{at(x - 3)} {at(y + 3)}L{at(x + 3)} {at(y - 3)}"
    return f'<path class="mark" d="{arms}" stroke="{INK}" stroke-width="1.6"/>'


def _square(x: float, y: float) -> str:
    return f'<rect class="mark" x="{at(x - 2.8)}" y="{at(y - 2.8)}" width="5.6" height="5.6" fill="{INK}"/>'


def _open_square(x: float, y: float) -> str:
    return (
        f'<rect class="mark" x="{at(x - 2.6)}" y="{at(y - 2.6)}" width="5.2" height="5.2" '
        f'fill="{WHITE}" stroke="{MARK}" stroke-width="1.3"/>'
    )


def _tip(x: float, y: float) -> str:
    path = f"M{at(x - 3.2)} {at(y + 2.6)}L{at(x)} {at(y - 3.2)}L{at(x + 3.2)} {at(y + 2.6)}Z"
    return f'<path class="mark" d="{path}" fill="{MARK}"/>'


def _legend(people: Sequence[str], room: float) -> Iterator[str]:
    """Mark and name of each person from the left, as many as there is room for."""
    x = LEFT + 4.0
    for number, name in enumerate(people):
        said = shorten(name, 12)
        end = x + 9 + 6.0 * len(said)
        if not name or end > room - RIGHT:
            return
        yield operator_mark(number, x, 7.5)
        yield word(x + 9, 11, said, colour=INK)
        x = end + 14


def _part_names(parts: Sequence[tuple[str, str]], room: float, bottom: float) -> Iterator[str]:
    each = (room - LEFT - RIGHT) / max(len(parts), 1)
    most = max(int(each / 6), 1)
    yield word(LEFT - 5, bottom + 16, "part", anchor="end")
    for number, (who, part) in enumerate(parts):
        name = part if not who else f"{who} {part}"
        x = LEFT + (number + 0.5) * each
        if number:
            yield upright("between", x - each / 2, LEGEND, bottom, OUTSIDE, 0.8)
        yield word(x, bottom + 16, shorten(name, most), anchor="middle")


def spot_in_words(cell: GaugeCell, study: GaugeStudy, decimals: int, unit: str) -> str:
    """part 3, Anna: mean 4.0123 mm, 0.0011 above the mean of all; repeats within 0.0020."""
    who = f", {cell.operator}" if cell.operator else ""
    mean = f"mean {words.number(cell.mean, decimals + 1)} {unit}".rstrip()
    people = {one.operator for one in study.cells}
    off = ""
    if _apart(study, tuple(people)):
        away = cell.mean - mean_of_all(study, cell.part)
        side = "above" if away > 0 else "below"
        off = f", {words.number(abs(away), decimals + 1)} {side} the mean of all"
    return f"part {cell.part}{who}: {mean}{off}; repeats within {words.number(cell.range, decimals)}"


def _parts_in_words(study: GaugeStudy, people: Sequence[str], decimals: int, unit: str) -> str:
    """Each person in a sentence: how far they read from all, and how far their repeats lie apart."""
    told = []
    for who in people:
        own = [one for one in study.cells if one.operator == who]
        spread = words.number(fmean(one.range for one in own), decimals + 1)
        name = who or "one person"
        if _apart(study, people):
            away = fmean(one.mean - mean_of_all(study, one.part) for one in own)
            told.append(f"{name} reads {words.signed(away, decimals + 1)} from all, repeats {spread} apart")
        else:
            told.append(f"{name}: repeats {spread} apart")
    left_out = len({_part_key(one, study) for one in study.cells}) - PARTS_DRAWN
    more = f"; the first {PARTS_DRAWN} parts are drawn" if left_out > 0 else ""
    return f"readings of {study.parts} parts, in {unit or 'the unit of the size'}: {'; '.join(told)}{more}"
