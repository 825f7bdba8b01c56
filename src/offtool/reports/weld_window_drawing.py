"""The weld window: where between the settings that were tried strength and look are both shown.

Runs stand on it as marks by what became of them, told apart by their sign.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import isfinite

from offtool.core.welding.study import SettingFinding, WeldWindow, WindowGrid, WindowSetting
from offtool.reports import words
from offtool.reports.axes import Scale, draw_values_axis, hovered, text, tick_decimals
from offtool.reports.colours import DOUBT, INK, LINE, MARK, NO, OUTSIDE, QUIET, WHITE
from offtool.reports.contours import contour
from offtool.reports.drawing import at, level, svg, upright
from offtool.reports.hatch import hatch
from offtool.reports.seam_words import (
    SettingWord,
    newtons_asked,
    setting_finding_in_words,
    setting_word,
    window_in_words,
)

WIDTH, TOP, HEIGHT, BELOW, LEFT, RIGHT = 460.0, 40.0, 260.0, 34.0, 52.0, 24.0
WORD = 10.5
LEVELS = 5
KEY_ROOM = 98.0
FIELDS = {"weld time": "time_s", "pressure": "pressure_bar", "amplitude": "amplitude_um"}
"""What an axis is called, and where a setting has it."""
CLOSE = 1e-9
HATCH_GAP = 7.0


def draw_weld_window(window: WeldWindow, *, width: float = WIDTH) -> str:
    """Two settings across and up; where both are shown, hatched and outlined; lines of equal strength, each
    with its bound; the place to stand. One setting alone: its bound of strength. Empty where none was varied.
    """
    grid = window.grid
    if grid is None:
        return ""
    bottom, right = TOP + HEIGHT, width - RIGHT
    across = Scale.around(_tried(window, grid.axes[0]), LEFT, right)
    if len(grid.axes) > 1:
        up = Scale.around(_tried(window, grid.axes[1]), bottom, TOP)
        inside = [*_plane(window, grid, across, up)]
    else:
        up = Scale.around(_strengths(window, grid), bottom, TOP)
        inside = [*_profile(window, grid, across, up)]
    inside += [*_setting_axis(grid.axes[0], across, bottom), *_key(), *_held(grid, right)]
    left_out = sum(not _is_in_plane(one, grid) for one in window.settings)
    said = [*window_in_words(window)]
    if left_out:
        said.append(f"{left_out} settings lie beside this plane and are not drawn")
    return svg("weld-window", width, bottom + BELOW, "; ".join(said), inside)


def _tried(window: WeldWindow, axis: WindowSetting) -> Iterator[float]:
    yield from axis.values
    yield from (value for one in window.settings if (value := _value(one, axis.name)) is not None)


def _value(one: SettingFinding, name: str) -> float | None:
    value: float | None = getattr(one, FIELDS[name])
    return value


def _is_in_plane(one: SettingFinding, grid: WindowGrid) -> bool:
    """Whether the setting says both axes, and has what the others are held at."""
    if any(_value(one, axis.name) is None for axis in grid.axes):
        return False
    held = ((_value(one, name), at_) for name, at_ in grid.held)
    return all(value is not None and abs(value - at_) <= CLOSE * max(1.0, abs(at_)) for value, at_ in held)


def _plane(window: WeldWindow, grid: WindowGrid, across: Scale, up: Scale) -> Iterator[str]:
    xs, ys = (
        [scale.at(one) for one in axis.values] for scale, axis in zip((across, up), grid.axes, strict=True)
    )
    frame = f'x="{at(xs[0])}" y="{at(ys[-1])}" width="{at(xs[-1] - xs[0])}" height="{at(ys[0] - ys[-1])}"'
    yield f'<rect class="tried" {frame} fill="{WHITE}" stroke="{LINE}" stroke-width="0.8"/>'
    yield from _region(grid.holds, xs, ys)
    yield from _levels(window, grid, xs, ys)
    yield from draw_values_ticks(up, grid.axes[1])
    for one in window.settings:
        x, y = (_value(one, axis.name) for axis in grid.axes)
        if x is not None and y is not None and _is_in_plane(one, grid):
            yield _setting(one, across.at(x), up.at(y))
    yield from _stand(grid, across, up)


def draw_values_ticks(up: Scale, axis: WindowSetting) -> Iterator[str]:
    """The second setting at the left, without lines through the window."""
    places = up.ticks(5)
    decimals = tick_decimals(places)
    for value in places:
        yield level("tick", LEFT - 4, LEFT, up.at(value), QUIET, 0.8)
        yield text(words.number(value, decimals), LEFT - 6, up.at(value) + 3.5, anchor="end", size=WORD)
    yield text(f"{axis.name}, {axis.unit}", 4, TOP - 8, size=WORD)


def _setting_axis(axis: WindowSetting, across: Scale, bottom: float) -> Iterator[str]:
    places = across.ticks(5)
    decimals = tick_decimals(places)
    yield level("axis", across.start, across.end, bottom, INK, 0.9)
    for value in places:
        yield upright("tick", across.at(value), bottom, bottom + 4, QUIET, 0.8)
        yield text(words.number(value, decimals), across.at(value), bottom + 14, anchor="middle", size=WORD)
    yield text(f"{axis.name}, {axis.unit}", across.end, bottom + 29, anchor="end", size=WORD)


def _edges(places: Sequence[float]) -> list[float]:
    """Half way between places; the outer ones at the end of what was tried."""
    return [places[0], *((a + b) / 2 for a, b in pairwise(places)), places[-1]]


def _region(holds: Sequence[Sequence[bool]], xs: Sequence[float], ys: Sequence[float]) -> Iterator[str]:
    """Hatched cell by cell, outlined where a cell that holds meets one that does not, or the end."""
    across, up = _edges(xs), _edges(ys)
    for row, cells in enumerate(holds):
        for start, end in _runs(cells):
            left, top = across[start], up[row + 1]
            wide, high = across[end] - left, up[row] - top
            place = f'x="{at(left)}" y="{at(top)}" width="{at(wide)}" height="{at(high)}"'
            yield f'<rect class="holds" {place} fill="{OUTSIDE}"/>'
            yield hatch(left, top, wide, high, QUIET, gap=HATCH_GAP, stroke=0.6)
    if path := "".join(_outline(holds, across, up)):
        yield f'<path class="outline" d="{path}" stroke="{INK}" stroke-width="1.3"/>'


def _runs(cells: Sequence[bool]) -> Iterator[tuple[int, int]]:
    """First and one past the last of each unbroken row of cells that hold."""
    start = None
    for i, holds in enumerate([*cells, False]):
        if holds and start is None:
            start = i
        elif not holds and start is not None:
            yield start, i
            start = None


def _outline(holds: Sequence[Sequence[bool]], across: Sequence[float], up: Sequence[float]) -> Iterator[str]:
    rows, columns = len(holds), len(holds[0])

    def is_in(row: int, column: int) -> bool:
        return 0 <= row < rows and 0 <= column < columns and holds[row][column]

    for row in range(rows):
        for column in range(columns + 1):
            if is_in(row, column) is not is_in(row, column - 1):
                yield f"M{at(across[column])} {at(up[row])}V{at(up[row + 1])}"
    for row in range(rows + 1):
        for column in range(columns):
            if is_in(row, column) is not is_in(row - 1, column):
                yield f"M{at(across[column])} {at(up[row])}H{at(across[column + 1])}"


def _levels(window: WeldWindow, grid: WindowGrid, xs: Sequence[float], ys: Sequence[float]) -> Iterator[str]:
    """Lines of equal bound at round pulls, and that of the pull asked, heavier."""
    finite = [one for row in grid.strength_low for one in row if isfinite(one)]
    if not finite:
        return
    places = [one for one in Scale(min(finite), max(finite), 0, 1).ticks(LEVELS) if one > 0]
    apart = (max(finite) - min(finite)) / (4 * LEVELS)
    rounds = [one for one in places if abs(one - window.required_n) > apart]
    for value in (*rounds, window.required_n):
        pieces = [*contour(grid.strength_low, value)]
        if pieces:
            yield _level(value, pieces, xs, ys, is_asked=value == window.required_n)


def _level(
    value: float,
    pieces: Sequence[tuple[tuple[float, float], tuple[float, float]]],
    xs: Sequence[float],
    ys: Sequence[float],
    *,
    is_asked: bool,
) -> str:
    spots = [[(_along(xs, x), _along(ys, y)) for x, y in piece] for piece in pieces]
    path = "".join(f"M{at(a)} {at(b)}L{at(c)} {at(d)}" for (a, b), (c, d) in spots)
    name, colour, stroke = ("asked", INK, 1.6) if is_asked else ("level", MARK, 0.9)
    line = f'<path class="{name}" d="{path}" stroke="{colour}" stroke-width="{stroke:g}"/>'
    x, y = max((spot for piece in spots for spot in piece), key=lambda spot: (spot[0], -spot[1]))
    pull = newtons_asked(value)
    foot = max(y - 3, ys[-1] + 9)
    place = f'x="{at(x - 4 - 5.2 * len(pull))}" y="{at(foot - 8)}" width="{at(5.2 * len(pull) + 2)}"'
    ground = f'<rect class="ground" {place} height="10" fill="{WHITE}" fill-opacity="0.8"/>'
    label = ground + text(pull, x - 3, foot, anchor="end", colour=colour, size=9)
    return hovered(line + label, f"{pull} {'asked' if is_asked else 'shown'} along this line")


def _along(places: Sequence[float], spot: float) -> float:
    """The place of a spot that is counted in cells."""
    below = min(int(spot), len(places) - 2)
    return places[below] + (spot - below) * (places[below + 1] - places[below])


def _stand(grid: WindowGrid, across: Scale, up: Scale) -> Iterator[str]:
    """A ring with a cross of hairs, and how far the window reaches from there either way."""
    first, second = grid.axes
    if first.stand_at is None or second.stand_at is None:
        return
    x, y = across.at(first.stand_at), up.at(second.stand_at)
    if first.low is not None and first.high is not None:
        yield level("reach", across.at(first.low), across.at(first.high), y, MARK, 1.1)
    if second.low is not None and second.high is not None:
        yield upright("reach", x, up.at(second.high), up.at(second.low), MARK, 1.1)
    said = f"stand at {first.stand_at:.3g} {first.unit} and {second.stand_at:.3g} {second.unit}"
    place = f'cx="{at(x)}" cy="{at(y)}"'
    ring = f'<circle class="stand" {place} r="7" fill="none" stroke="{MARK}" stroke-width="2.2"/>'
    yield hovered(ring, said)


def _strengths(window: WeldWindow, grid: WindowGrid) -> Iterator[float]:
    yield window.required_n
    yield 0.0
    yield from grid.strength_mean[0]
    yield from (max(one, 0.0) for one in grid.strength_low[0])
    yield from (one.strength.mean for one in window.settings if one.strength is not None)


def _profile(window: WeldWindow, grid: WindowGrid, across: Scale, up: Scale) -> Iterator[str]:
    """One setting: mean and bound of strength over it, and the stretch where the look is shown as well."""
    axis, right = grid.axes[0], across.end
    xs = [across.at(one) for one in axis.values]
    edges = _edges(xs)
    for start, end in _runs(grid.holds[0]):
        wide, high = edges[end] - edges[start], up.start - up.end
        place = f'x="{at(edges[start])}" y="{at(up.end)}" width="{at(wide)}" height="{at(high)}"'
        yield f'<rect class="holds" {place} fill="{OUTSIDE}" stroke="{INK}" stroke-width="1.2"/>'
        yield hatch(edges[start], up.end, wide, high, QUIET, gap=HATCH_GAP, stroke=0.6)
    yield from draw_values_axis(up, LEFT, right)
    yield _curve("mean", grid.strength_mean[0], xs, up, ' stroke-dasharray="5 3"')
    yield _curve("bound", grid.strength_low[0], xs, up)
    yield level("asked", LEFT, right, up.at(window.required_n), INK, 1.6)
    yield text("pull, N; broken: mean, full: bound", 4, TOP - 8, size=WORD)
    asked = f"asked {newtons_asked(window.required_n)}"
    yield text(asked, right, up.at(window.required_n) - 4, anchor="end", colour=INK, size=WORD)
    for one in window.settings:
        x = _value(one, axis.name)
        if x is not None and one.strength is not None and _is_in_plane(one, grid):
            yield _setting(one, across.at(x), up.at(one.strength.mean))
    if axis.stand_at is not None:
        said = f"stand at {axis.stand_at:.3g} {axis.unit}"
        yield hovered(upright("stand", across.at(axis.stand_at), up.end, up.start, MARK, 2), said)


def _curve(name: str, values: Sequence[float], xs: Sequence[float], up: Scale, more: str = "") -> str:
    spots = [f"{at(x)} {at(up.at(one))}" for x, one in zip(xs, values, strict=True) if isfinite(one)]
    if len(spots) < 2:
        return ""
    return (
        f'<path class="{name}" d="M{"L".join(spots)}" fill="none" stroke="{MARK}" stroke-width="1.4"{more}/>'
    )


def _setting(one: SettingFinding, x: float, y: float) -> str:
    return hovered(draw_setting_mark(setting_word(one), x, y), setting_finding_in_words(one))


def draw_setting_mark(word: SettingWord, x: float, y: float) -> str:
    """Full dot: holds; tip down: too weak; slanting cross: bad look; both signs; ring: not shown."""
    place = f'cx="{at(x)}" cy="{at(y)}"'
    if word is SettingWord.HOLDS:
        return f'<circle class="setting" {place} r="4" fill="{MARK}" stroke="{WHITE}" stroke-width="1.2"/>'
    if word is SettingWord.NOT_SHOWN:
        return f'<circle class="setting" {place} r="3.6" fill="{WHITE}" stroke="{DOUBT}" stroke-width="1.6"/>'
    signs = ""
    if word in (SettingWord.WEAK, SettingWord.BOTH):
        tip = f"M{at(x - 4.5)} {at(y - 3.5)}L{at(x + 4.5)} {at(y - 3.5)}L{at(x)} {at(y + 4.5)}Z"
        signs += f'<path class="setting" d="{tip}" fill="{WHITE}" stroke="{NO}" stroke-width="1.4"/>'
    if word in (SettingWord.BAD_LOOK, SettingWord.BOTH):
        arms = "".join(f"M{at(x - 4)} {at(y - 4 * tilt)}L{at(x + 4)} {at(y + 4 * tilt)}" for tilt in (1, -1))
        signs += f'<path class="rim" d="{arms}" stroke="{WHITE}" stroke-width="4"/>'
        signs += f'<path class="setting" d="{arms}" stroke="{NO}" stroke-width="2"/>'
    return signs


def _key() -> Iterator[str]:
    for i, word in enumerate(
        (SettingWord.HOLDS, SettingWord.WEAK, SettingWord.BAD_LOOK, SettingWord.NOT_SHOWN)
    ):
        x = 10 + i * KEY_ROOM * 0.8
        yield draw_setting_mark(word, x, 9)
        yield text(str(word), x + 9, 12.5, colour=INK, size=WORD)
    x = 10 + 4 * KEY_ROOM * 0.8
    place = f'x="{at(x - 5)}" y="3" width="16" height="12"'
    yield f'<rect class="key" {place} fill="{OUTSIDE}" stroke="{INK}" stroke-width="1"/>'
    yield hatch(x - 5, 3, 16, 12, QUIET, gap=5, stroke=0.6)
    yield text("both shown", x + 16, 12.5, colour=INK, size=WORD)


def _held(grid: WindowGrid, right: float) -> Iterator[str]:
    if grid.held:
        told = ", ".join(f"{name} {value:g}" for name, value in grid.held)
        yield text(f"at {told}", right, TOP - 8, anchor="end", size=WORD)
