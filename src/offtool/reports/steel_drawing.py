"""The schematic of a steel change: a section through part and steel, the strip that goes or comes, arrows.

Words alone are misread: a recess grows where steel is removed, a core pin shrinks. Before is drawn in full
lines, after in broken ones, the strip many times too wide.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from offtool.handbook.terms import Stated
from offtool.reports import words
from offtool.reports.colours import INK, MARK, QUIET, WHITE
from offtool.reports.drawing import arrow_tip, at, level, svg, upright
from offtool.steps.steel_changes import SteelChange

WIDTH, HEIGHT = 210, 150
LEFT, RIGHT = 12, 198
AFTER_LINE, BEFORE_LINE = 12, 30
PARTING, FLOOR, BOTTOM = 50, 116, 142
WALL_LEFT, WALL_RIGHT = 72, 138
PLASTIC_LEFT, PLASTIC_RIGHT = 46, 164
STRIP = 11
HATCH = 5.5
BROKEN = ' stroke-dasharray="3 2"'
PLASTIC = "#cfe2e3"
STEEL = "#f3efe7"
NEW_STEEL = "#a59e92"


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelView:
    """What a drawing shows; sizes and amounts as they are to be written on it."""

    recess: bool
    """Whether the steel is a recess that forms an outside of the part; else a core that forms an inside."""
    both_sides: bool
    removes: bool
    before: str
    after: str
    strip: str
    """How much goes or comes at one side."""


def draw_steel_change(change: SteelChange) -> str:
    """The drawing of a change."""
    return draw_steel_view(view_of(change))


def view_of(change: SteelChange) -> SteelView:
    """What the drawing of a change shows: a recess grows where steel is removed, a core shrinks."""
    turn = (change.size_after_mm - change.size_before_mm) / change.amount_mm if change.amount_mm else 0.0
    on_diameter = change.stated == Stated.DIAMETER
    decimals = min(words.decimals_to_write([change.amount_mm], 3), 4)
    before, after = (
        f"{'⌀ ' if on_diameter else ''}{words.number(size, decimals)}"
        for size in (change.size_before_mm, change.size_after_mm)
    )
    return SteelView(
        recess=turn > 0,
        both_sides=on_diameter or abs(turn) > 1.5,
        removes=change.removes,
        before=before,
        after=after,
        strip=words.amount(change.amount_mm / 2 if on_diameter else change.amount_mm),
    )


def draw_steel_view(view: SteelView) -> str:
    """A section: hatched steel, plain part, arrows from the old surface (full) to the new one (broken)."""
    body = _recess(view) if view.recess else _core(view)
    return svg("steel-drawing", WIDTH, HEIGHT, view_in_words(view), [*body, *_strips(view), *_sizes(view)])


def view_in_words(view: SteelView) -> str:
    """What the drawing says."""
    what = "recess" if view.recess else "core"
    verb = "removed from" if view.removes else "added to"
    where = "both sides" if view.both_sides else "one side"
    grows = view.recess == view.removes
    return (
        f"steel is {verb} {where} of a {what}, {view.strip} at a side; "
        f"the {what} becomes {'wider' if grows else 'narrower'}: {view.before} before, {view.after} after"
    )


def _recess(view: SteelView) -> Iterator[str]:
    """Steel with a recess that the part fills."""
    for x, y, right, bottom in (
        (LEFT, PARTING, WALL_LEFT, BOTTOM),
        (WALL_RIGHT, PARTING, RIGHT, BOTTOM),
        (WALL_LEFT, FLOOR, WALL_RIGHT, BOTTOM),
    ):
        yield _steel(x, y, right, bottom)
    yield _plastic(WALL_LEFT, PARTING, WALL_RIGHT, FLOOR)
    outline = f"M{LEFT} {PARTING}H{WALL_LEFT}V{FLOOR}H{WALL_RIGHT}V{PARTING}H{RIGHT}"
    yield f'<path d="{outline}" fill="none" stroke="{INK}" stroke-width="1.4"/>'
    middle = (WALL_LEFT + WALL_RIGHT) / 2
    yield _label(middle, (PARTING + FLOOR) / 2 + 12, "part", "零件")
    yield _label(middle, (FLOOR + BOTTOM) / 2 + 4, "steel", "钢料", boxed=True)


def _core(view: SteelView) -> Iterator[str]:
    """A core standing on its plate, the part around it."""
    yield _plastic(PLASTIC_LEFT, PARTING, WALL_LEFT, FLOOR)
    yield _plastic(WALL_RIGHT, PARTING, PLASTIC_RIGHT, FLOOR)
    yield _steel(WALL_LEFT, PARTING, WALL_RIGHT, FLOOR)
    yield _steel(LEFT, FLOOR, RIGHT, BOTTOM)
    outline = f"M{LEFT} {FLOOR}H{WALL_LEFT}V{PARTING}H{WALL_RIGHT}V{FLOOR}H{RIGHT}"
    yield f'<path d="{outline}" fill="none" stroke="{INK}" stroke-width="1.4"/>'
    for edge in (PLASTIC_LEFT, PLASTIC_RIGHT):
        yield upright("part", edge, PARTING, FLOOR, MARK, 0.8)
    yield _label((WALL_LEFT + WALL_RIGHT) / 2, (FLOOR + BOTTOM) / 2 + 3, "steel", "钢料", boxed=True)
    yield _label(LEFT + 16, PARTING + 26, "part", "零件", stacked=True)


def _strips(view: SteelView) -> Iterator[str]:
    """The steel that goes, white, or that comes, grey; arrows towards the new surface."""
    for wall, into_steel in _walls(view):
        way = into_steel if view.removes else -into_steel
        new = wall + way * STRIP
        place = f'x="{at(min(wall, new))}" y="{PARTING}" width="{STRIP}" height="{FLOOR - PARTING}"'
        yield f'<rect class="strip" {place} fill="{WHITE if view.removes else NEW_STEEL}"/>'
        yield upright("before", wall, PARTING, FLOOR, INK, 1.4)
        yield upright("after", new, PARTING, FLOOR, INK, 1.4, ' stroke-dasharray="4 2.4"')
        for y in (PARTING + 14, FLOOR - 14):
            shaft = (wall - way * 13, new - way * 6)
            yield arrow_tip("rim", new + way * 4, y, way, WHITE, length=14, half=7)
            yield level("rim", *shaft, y, WHITE, 4.6)
            yield level("arrow", *shaft, y, INK, 2)
            yield arrow_tip("arrow", new + way * 1.5, y, way, INK, length=9, half=4.6)


def _walls(view: SteelView) -> Iterator[tuple[float, int]]:
    """Where the surfaces stand, and which way the steel lies from each."""
    steel = -1 if view.recess else 1
    if view.both_sides:
        yield WALL_LEFT, steel
    yield WALL_RIGHT, -steel


def _sizes(view: SteelView) -> Iterator[str]:
    """The size before and after as dimension lines, and the strip's own width at its side."""
    grows = STRIP if view.recess == view.removes else -STRIP
    left_after = WALL_LEFT - grows if view.both_sides else WALL_LEFT
    text = max(WALL_RIGHT, WALL_RIGHT + grows) + 6
    yield from _dimension(WALL_LEFT, WALL_RIGHT, BEFORE_LINE, f"{view.before} 修前", text)
    yield from _dimension(left_after, WALL_RIGHT + grows, AFTER_LINE, f"{view.after} 修后", text, BROKEN)
    strip = f"{'−' if view.removes else '+'}{view.strip}"
    y = (PARTING + FLOOR) / 2 + 3 if view.recess else (FLOOR + BOTTOM) / 2 + 4
    if view.both_sides:
        yield _tag(LEFT + 25, y, strip)
    yield _tag(RIGHT - 25, y, strip)


