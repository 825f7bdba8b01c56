"""The grade bar: how many joints are loose, good, tight and overstrained, for a cell of the cavity pairs.

Grades are told apart by their place, their hatching and their letter, not by colour alone.
"""

from __future__ import annotations

from collections.abc import Iterator

from offtool.core.joints.assembled import AssembledShares, Grade
from offtool.reports.axes import hovered, text
from offtool.reports.colours import INK, MARK, NO, OUTSIDE, QUIET, WHITE
from offtool.reports.drawing import at, svg
from offtool.reports.hatch import hatch
from offtool.reports.joint_words import GRADES, LETTERS, grades_in_words, share_in_words

WIDTH, HEIGHT = 120.0, 14.0
FRAME = 0.5
LETTER_ROOM = 10.0
"""A field narrower than this carries no letter; its words stand in its title."""
FILL = {Grade.LOOSE: OUTSIDE, Grade.GOOD: MARK, Grade.TIGHT: WHITE, Grade.OVERSTRAINED: NO}
LETTER = {Grade.LOOSE: INK, Grade.GOOD: WHITE, Grade.TIGHT: INK, Grade.OVERSTRAINED: WHITE}


def draw_grade_bar(shares: AssembledShares, *, width: float = WIDTH, height: float = HEIGHT) -> str:
    """One bar, from loose at the left to overstrained at the right, as wide as the shares."""
    inside = [*_fields(shares, width, height), _frame(width, height)]
    return svg("grade-bar", width, height, grades_in_words(shares), inside)


def draw_grade_key(grade: Grade) -> str:
    """The field of one grade alone, for a key."""
    inside = draw_grade(grade, FRAME, FRAME, 21, 11) + _letter(grade, 11, 9.5)
    return svg("grade-bar", 22, 12, str(grade), [inside, _frame(22, 12)])


def draw_grade(grade: Grade, left: float, top: float, width: float, height: float) -> str:
    """A field of one grade: loose rises, tight falls, overstrained is crossed, good is full."""
    place = f'x="{at(left)}" y="{at(top)}" width="{at(width)}" height="{at(height)}"'
    field = f'<rect class="{grade}" {place} fill="{FILL[grade]}"/>'
    if grade is Grade.LOOSE:
        return field + hatch(left, top, width, height, QUIET)
    if grade is Grade.TIGHT:
        return field + hatch(left, top, width, height, INK, way=-1)
    if grade is Grade.OVERSTRAINED:
        ways = (hatch(left, top, width, height, WHITE, way=way, gap=5, stroke=0.6) for way in (1, -1))
        return field + "".join(ways)
    return field


def _fields(shares: AssembledShares, width: float, height: float) -> Iterator[str]:
    """Edges are rounded, not widths: the fields always fill the bar."""
    whole = sum(shares.of(grade).share for grade in GRADES) or 1.0
    so_far, left = 0.0, 0.0
    for grade in GRADES:
        so_far += shares.of(grade).share
        right = round(width * min(so_far / whole, 1.0), 1)
        if right > left:
            field = draw_grade(grade, left, 0, right - left, height)
            if right - left >= LETTER_ROOM:
                field += _letter(grade, (left + right) / 2, height / 2 + 3.2)
            yield hovered(field, f"{grade}: {share_in_words(shares.of(grade))}")
        left = right


def _letter(grade: Grade, x: float, y: float) -> str:
    """The letter on a plain ground, so that the hatching does not run through it."""
    ground = f'<rect class="ground" x="{at(x - 4.5)}" y="{at(y - 8)}" width="9" height="9.5"'
    plain = f'{ground} fill="{FILL[grade]}"/>' if grade is not Grade.GOOD else ""
    return plain + text(LETTERS[grade], x, y, anchor="middle", colour=LETTER[grade])


def _frame(width: float, height: float) -> str:
    place = f'x="{FRAME}" y="{FRAME}" width="{at(width - 2 * FRAME)}" height="{at(height - 2 * FRAME)}"'
    return f'<rect class="frame" {place} fill="none" stroke="{INK}" stroke-width="0.8"/>'