def _dimension(
    left: float, right: float, y: float, said: str, text: float, broken: str = ""
) -> Iterator[str]:
    for x in (left, right):
        yield upright("witness", x, y - 4, PARTING - 2, QUIET, 0.6, broken)
    yield level("dimension", left, right, y, INK, 0.8)
    yield arrow_tip("dimension", left, y, -1, INK, length=6, half=2.2)
    yield arrow_tip("dimension", right, y, 1, INK, length=6, half=2.2)
    yield f'<text x="{at(text)}" y="{at(y + 3.4)}" font-weight="600" fill="{INK}">{escape(said)}</text>'


def _steel(left: float, top: float, right: float, bottom: float) -> str:
    """A hatched piece of steel; each line is cut to the piece, so that the drawing needs no named pattern."""
    lines = []
    start = left + top + HATCH - (left + top) % HATCH
    while start < right + bottom:
        x_from, x_to = max(left, start - bottom), min(right, start - top)
        if x_from < x_to:
            lines.append(f"M{at(x_from)} {at(start - x_from)}L{at(x_to)} {at(start - x_to)}")
        start += HATCH
    place = f'x="{at(left)}" y="{at(top)}" width="{at(right - left)}" height="{at(bottom - top)}"'
    return f'<rect {place} fill="{STEEL}"/><path d="{"".join(lines)}" stroke="{QUIET}" stroke-width="0.6"/>'


def _plastic(left: float, top: float, right: float, bottom: float) -> str:
    place = f'x="{at(left)}" y="{at(top)}" width="{at(right - left)}" height="{at(bottom - top)}"'
    return f'<rect class="plastic" {place} fill="{PLASTIC}"/>'


def _label(
    x: float, y: float, english: str, chinese: str, *, boxed: bool = False, stacked: bool = False
) -> str:
    box = ""
    if boxed:
        box = f'<rect x="{at(x - 24)}" y="{at(y - 8.5)}" width="48" height="12" fill="{STEEL}"/>'
    if stacked:
        return "".join(
            f'<text x="{at(x)}" y="{at(y + 11 * row)}" text-anchor="middle" fill="{INK}">{word}</text>'
            for row, word in enumerate((english, chinese))
        )
    return f'{box}<text x="{at(x)}" y="{at(y)}" text-anchor="middle" fill="{INK}">{english} {chinese}</text>'


def _tag(x: float, y: float, text: str) -> str:
    """An amount on a plain ground."""
    half = 3 + 2.7 * len(text)
    return (
        f'<rect x="{at(x - half)}" y="{at(y - 10)}" width="{at(2 * half)}" height="14" fill="{WHITE}"/>'
        f'<text x="{at(x)}" y="{at(y)}" text-anchor="middle" font-size="10" font-weight="600" fill="{INK}">'
        f"{escape(text)}</text>"
    )
